"""Shared by the commands that read markings: ``--words``, the user's own words."""

from __future__ import annotations

import argparse

from core.cli.output import warn
from core.markings.lexicon import Lexicon
from core.markings.words_places import find_place


def add_words_argument(parser: argparse.ArgumentParser) -> None:
    """Add --words."""
    parser.add_argument("--words", metavar="FILE", help="words of your own (YAML); else NAME.words.yaml by the score")


def words_named(arguments: argparse.Namespace, score: str | None = None) -> Lexicon | None:
    """The words that --words names, or that stand beside the score or in the settings folder. Raises ReadError."""
    place = find_place(getattr(arguments, "words", None), score)
    if place is None:
        return None
    from core.markings.user_words import load_words

    words = load_words(place)
    for said in words.shadows:
        warn(f"words: {said}")
    return words.lexicon
