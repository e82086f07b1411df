"""``stopwright demo``: the built-in piece on a built-in organ: its findings, then the window."""

from __future__ import annotations

import argparse
from importlib import resources
from pathlib import Path

from core.analysis import analyse_document
from core.cli.check import to_text
from core.cli.open import add_pictures, window_door
from core.document import open_document

PIECE = "demo_piece.musicxml"
ORGAN = "english_three_manual.yaml"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add_pictures(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the findings, then open the window."""
    folder = Path(str(resources.files("sample_specs")))
    piece, organ = folder / PIECE, folder / ORGAN
    print(to_text(analyse_document(open_document(piece, [organ]))), flush=True)
    return window_door(arguments)(piece, [organ], pictures=arguments.pictures)
