"""Snippets of the music for commands that print them."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from core.cli.output import Door
from core.errors import UsageError
from core.export.paper import Picture


def snippets_of(arguments: argparse.Namespace, bars: Sequence[int]) -> dict[int, Picture]:
    """The music of some bars (indexes), from whoever can engrave.

    Raises:
        UsageError: nobody can here.
        StopwrightError: the score cannot be engraved.
    """
    door: Door | None = arguments.doors.get("snippets")
    if door is None:
        raise UsageError(
            "the music cannot be engraved here", remedy="Start the program as ‘stopwright’, or leave --cues"
        )
    found: dict[int, Picture] = {}
    door(arguments.score, bars, found)
    return found
