"""Makes the papers of a piece, beside the window: each from what was decided, and from the options asked."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from app.engraving import engraved_pages
from app.open_finding import dismissal
from app.own_words import Aids
from app.papers_options import Values
from app.papers_printable import PrintablePaper, PrintableScore
from app.papers_stop import Stop
from app.papers_view import Asked
from app.printing import pictures_of
from app.translation import catalogue, tr
from core.analysis import Analysis, analyse_document
from core.checks.queries import asked_of
from core.compare.editions import compare_editions
from core.compare.effects import effects_of
from core.compare.organs import play_on
from core.document import Document, OrganFile, open_document
from core.edits import Edit, Together, apply
from core.errors import UsageError
from core.export.editions import editions_paper, editions_to_json
from core.export.front_page import front_page
from core.export.needs_page import Against, needs_paper
from core.export.paper import Paper, PaperSize, Picture
from core.export.pistons import plan_to_csv, plan_to_json
from core.export.proof_marks import marks_on
from core.export.report import Line, report_lines, report_paper, report_to_csv, report_to_json
from core.export.sheet import sheet_paper
from core.export.wording import speaking
from core.findings import Finding
from core.markings.house_style import read_style
from core.notes import NO_NOTES
from core.organ.model import AidKind, Organ
from core.pistons.demands import demands_of
from core.pistons.freeing import free_slots, read_numbers
from core.pistons.model import Free, PistonPlan
from core.pistons.planning import Former, plan_pistons
from core.practice.player import Player

SECONDS = 6.0  # to seek the fewest combinations


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a paper is made of: the document and what followed from it when it was asked for."""

    document: Document
    analysis: Analysis
    aids: Aids

    @property
    def organ(self) -> Organ:
        """The chosen organ. Raises UsageError where there is none."""
        if self.analysis.organ is None:
            raise UsageError(tr("This is made for an organ, and none is chosen."), remedy=tr("Open or choose one."))
        return self.analysis.organ


class PrintableSheet(PrintablePaper):
    """A registration sheet, with the plan of its pistons where there is one."""

    def __init__(self, paper: Paper, size: PaperSize, analysis: Analysis, plan: PistonPlan | None) -> None:
        organ = analysis.organ
        tables = {}
        if plan is not None and organ is not None:
            tables = {
                ".csv": lambda: plan_to_csv(organ, plan),
                ".json": lambda: _as_json(plan_to_json(organ, plan)),
            }
        super().__init__(paper, size, tables)
        self.analysis = analysis
        self.plan = plan


class PrintableReport(PrintablePaper):
    """A proof report with its lines."""

    def __init__(self, paper: Paper, size: PaperSize, lines: tuple[Line, ...]) -> None:
        tables = {
            ".csv": lambda: report_to_csv(lines),
            ".json": lambda: _as_json(report_to_json(lines)),
        }
        super().__init__(paper, size, tables)
        self.lines = lines


def _as_json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1) + "\n"


# ---------------------------------------------------------------- the registration sheet and its pistons
def make_sheet(subject: Subject, former: Former | None, asked: Asked) -> PrintableSheet:
    """The registration sheet; numbers of the former plan stay."""
    organ, values = subject.organ, asked.values
    analysis = _with_assistants(subject, int(values["assistants"]), asked.stop)
    plan = None
    if values["pistons"]:
        asked.stop.tell(tr("The fewest pistons are being sought …"))
        by_hand = int(values["by_hand"])
        plan = plan_pistons(
            organ,
            demands_of([analysis], hand_moves=None if by_hand < 0 else by_hand),
            free_of(organ, values),
            titles=[analysis.score.title],
            former=former,
            seconds=SECONDS,
        )
    bars = sorted({step.at.bar for step in analysis.steps if step.at.onset > Fraction(0)})
    pictures = _music(subject, bars, asked.stop) if values["cues"] else None
    with speaking(catalogue()):
        paper = sheet_paper(
            analysis, plan=plan, pictures=pictures, large=asked.large, whole_specification=bool(values["whole"])
        )
    asked.stop.tell(tr("The pages are being set …"))
    return PrintableSheet(paper, asked.size, analysis, plan)


def _with_assistants(subject: Subject, assistants: int, stop: Stop) -> Analysis:
    if assistants == subject.analysis.decisions.player.assistants:
        return subject.analysis
    return _worked_through(subject.document, subject, stop, player=Player(assistants=assistants))


def _worked_through(document: Document, subject: Subject, stop: Stop, **other: Any) -> Analysis:
    return analyse_document(
        document,
        words=subject.aids.lexicon,
        style=subject.aids.style,
        earlier=subject.analysis,
        told=lambda stage: stop.tell(f"{tr(stage)[:1].upper()}{tr(stage)[1:]} …"),
        **other,
    )


def free_of(organ: Organ, values: Values) -> Free:
    """The pistons that the options say are free.

    Raises:
        UsageError: a line is not understood, or nobody says which there are.
    """
    if values["pistons"] == "stepper":
        steps = read_numbers(values["steps"], tr("Free steps")) if values["steps"] else ()
        return free_slots(organ, steps=(min(steps), max(steps)) if steps else None, stepper=True)
    generals = read_numbers(values["generals"], tr("Free generals")) if values["generals"] else None
    divisionals = dict(_divisionals(organ, values["divisionals"])) if values["divisionals"] else None
    kinds = {aid.kind for aid in organ.aids}
    if generals is None and divisionals is None and not kinds & {AidKind.GENERAL, AidKind.DIVISIONAL}:
        raise UsageError(
            tr("The specification of this organ names no pistons that can be set."),
            remedy=tr("Say which are free, for example generals 1-8, or choose the stepper."),
        )
    levels = read_numbers(values["levels"], tr("Free levels")) if values["levels"] else ()
    return free_slots(organ, generals=generals, divisionals=divisionals, levels=levels)


def with_pistons(subject: Subject, edit: Edit) -> Document:
    """The document with a plan's pistons written; that nobody knows what they are set to is let stand: it's planned."""
    document = apply(subject.document, edit, subject.analysis.read).document
    after = analyse_document(document, words=subject.aids.lexicon, earlier=subject.analysis)
    known = {str(finding.message) for finding in subject.analysis.findings}
    reason = tr("it is set as the plan of pistons says")
    stood = tuple(
        dismissal(finding, after.score, reason)
        for finding in after.findings
        if finding.rule == "piston-not-known" and str(finding.message) not in known
    )
    return apply(document, Together(edits=stood), after.read).document if stood else document


def _divisionals(organ: Organ, text: str) -> Iterator[tuple[str, tuple[int, ...]]]:
    for piece in text.split(";"):
        name, _, numbers = piece.strip().rpartition(":")
        wanted = name.strip().casefold()
        found = next((d for d in organ.divisions if wanted in (d.name.casefold(), d.id)), None)
        if found is None:
            known = ", ".join(d.name for d in organ.divisions)
            raise UsageError(
                tr("‘{0}’ is no division with its pistons.").format(piece.strip()),
                remedy=tr("Write Name: 1-3; the divisions are {0}.").format(known),
            )
        yield found.id, read_numbers(numbers, found.name)


def _music(subject: Subject, bars: Sequence[int], stop: Stop) -> Mapping[int, Picture]:
    """The music of these bars."""
    stop.tell(tr("The music is being engraved …"))
    source = subject.document.source
    return pictures_of(source, subject.analysis.score, bars, is_wanted=stop.is_wanted) if source is not None else {}


# ---------------------------------------------------------------- the proof report
def make_report(subject: Subject, asked: Asked) -> PrintableReport:
    """The proof report."""
    analysis = subject.analysis
    found = (*analysis.findings, *(d.finding for d in analysis.report.dismissed))
    lines = report_lines(analysis, asked_of(subject.document.notes, found, analysis.score))
    lines = tuple(line for line in lines if _is_asked_for(line, str(asked.values["which"])))
    bars = sorted({line.finding.at.bar for line in lines if line.finding is not None and line.finding.at})
    pictures = _music(subject, bars, asked.stop) if asked.values["cues"] else None
    with speaking(catalogue()):
        paper = report_paper(analysis, lines, pictures=pictures, large=asked.large)
    asked.stop.tell(tr("The pages are being set …"))
    return PrintableReport(paper, asked.size, lines)


def _is_asked_for(line: Line, which: str) -> bool:
    if which == "queries":
        return line.query is not None
    if which == "open":
        return line.state not in ("answered", "stands", "gone")
    return True


# ---------------------------------------------------------------- what the piece asks for
def make_needs(subject: Subject, asked: Asked) -> PrintablePaper:
    """What the piece asks of any organ, set against the open ones."""
    files = subject.document.organs if asked.values["against"] else ()

    def one_by_one() -> Iterator[OrganFile]:
        for file in files:
            asked.stop.tell(tr("It is being played on {0} …").format(file.organ.name))
            yield file

    played = play_on(subject.document, one_by_one(), words=subject.aids.lexicon)
    against = [Against(analysis=analysis, fit=fit) for analysis, fit in played]
    with speaking(catalogue()):
        return PrintablePaper(needs_paper(subject.analysis, against, large=asked.large), asked.size)


# ---------------------------------------------------------------- two files of one piece
def make_differences(subject: Subject, other: str, names: tuple[str, str], asked: Asked) -> PrintablePaper:
    """How the registration of this file and of another differs; which is the later one, the options say.

    Args:
        subject: the piece that is open.
        other: the other file.
        names: of the open file and of the other.
        asked: how.
    """
    document = subject.document
    asked.stop.tell(tr("The other file is being read …"))
    there = replace(open_document(other, [], without_notes=True), organs=document.organs, chosen=document.chosen)
    theirs = _worked_through(there, subject, asked.stop)
    ours = _worked_through(replace(document, notes=NO_NOTES), subject, asked.stop)
    former, later = theirs, ours
    if asked.values["other"] == "later":
        former, later = ours, theirs
    else:
        names = (names[1], names[0])
    editions, effects = compare_editions(former, later), effects_of(former, later)
    with speaking(catalogue()):
        paper = editions_paper(later.score.title or names[1], names, editions, effects, large=asked.large)
    return PrintablePaper(paper, asked.size, {".json": lambda: _as_json(editions_to_json(editions, effects))})


# ---------------------------------------------------------------- the front page, and the score itself
def make_front_page(subject: Subject, asked: Asked) -> PrintablePaper:
    """The front page of the marked-up score."""
    asked.stop.tell(tr("The page for {0} is being set …").format(subject.organ.name))
    style = read_style(str(asked.values["style"] or subject.analysis.markings.language or "en"))
    with speaking(catalogue()):
        return PrintablePaper(front_page(subject.analysis, style, large=asked.large), asked.size)


def make_score(subject: Subject, asked: Asked) -> PrintableScore:
    """The engraved score, with its findings or without."""
    source = subject.document.source
    if source is None:
        raise UsageError(tr("There is no score."), remedy=tr("Open one first."))
    asked.stop.tell(tr("The music is being engraved …"))
    pages = engraved_pages(source.xml, asked.size, asked.stop.is_wanted)
    findings: tuple[Finding, ...] = subject.analysis.findings if asked.values["findings"] else ()
    marks = [marks_on(page, findings) for page in pages]
    return PrintableScore(pages, subject.analysis.score.title or tr("Untitled piece"), asked.size, marks)
