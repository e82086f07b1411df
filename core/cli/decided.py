"""Shared by the commands that read a score: opening it with what its user decided (the notes file)."""

from __future__ import annotations

import argparse
from dataclasses import replace

from core.cli.output import warn
from core.document import Document, Shelf, open_document
from core.notes import missing
from core.score.model import Score


def add_notes_arguments(parser: argparse.ArgumentParser) -> None:
    """Add --notes and --without-notes."""
    parser.add_argument("--notes", metavar="F", help="another notes file than the score's own")
    parser.add_argument("--without-notes", action="store_true", help="leave the score's notes unread")


def open_arguments(arguments: argparse.Namespace, shelf: Shelf | None = None) -> Document:
    """The document that SCORE, --organ, --part, --notes and --without-notes name. Raises ReadError."""
    organ = getattr(arguments, "organ", None)
    document = open_document(
        arguments.score,
        [organ] if organ is not None else [],
        notes=arguments.notes,
        without_notes=arguments.without_notes,
        shelf=shelf,
    )
    if document.notes.organ and not document.organs:
        warn(f"notes: the organ's file {document.notes.organ} is not there; name one with --organ")
    part = getattr(arguments, "part", None)
    if part:
        return replace(document, notes=replace(document.notes, parts=(part,)))
    return document


def warn_of_missing(document: Document, score: Score) -> None:
    """Say which markings the notes speak of that this score has not."""
    for anchor in missing(document.notes, score):
        warn(f"notes: the marking ‘{anchor.text}’ at bar {anchor.measure} was not found; its decisions wait")
