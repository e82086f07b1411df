"""``stopwright engrave``: the score on paper, as PDF or SVG, with or without its findings."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.cli.output import EXIT_DONE, Door, print_json
from core.cli.piece import add_piece_arguments, analyse_arguments
from core.errors import UsageError, WriteError
from core.export.paper import PaperSize
from core.score.source import read_source

_ENDINGS = (".pdf", ".svg")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    add_piece_arguments(parser, organ_required=False)
    parser.add_argument(
        "-o", "--output", metavar="FILE", required=True, help="write FILE.pdf, or FILE-1.svg, FILE-2.svg and so on"
    )
    parser.add_argument("--findings", action="store_true", help="show where something will not work")
    parser.add_argument(
        "--paper",
        choices=[size.value for size in PaperSize],
        default=PaperSize.A4.value,
        help="the paper (default: a4)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Engrave a score."""
    output = Path(arguments.output)
    if output.suffix.lower() not in _ENDINGS:
        raise UsageError(f"{output}: a score is engraved as .pdf or .svg", remedy="Give the file such an ending")
    if output.exists() and output.samefile(arguments.score):
        raise WriteError("this is the score itself", path=str(output), remedy="Choose another name.")
    door: Door | None = arguments.doors.get("engrave")
    if door is None:
        raise UsageError("the music cannot be engraved here", remedy="Start the program as ‘stopwright’")
    findings = analyse_arguments(arguments).findings if arguments.findings else ()
    written: list[str] = []
    door(read_source(arguments.score), output, PaperSize(arguments.paper), findings, written)
    if arguments.json:
        print_json("engrave", {"written": written})
    else:
        print("\n".join(f"written: {name}" for name in written))
    return EXIT_DONE
