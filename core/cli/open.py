"""``stopwright open``: a score and organs in the window."""

from __future__ import annotations

import argparse

from core.cli.output import Door
from core.errors import UsageError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument(
        "score", metavar="SCORE", nargs="?", help="a MusicXML score; without one the opening page is shown"
    )
    parser.add_argument(
        "--organ",
        metavar="SPEC",
        action="append",
        default=[],
        help="a specification (.yaml) or a stop list (.txt); may be given several times",
    )
    add_pictures(parser)


def add_pictures(parser: argparse.ArgumentParser) -> None:
    """Add --pictures."""
    parser.add_argument(
        "--pictures",
        metavar="FOLDER",
        help="write the view as PNG and HTML into FOLDER and open no window (done by itself, into "
        "./demo-output, where there is no display)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Open the window."""
    if arguments.score is not None:
        _must_be_usable(arguments.score, arguments.organ)
    door = window_door(arguments)
    return door(arguments.score, arguments.organ, pictures=arguments.pictures)


def _must_be_usable(score: str, organs: list[str]) -> None:
    """Say on the command line what cannot be read, before a window opens. Raises ReadError."""
    from core.document import open_document
    from core.score.tree import read_tree

    source = open_document(score, organs).source
    if source is not None:
        read_tree(source)


def window_door(arguments: argparse.Namespace) -> Door:
    """The door to the window. Raises UsageError where the program was started without one."""
    door: Door | None = arguments.doors.get("open")
    if door is None:
        raise UsageError("the window is not to be had here", remedy="Start the program as ‘stopwright’")
    return door
