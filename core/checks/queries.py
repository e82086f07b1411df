"""Queries to the author: findings numbered once and for all proofs, each open, answered or let stand.

A number belongs to a fault at its place. It is never given to another, also when the fault is gone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from core.checks.dismissals import is_meant
from core.errors import UsageError
from core.findings import RANK, Finding, Level
from core.notes import Finder, Notes, Query, anchor_of, find_spot, spot_of
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


def number_queries(notes: Notes, findings: Sequence[Finding], score: Score, *, least: Level = Level.WARNING) -> Notes:
    """The notes with a number for every finding from a level on that has none yet."""
    known = [a.finding for a in asked_of(notes, findings, score) if a.finding is not None]
    following = max((q.number for q in notes.queries), default=0) + 1
    fresh: list[Query] = []
    for finding in findings:
        if RANK[finding.level] < RANK[least] or any(finding is k for k in known):
            continue
        fresh.append(_query(following + len(fresh), finding, score))
    return replace(notes, queries=(*notes.queries, *fresh)) if fresh else notes


def _query(number: int, finding: Finding, score: Score) -> Query:
    marking = anchor_of(score, finding.marking) if finding.marking is not None else None
    spot = None
    if marking is None and finding.at is not None:
        onset = int(finding.at.onset * score.ticks)
        spot = spot_of(score, onset, bar=finding.at.bar, staff=finding.staff)
    return Query(number=number, rule=finding.rule, message=str(finding.message), marking=marking, at=spot)


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
