"""``stopwright plan``: the registration in force, step by step, and the solo passages."""

from __future__ import annotations

import argparse

from core.analysis import Analysis
from core.cli.output import exit_status, print_json
from core.cli.piece import add_piece_arguments, analyse_arguments
from core.export.plan import passage_to_json, step_to_json, steps_to_text, ways_in
from core.practice.changes import changes_of


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add_piece_arguments(parser, organ_required=True)


def run(arguments: argparse.Namespace) -> int:
    """Play a score through on an organ."""
    analysis = analyse_arguments(arguments)
    if arguments.json:
        print_json("plan", to_json(analysis))
    else:
        print(steps_to_text(analysis))
    return exit_status(f.level.value for step in analysis.steps for f in step.findings)


def to_json(analysis: Analysis) -> dict[str, object]:
    """Steps, passages and unread words as the machine interface has them."""
    assert analysis.organ is not None
    changes = changes_of(analysis.score, analysis.steps, analysis.lines)
    return {
        "steps": [
            step_to_json(analysis.organ, step, change, way)
            for step, change, way in zip(analysis.steps, changes, ways_in(analysis), strict=True)
        ],
        "passages": [passage_to_json(analysis.organ, p) for p in analysis.passages],
        "unread": [
            {
                "text": unread.text,
                "marking": mark.text.text,
                "at": analysis.score.position(mark.text.onset, mark.text.bar).to_json(),
                "staff": mark.text.staff,
            }
            for mark in analysis.markings.marks
            for unread in mark.reading.unread
        ],
    }
