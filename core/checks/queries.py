"""Queries to the author: findings numbered once and for all proofs, each open, answered or let stand.

A number belongs to a fault at its place. It is never given to another, also when the fault is gone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from core.checks.dismissals import is_meant
from core.errors import UsageError
from core.findings import RANK, Finding, Level
from core.notes import Finder, Notes, Query, find_spot
from core.query_edits import AskAuthor, change_queries
from core.score.model import Score


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A query with the finding it speaks of; None where the fault is gone."""

    query: Query
    finding: Finding | None


def asked_of(notes: Notes, findings: Iterable[Finding], score: Score) -> tuple[Asked, ...]:
    """Every query of the notes, in the order of its number, with what is found of it in this score."""
    finder = Finder(score)
    left = list(findings)
    answer = []
    for query in sorted(notes.queries, key=lambda q: q.number):
        marking = finder.find(query.marking) if query.marking else None
        onset = find_spot(score, query.at) if query.at else None
        found = next((f for f in left if is_meant(score, f, query, marking, onset)), None)
        if found is not None:
            left.remove(found)
        answer.append(Asked(query=query, finding=found))
    return tuple(answer)


def unnumbered(
    notes: Notes, findings: Sequence[Finding], score: Score, *, least: Level = Level.WARNING
) -> tuple[Finding, ...]:
    """The findings from a level on that have no number yet, in the order of the score, the gravest first."""
    known = [a.finding for a in asked_of(notes, findings, score) if a.finding is not None]
    grave = [f for f in findings if RANK[f.level] >= RANK[least]]
    grave.sort(key=lambda f: (f.at.onset if f.at else -1, -RANK[f.level]))
    return tuple(f for f in grave if all(f is not k for k in known))


def asking(finding: Finding, score: Score) -> AskAuthor:
    """The edit that gives a finding a number."""
    if finding.marking is not None or finding.at is None:
        return AskAuthor(rule=finding.rule, message=str(finding.message), marking=finding.marking)
    onset = int(finding.at.onset * score.ticks)
    return AskAuthor(
        rule=finding.rule, message=str(finding.message), bar=finding.at.bar, onset=onset, staff=finding.staff
    )


def number_queries(notes: Notes, findings: Sequence[Finding], score: Score, *, least: Level = Level.WARNING) -> Notes:
    """The notes with a number for every finding from a level on that has none yet."""
    for finding in unnumbered(notes, findings, score, least=least):
        notes = change_queries(notes, asking(finding, score), score)
    return notes


def settle(notes: Notes, number: int, state: str, answer: str) -> Notes:
    """The notes with a query answered or let stand.

    Raises:
        UsageError: no query has that number.
    """
    if all(q.number != number for q in notes.queries):
        raise UsageError(f"no query has the number {number}", remedy="“stopwright report SCORE” lists them.")
    return replace(
        notes,
        queries=tuple(replace(q, state=state, answer=answer) if q.number == number else q for q in notes.queries),
    )
