"""The proof report: findings by bar, with the queries to the author; as a paper, as CSV and as JSON."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.analysis import Analysis
from core.checks.queries import Asked
from core.edit_values import short
from core.export.paper import Column, Flow, Group, Paper, Picture, Row, Run, Runs, plain, row
from core.export.tables import safe_cell
from core.export.wording import bar as bar_words
from core.export.wording import shown as worded
from core.export.wording import told
from core.findings import RANK, Finding, Level
from core.score.printed_places import PrintedPlace, printed_places
from core.texts import say

LEVELS = {Level.ERROR: "cannot be done", Level.WARNING: "to decide", Level.ADVICE: "advice"}
SIGNS = {Level.ERROR: "▲", Level.WARNING: "◆", Level.ADVICE: "●"}
STATES = {"open": "open", "answered": "answered", "stands": "let stand"}
_COLUMNS = (
    "query", "state", "page", "system", "measure", "beat", "staff", "level", "rule", "message", "why", "marking",
    "remedies", "answer",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the report.

    Attributes:
        query: its query, where it has a number.
        paper: page and system by the file's own breaks, where it has any.
        marking: the text that it speaks of, as printed.
        settled: the fault of this query is no longer in the score.
        reason: why the user let it stand.
    """

    finding: Finding | None
    query: Asked | None
    paper: PrintedPlace | None
    marking: str
    reason: str = ""

    @property
    def state(self) -> str:
        """``open``, ``answered``, ``stands``, ``gone``; "" where it is no query and was not let stand."""
        if self.query is not None and self.query.finding is None:
            return "gone"
        if self.query is not None and self.query.query.state != "open":
            return self.query.query.state
        if self.reason:
            return "stands"
        return "open" if self.query is not None else ""


def report_lines(analysis: Analysis, asked: Sequence[Asked]) -> tuple[Line, ...]:
    """All lines in the order of the score: findings, those let stand, and queries whose fault is gone at the end."""
    places = printed_places(analysis.score)
    texts = {m.id: " ".join(m.text.text.split()) for m in analysis.markings.all_texts}
    queries = {id(a.finding): a for a in asked if a.finding is not None}
    found = [(f, "") for f in analysis.findings]
    found += [(d.finding, d.reason or "let stand") for d in analysis.report.dismissed]
    found.sort(key=lambda pair: (pair[0].at.onset if pair[0].at else -1, -RANK[pair[0].level]))
    lines = [
        Line(
            finding=finding,
            query=queries.get(id(finding)),
            paper=places[finding.at.bar] if places and finding.at else None,
            marking=texts.get(finding.marking, "") if finding.marking else "",
            reason=reason,
        )
        for finding, reason in found
    ]
    lines += [Line(finding=None, query=a, paper=None, marking="") for a in asked if a.finding is None]
    return tuple(lines)


# ---------------------------------------------------------------- paper
def report_paper(
    analysis: Analysis, lines: Sequence[Line], *, pictures: Mapping[int, Picture] | None = None, large: bool = False
) -> Paper:
    """The report.

    Args:
        analysis: of the piece.
        lines: as `report_lines` gives them.
        pictures: snippets of the music, by bar index.
        large: in large print.
    """
    organ = told("on {organ}", organ=analysis.organ.name) if analysis.organ else ""
    counts = Counter(line.finding.level for line in lines if line.finding is not None and not line.reason)
    summary = ", ".join(f"{counts[level]} {told(LEVELS[level])}" for level in Level if counts[level])
    rows: list[Row] = []
    shown: set[int] = set()
    for line in lines:
        rows.append(_row(line))
        bar = line.finding.at.bar if line.finding and line.finding.at else None
        if pictures and bar is not None and bar in pictures and bar not in shown:
            shown.add(bar)
            rows.append(Row(picture=pictures[bar]))
    group = Group(
        head=row("", told("Place"), told("What"), told("Remedy")),
        rows=tuple(rows),
        columns=(Column(share=0), Column(share=0), Column(share=3), Column(share=2)),
        ruled=True,
    )
    if not rows:
        group = Group(rows=(row(told("Nothing to report.")),))
    skipped = ", ".join(s.rule for s in analysis.report.skipped)
    notes = (
        (Group(rows=(row(told("Not looked at without an organ: {rules}", rules=skipped)),), small=True),)
        if skipped
        else ()
    )
    return Paper(
        title=told("Proof of {title}", title=analysis.score.title or say("an untitled piece")),
        under=tuple(text for text in (organ, summary) if text),
        flows=(Flow(groups=(group, *notes)),),
        large=large,
    )


def _row(line: Line) -> Row:
    finding, query = line.finding, line.query
    number = f"Q{query.query.number}" if query else ""
    sign = SIGNS[finding.level] if finding else "✓"
    return Row(cells=(plain(f"{sign} {number}".strip()), plain(_place(line)), _what(line), plain(_remedies(finding))))


def _what(line: Line) -> Runs:
    if line.finding is None:
        assert line.query is not None
        return (Run(told("{message}: no longer found", message=line.query.query.message)), *_answer(line))
    quoted = f"“{short(line.marking)}” " if line.marking else ""
    return (
        Run(quoted),
        Run(worded(line.finding.message)),
        Run(f"\n{worded(line.finding.why)}", italic=True),
        *_answer(line),
    )


def _answer(line: Line) -> Runs:
    answer = line.query.query.answer if line.query else ""
    if line.state in ("answered", "stands"):
        said = answer or line.reason
        return (Run(f"\n{told(STATES[line.state])}{': ' + said if said else ''}", bold=True),)
    return ()


def _place(line: Line) -> str:
    if line.finding is None or line.finding.at is None:
        return told("piece") if line.finding else ""
    at = line.finding.at
    paper = ""
    if line.paper:
        paper = "\n" + told("page {page}, system {system}", page=line.paper.page, system=line.paper.system)
    return bar_words(at.measure, at.beat) + paper


def _remedies(finding: Finding | None) -> str:
    return "\n".join(worded(p.text) for p in finding.proposals[:3]) if finding else ""


# ---------------------------------------------------------------- tables
def report_to_json(lines: Sequence[Line]) -> list[dict[str, object]]:
    """The lines for programs."""
    return [
        {
            "query": line.query.query.number if line.query else None,
            "state": line.state or None,
            "answer": (line.query.query.answer if line.query else "") or line.reason or None,
            "page": line.paper.page if line.paper else None,
            "system": line.paper.system if line.paper else None,
            "marking": line.marking or None,
            "finding": line.finding.to_json() if line.finding else None,
            "asked": line.query.query.message if line.query else None,
        }
        for line in lines
    ]


def report_to_csv(lines: Sequence[Line]) -> str:
    """One row a line; cells that a spreadsheet would take for a formula are quoted."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for line in lines:
        finding = line.finding
        at = finding.at if finding else None
        message = str(finding.message) if finding else (line.query.query.message if line.query else "")
        writer.writerow(
            [
                line.query.query.number if line.query else "",
                line.state,
                line.paper.page if line.paper else "",
                line.paper.system if line.paper else "",
                safe_cell(at.measure) if at else "",
                at.beat if at else "",
                (finding.staff or "") if finding else "",
                finding.level.value if finding else "",
                finding.rule if finding else (line.query.query.rule if line.query else ""),
                safe_cell(message),
                safe_cell(str(finding.why)) if finding else "",
                safe_cell(line.marking),
                safe_cell("; ".join(str(p.text) for p in finding.proposals)) if finding else "",
                safe_cell((line.query.query.answer if line.query else "") or line.reason),
            ]
        )
    return out.getvalue()
