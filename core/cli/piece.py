"""Shared by the commands that take a score and perhaps an organ: arguments, reading, analysis."""

from __future__ import annotations

import argparse

from core.analysis import STAGES, Analysis, analyse_document
from core.cli.decided import add_notes_arguments, open_arguments, warn_of_missing
from core.cli.progress import Progress
from core.cli.words import add_words_argument, words_named
from core.markings.house_style import Style
from core.practice.player import MOST_ASSISTANTS, Player


def add_piece_arguments(parser: argparse.ArgumentParser, *, organ_required: bool) -> None:
    """Add SCORE, --organ, --part, --notes, --without-notes, --language and --json."""
    parser.add_argument("score", metavar="SCORE", help="a MusicXML score (.musicxml, .xml or .mxl)")
    parser.add_argument(
        "--organ",
        metavar="SPEC",
        required=organ_required,
        help="the organ: a specification (.yaml) or a plain stop list (.txt)",
    )
    parser.add_argument("--part", metavar="PART", help="the organist's part, by its name or id in the score")
    add_notes_arguments(parser)
    parser.add_argument(
        "--assistants",
        metavar="N",
        type=int,
        choices=range(MOST_ASSISTANTS + 1),
        default=0,
        help="people who draw stops and turn pages beside the player: 0, 1 or 2 (default: 0)",
    )
    parser.add_argument("--language", metavar="LL", help="language of the markings: en, fr, de, it, es, nl")
    add_words_argument(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document for programs")


def analyse_arguments(arguments: argparse.Namespace, *, style: Style | None = None) -> Analysis:
    """Read what the arguments name and run the whole walk. Raises StopwrightError for unusable input."""
    document = open_arguments(arguments)
    words = words_named(arguments, arguments.score)
    player = Player(assistants=getattr(arguments, "assistants", 0))
    with Progress(STAGES) as progress:
        analysis = analyse_document(
            document, language=arguments.language, words=words, style=style, told=progress.begin, player=player
        )
    warn_of_missing(document, analysis.score)
    return analysis
