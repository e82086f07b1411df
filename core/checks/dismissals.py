"""Findings that the user let stand: taken out of the report's list, but kept and named in it."""

from __future__ import annotations

from dataclasses import replace

from core.checks.runner import Dismissed, Report
from core.findings import Finding
from core.notes import Dismissal, Finder, Notes, Query, find_spot
from core.score.model import MarkingId, Score


def set_aside(report: Report, notes: Notes, score: Score) -> Report:
    """The report without the findings that the user dismissed; they are listed apart, with the reason."""
    if not notes.dismissals:
        return report
    finder = Finder(score)
    placed = [
        (one, finder.find(one.marking) if one.marking else None, find_spot(score, one.at) if one.at else None)
        for one in notes.dismissals
    ]
    kept: list[Finding] = []
    dismissed: list[Dismissed] = []
    for finding in report.findings:
        found = next((one for one, mark, onset in placed if is_meant(score, finding, one, mark, onset)), None)
        if found is None:
            kept.append(finding)
        else:
            dismissed.append(Dismissed(finding, found.reason, found))
    return replace(report, findings=tuple(kept), dismissed=tuple(dismissed))


def is_meant(
    score: Score, finding: Finding, dismissal: Dismissal | Query, marking: MarkingId | None, onset: int | None
) -> bool:
    """Whether a dismissal or a query speaks of a finding: same rule, and same marking or place (none: the piece)."""
    if finding.rule != dismissal.rule:
        return False
    if dismissal.marking is not None:
        return marking is not None and finding.marking == marking
    if dismissal.at is not None:
        same_staff = dismissal.at.staff is None or finding.staff in (None, dismissal.at.staff)
        return (
            same_staff and finding.at is not None and onset is not None
            and finding.at.onset == score.quarters(onset)
        )  # fmt: skip
    return finding.at is None
