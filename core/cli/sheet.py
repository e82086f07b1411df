"""``stopwright sheet``: the registration sheet of a piece for one organ."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from fractions import Fraction

from core.analysis import Analysis
from core.cli.organ_page import add_paper_options, format_of, write_paper
from core.cli.output import EXIT_DONE, print_json
from core.cli.piece import add_piece_arguments, analyse_arguments
from core.cli.pistons import add_free_arguments, read_free
from core.cli.snippets import snippets_of
from core.errors import UsageError
from core.export.paper import Picture, paper_to_json
from core.export.plain_text import page_text
from core.export.sheet import sheet_paper
from core.pistons.demands import demands_of
from core.pistons.model import PistonPlan
from core.pistons.planning import plan_pistons


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    add_piece_arguments(parser, organ_required=True)
    add_paper_options(parser)
    parser.add_argument("--pistons", action="store_true", help="plan pistons, and say which to press")
    add_free_arguments(parser)
    parser.add_argument("--specification", action="store_true", help="add every stop of the organ, not only those used")
    parser.add_argument("--cues", action="store_true", help="show the music of the bar at each change (HTML and PDF)")


def run(arguments: argparse.Namespace) -> int:
    """Make the sheet."""
    kind = format_of(arguments.output, arguments.score)
    analysis = analyse_arguments(arguments)
    if analysis.organ is None:
        raise UsageError("a registration sheet needs an organ", remedy="Name one with --organ.")
    paper = sheet_paper(
        analysis,
        plan=_plan(analysis, arguments),
        pictures=_pictures(analysis, arguments),
        large=arguments.large,
        whole_specification=arguments.specification,
    )
    if arguments.output:
        write_paper(paper, kind, arguments)
    if arguments.json:
        print_json("sheet", {"sheet": paper_to_json(paper)})
    elif not arguments.output:
        sys.stdout.write(page_text(paper))
    return EXIT_DONE


def _plan(analysis: Analysis, arguments: argparse.Namespace) -> PistonPlan | None:
    told = arguments.generals or arguments.divisionals or arguments.levels or arguments.stepper or arguments.steps
    if not (arguments.pistons or told):
        return None
    organ = analysis.organ
    assert organ is not None
    demands = demands_of([analysis], hand_moves=arguments.by_hand)
    return plan_pistons(organ, demands, read_free(organ, arguments), titles=[analysis.score.title])


def _pictures(analysis: Analysis, arguments: argparse.Namespace) -> Mapping[int, Picture] | None:
    """The music of every bar at which something changes, from whoever can engrave."""
    if not arguments.cues:
        return None
    return snippets_of(arguments, sorted({step.at.bar for step in analysis.steps if step.at.onset > Fraction(0)}))
