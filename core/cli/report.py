"""``stopwright report``: the proof report, with queries to the author numbered once and for all."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace

from core.analysis import STAGES, Analysis, analyse_document
from core.checks.queries import asked_of, number_queries, settle
from core.cli.decided import open_arguments, warn_of_missing
from core.cli.organ_page import add_paper_options, format_of, write_paper
from core.cli.output import FAIL_ON, exit_status, print_json
from core.cli.piece import add_piece_arguments
from core.cli.progress import Progress
from core.cli.snippets import snippets_of
from core.cli.words import words_named
from core.document import Document, Shelf, save_notes
from core.errors import UsageError
from core.export.paper import Picture
from core.export.plain_text import page_text
from core.export.report import Line, report_lines, report_paper, report_to_csv, report_to_json
from core.files import write_bytes
from core.findings import Finding
from core.markings.house_style import read_style

_FORM = "Write the query's number and the answer: 3=the Oboe is meant."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    add_piece_arguments(parser, organ_required=False)
    parser.add_argument("--style", metavar="STYLE", help="prove the wording against a house style, as in check")
    add_paper_options(parser)
    parser.add_argument("--cues", action="store_true", help="show the music of each bar named (HTML and PDF)")
    parser.add_argument("--csv", metavar="FILE", help="write the lines as a table")
    parser.add_argument(
        "--number",
        action="store_true",
        help="give every error and everything to decide a query's number; kept in the notes file",
    )
    parser.add_argument(
        "--answer", metavar="N=TEXT", action="append", default=[], help="the author's answer to a query; kept so too"
    )
    parser.add_argument(
        "--let-stand", metavar="N=WHY", action="append", default=[], help="let a query stand; kept so too"
    )
    parser.add_argument("--fail-on", choices=FAIL_ON, default="never", help="exit with 1 from this level on (never)")


def run(arguments: argparse.Namespace) -> int:
    """Report on a score."""
    kind = format_of(arguments.output, arguments.score)
    shelf = Shelf()
    document = open_arguments(arguments, shelf)
    style = read_style(arguments.style) if arguments.style is not None else None
    words = words_named(arguments, arguments.score)
    with Progress(STAGES) as progress:
        analysis = analyse_document(
            document, language=arguments.language, words=words, style=style, told=progress.begin
        )
    warn_of_missing(document, analysis.score)
    found = (*analysis.findings, *(d.finding for d in analysis.report.dismissed))
    document = _decided(arguments, document, analysis, shelf)
    lines = report_lines(analysis, asked_of(document.notes, found, analysis.score))
    paper = report_paper(analysis, lines, pictures=_pictures(lines, arguments), large=arguments.large)
    if arguments.output:
        write_paper(paper, kind, arguments)
    if arguments.csv:
        write_bytes(arguments.csv, report_to_csv(lines).encode("utf-8"))
    if arguments.json:
        print_json("report", {"lines": report_to_json(lines), "open": _open(lines)})
    elif not arguments.output and not arguments.csv:
        sys.stdout.write(page_text(paper))
    return exit_status((f.level.value for f in _unsettled(lines)), arguments.fail_on)


def _pictures(lines: tuple[Line, ...], arguments: argparse.Namespace) -> dict[int, Picture] | None:
    if not arguments.cues:
        return None
    return snippets_of(arguments, sorted({x.finding.at.bar for x in lines if x.finding and x.finding.at}))


def _decided(arguments: argparse.Namespace, document: Document, analysis: Analysis, shelf: Shelf) -> Document:
    """The document with numbers and answers, saved where there is something new."""
    notes = document.notes
    if arguments.number:
        notes = number_queries(notes, analysis.findings, analysis.score)
    for state, texts in (("answered", arguments.answer), ("stands", arguments.let_stand)):
        for text in texts:
            number, answer = _read(text)
            notes = settle(notes, number, state, answer)
    if notes == document.notes:
        return document
    document = replace(document, notes=notes)
    save_notes(document, shelf)
    return document


def _read(text: str) -> tuple[int, str]:
    number, sign, answer = text.partition("=")
    if not sign or not number.strip().isdecimal():
        raise UsageError(f"{text!r} is not understood", remedy=_FORM)
    return int(number), answer.strip()


def _open(lines: tuple[Line, ...]) -> int:
    return sum(line.state == "open" for line in lines)


def _unsettled(lines: tuple[Line, ...]) -> list[Finding]:
    return [line.finding for line in lines if line.finding is not None and line.state not in ("answered", "stands")]
