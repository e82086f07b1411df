"""``stopwright mark``: write the score with markings added; every other byte stays as it was."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from core.analysis import analyse_document
from core.cli.decided import add_notes_arguments, open_arguments
from core.cli.organ_page import format_of, write_paper
from core.cli.output import EXIT_DONE, print_json
from core.document import Document, Shelf, save_score, score_of
from core.edits import AddMarking, apply
from core.errors import EditError, UsageError
from core.export.front_page import front_page
from core.export.paper import PaperSize
from core.marking_up.model import MarkedUp, Resolved, Wishes
from core.marking_up.writing import mark_up
from core.markings.house_style import read_style
from core.score.model import Bar, Score

_FORM = "Write MEASURE:BEAT:STAFF:TEXT, for example '12:1:1:Sw. Oboe'."


@dataclass(frozen=True, slots=True)
class Asked:
    """One ``--add`` as it was written."""

    measure: str
    beat: Fraction
    staff: int
    text: str


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    parser.add_argument("score", metavar="SCORE", help="the score (.musicxml, .xml or .mxl)")
    parser.add_argument("-o", "--output", metavar="OUT", required=True, help="where to write it")
    parser.add_argument(
        "--add",
        metavar="M:B:S:TEXT",
        action="append",
        default=[],
        help="add a marking: measure as printed, beat, staff counted from the top, text (may be repeated)",
    )
    parser.add_argument("--organ", metavar="SPEC", help="the organ's specification")
    parser.add_argument(
        "--resolved",
        choices=[where.value for where in Resolved],
        help="write the stops that answer each marking: under it in brackets, instead of it, as footnotes, or as a "
        "layer of small text",
    )
    parser.add_argument("--solo-brackets", action="store_true", help="brackets round the solos whose ends are known")
    parser.add_argument("--opening-block", action="store_true", help="what is drawn before playing, a line a keyboard")
    parser.add_argument("--portable", action="store_true", help="beside named stops what would do on another organ")
    parser.add_argument("--rewrite", action="store_true", help="all markings in the language and style of --style")
    parser.add_argument("--style", metavar="STYLE", help="of what is written: en, fr, de, it, es, nl or a file (YAML)")
    parser.add_argument(
        "--front-page", metavar="FILE", help="write a front page: specification, abbreviations, what may be replaced"
    )
    parser.add_argument("--part", metavar="PART", help="the organist's part, by its name or id in the score")
    add_notes_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def run(arguments: argparse.Namespace) -> int:
    """Write the marked-up score."""
    asked = [read_addition(text) for text in arguments.add]
    shelf = Shelf()
    document = open_arguments(arguments, shelf)
    try:
        document, added = add_markings(document, asked)
    except (EditError, UsageError) as error:
        error.path = error.path or str(arguments.score)
        raise
    kind = format_of(arguments.front_page, arguments.score) if arguments.front_page else ""
    marked = _marked_up(document, arguments)
    save_score(marked.document, arguments.output, shelf)
    if arguments.front_page:
        _front_page(marked, kind, arguments)
    kept = shelf.backup_of(arguments.output)
    if arguments.json:
        backup = str(kept) if kept else None
        print_json(
            "mark",
            {
                "output": str(arguments.output),
                "added": added,
                "backup": backup,
                "written": [str(said) for said in marked.written],
                "left_out": [
                    {"text": one.text, "why": str(one.why), "at": one.at.to_json() if one.at else None}
                    for one in marked.left
                ],
            },
        )
    else:
        print(summary(arguments.output, added, kept, marked))
    return EXIT_DONE


def _marked_up(document: Document, arguments: argparse.Namespace) -> MarkedUp:
    """The document with what the options ask for; itself where they ask for nothing."""
    resolved = Resolved(arguments.resolved) if arguments.resolved else None
    asked = (resolved, arguments.solo_brackets, arguments.opening_block, arguments.portable, arguments.rewrite)
    if not any(asked) and not arguments.front_page:
        return MarkedUp(document=document)
    analysis = analyse_document(document)
    if analysis.organ is None and (resolved or arguments.opening_block or arguments.front_page):
        raise UsageError("the stops of which organ?", remedy="Name one with --organ.")
    wishes = Wishes(
        style=read_style(arguments.style or analysis.markings.language or "en"),
        resolved=resolved,
        solos=arguments.solo_brackets,
        opening=arguments.opening_block,
        rewrite=arguments.rewrite,
        portable=arguments.portable,
    )
    return mark_up(document, wishes, analysis) if any(asked) else MarkedUp(document=document)


def _front_page(marked: MarkedUp, kind: str, arguments: argparse.Namespace) -> None:
    analysis = analyse_document(marked.document)
    style = read_style(arguments.style or analysis.markings.language or "en")
    paper = front_page(analysis, style)
    place = argparse.Namespace(output=arguments.front_page, paper=PaperSize.A4.value, doors=arguments.doors)
    write_paper(paper, kind, place)


def read_addition(text: str) -> Asked:
    """An ``--add`` taken apart.

    Raises:
        UsageError: it is not of that form.
    """
    parts = text.split(":", 3)
    if len(parts) < 4:
        raise UsageError(f"--add {text!r} is not understood", remedy=_FORM)
    measure, beat, staff, words = parts
    try:
        at = sum((Fraction(piece) for piece in beat.split()), Fraction(0))
    except (ValueError, ZeroDivisionError):
        at = Fraction(0)
    if at < 1:
        raise UsageError(f"--add {text!r}: {beat!r} is no beat of a bar; beats count from 1", remedy=_FORM)
    if not staff.strip().isdecimal() or int(staff) < 1:
        raise UsageError(f"--add {text!r}: {staff!r} is no staff; staves count from 1", remedy=_FORM)
    if not words.strip():
        raise UsageError(f"--add {text!r} has no text", remedy=_FORM)
    return Asked(measure.strip(), at, int(staff), words.strip())


def add_markings(document: Document, asked: list[Asked]) -> tuple[Document, list[dict[str, Any]]]:
    """The document with markings added, and what was added for the JSON.

    Raises:
        UsageError: there is no such measure, beat or staff.
        EditError: the file cannot be edited, or not there.
    """
    score = score_of(document)
    added: list[dict[str, Any]] = []
    for one in asked:
        edit = locate(score, one)
        done = apply(document, edit, score)
        document, score = done.document, done.score or score
        onset = score.bars[edit.bar].onset + edit.in_bar
        added.append(
            {
                "text": edit.text,
                "at": score.position(onset, edit.bar).to_json(),
                "part": score.parts[edit.part].id,
                "staff": one.staff,
            }
        )
    return document, added


def locate(score: Score, asked: Asked) -> AddMarking:
    """The edit that an ``--add`` means in this score.

    Raises:
        UsageError: there is no such measure, beat or staff.
    """
    bar = next((bar for bar in score.bars if bar.number == asked.measure), None)
    if bar is None:
        first, last = (score.bars[0].number, score.bars[-1].number) if score.bars else ("-", "-")
        raise UsageError(
            f"no measure bears the number {asked.measure}",
            remedy=f"This score's go from {first} to {last}.",
        )
    part, staff = _staff(score, asked.staff)
    return AddMarking(
        part=part,
        bar=bar.index,
        staff=staff,
        in_bar=_ticks(score, bar, asked.beat),
        text=asked.text,
        measure=bar.number,
    )


def _ticks(score: Score, bar: Bar, beat: Fraction) -> int:
    ticks = (beat - 1) * Fraction(4, bar.beat_type) * score.ticks
    if ticks >= bar.length:
        raise UsageError(
            f"measure {bar.number} has no beat {beat}",
            remedy=f"It has {bar.beats} beats." if bar.beats.isdecimal() else "",
        )
    if ticks.denominator != 1:
        raise UsageError(
            f"measure {bar.number}: beat {beat} lies between the steps in which the score counts time",
            remedy="Choose a beat with a note.",
        )
    return ticks.numerator


def _staff(score: Score, number: int) -> tuple[int, int]:
    """The part, and the staff within it, of a staff counted from the top through the organ's parts."""
    parts = score.organ_parts or tuple(range(len(score.parts)))
    left = number
    for part in parts:
        if left <= score.parts[part].staves:
            return part, left
        left -= score.parts[part].staves
    count = sum(score.parts[part].staves for part in parts)
    raise UsageError(f"the organ has no staff {number} in this score", remedy=f"It has {count}.")


def summary(output: str | Path, added: list[dict[str, Any]], kept: Path | None, marked: MarkedUp) -> str:
    """What was done, in a line or two; then what was left out."""
    number = len(added) + len(marked.written)
    count = "1 marking" if number == 1 else f"{number} markings"
    done = f"Written, with {count} added or changed: {output}" if number else f"Written, unchanged: {output}"
    if added and not marked.written:
        done = f"Written, with {count} added: {output}"
    for one in marked.left:
        place = f"bar {one.at.measure}: " if one.at else ""
        done += f"\nLeft out: {place}{f'“{one.text}”, ' if one.text else ''}{one.why}"
    return f"{done}\nThe file as it was: {kept}" if kept else done
