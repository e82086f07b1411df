"""``stopwright pistons``: the fewest combinations that play a programme, and which is pressed where."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from core.analysis import Analysis, analyse_document
from core.cli.decided import add_notes_arguments
from core.cli.output import EXIT_DONE, EXIT_FINDINGS, print_json
from core.document import Document, Shelf, open_document, save_score
from core.edits import apply
from core.errors import UsageError
from core.export.pistons import former_from_json, numbers_as_edit, plan_to_csv, plan_to_json, plan_to_text
from core.files import read_bytes, write_bytes
from core.organ.model import Organ
from core.pistons.demands import demands_of
from core.pistons.freeing import free_slots, read_numbers
from core.pistons.model import Free, PistonPlan
from core.pistons.planning import Former, plan_pistons

_LARGEST = 16 * 2**20  # bytes of a former plan


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    parser.add_argument(
        "scores", metavar="SCORE", nargs="+", help="the score; several are one programme in their order"
    )
    parser.add_argument("--organ", metavar="SPEC", required=True, help="the organ (.yaml, or a plain stop list)")
    add_free_arguments(parser)
    parser.add_argument("--keep", metavar="FILE", help="a former plan (--json) whose numbers stay")
    parser.add_argument("--seconds", metavar="S", type=float, default=10.0, help="how long to seek the fewest (10)")
    parser.add_argument("--csv", metavar="FILE", help="write the combinations as a table for the bench")
    parser.add_argument("--write", metavar="OUT", help="write the score with the pistons at their bars (one SCORE)")
    add_notes_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document for programs")


def add_free_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options that say which pistons are free."""
    parser.add_argument("--generals", metavar="N-M", help="general pistons that are free: 1-4,7; 0 for none")
    parser.add_argument(
        "--divisionals",
        metavar="DIVISION:N-M",
        action="append",
        help="free pistons of a division: Swell:1-3 (may be repeated)",
    )
    parser.add_argument("--levels", metavar="N-M", help="memory levels that are free; each piece stays on one")
    parser.add_argument("--stepper", action="store_true", help="plan for a stepper instead of pistons")
    parser.add_argument("--steps", metavar="N-M", help="steps that are free (a stepper)")
    parser.add_argument(
        "--by-hand", metavar="N", type=int, help="most stops to move by hand at a change (4); 0 leaves all to pistons"
    )


def run(arguments: argparse.Namespace) -> int:
    """Plan the pistons of a programme."""
    if arguments.write and len(arguments.scores) > 1:
        raise UsageError(
            "--write takes one score at a time", remedy="Plan the whole programme, then write piece by piece."
        )
    shelf = Shelf()
    documents = [_opened(arguments, score, shelf) for score in arguments.scores]
    analyses = [analyse_document(document) for document in documents]
    organ = analyses[0].organ
    if organ is None:
        raise UsageError("a piston plan needs an organ", remedy="Name one with --organ.")
    plan = plan_pistons(
        organ,
        demands_of(analyses, hand_moves=arguments.by_hand),
        read_free(organ, arguments),
        titles=[a.score.title or Path(s).stem for a, s in zip(analyses, arguments.scores, strict=True)],
        former=_former(arguments.keep),
        seconds=arguments.seconds,
    )
    if arguments.csv:
        write_bytes(arguments.csv, plan_to_csv(organ, plan).encode("utf-8"))
    if arguments.write:
        _write(documents[0], analyses[0], plan, arguments.write, shelf)
    if arguments.json:
        print_json("pistons", plan_to_json(organ, plan))
    else:
        print(plan_to_text(organ, plan))
    return EXIT_FINDINGS if plan.impossible else EXIT_DONE


def _opened(arguments: argparse.Namespace, score: str, shelf: Shelf) -> Document:
    return open_document(
        score, [arguments.organ], notes=arguments.notes, without_notes=arguments.without_notes, shelf=shelf
    )


def _former(path: str | None) -> Former | None:
    if not path:
        return None
    data, _ = read_bytes(path, limit=_LARGEST)
    return former_from_json(data.decode("utf-8", errors="replace"), path)


def _write(document: Document, analysis: Analysis, plan: PistonPlan, out: str, shelf: Shelf) -> None:
    edit = numbers_as_edit(analysis, plan)
    if edit is not None:
        document = apply(document, edit, None).document
    save_score(document, out, shelf)


def read_free(organ: Organ, arguments: argparse.Namespace) -> Free:
    """The free slots that the command's words name.

    Raises:
        UsageError: a range or a division is not understood.
    """
    steps = read_numbers(arguments.steps, "--steps") if arguments.steps else ()
    return free_slots(
        organ,
        generals=None if arguments.generals is None else read_numbers(arguments.generals, "--generals"),
        divisionals=dict(_divisionals(organ, arguments.divisionals)) if arguments.divisionals else None,
        levels=read_numbers(arguments.levels, "--levels") if arguments.levels else (),
        steps=(min(steps), max(steps)) if steps else None,
        stepper=arguments.stepper,
    )


def _divisionals(organ: Organ, asked: list[str]) -> Iterator[tuple[str, tuple[int, ...]]]:
    for text in asked:
        name, colon, numbers = text.rpartition(":")
        found = [d for d in organ.divisions if name.casefold() in (d.name.casefold(), d.id)]
        if not colon or not found:
            known = ", ".join(d.name for d in organ.divisions)
            raise UsageError(
                f"--divisionals {text!r} is not understood", remedy=f"Write DIVISION:1-3; the divisions are {known}."
            )
        yield found[0].id, read_numbers(numbers, "--divisionals")
