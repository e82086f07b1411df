"""Edits of the queries to the author: a finding gets a number, a query is answered, let stand or opened again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.edit_values import Edit
from core.errors import EditError
from core.notes import QUERY_STATES, Notes, Query, anchor_of, spot_of
from core.score.model import MarkingId, Score, Ticks
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class AskAuthor(Edit):
    """Give a finding the next number among the queries: by its marking, else its place, else for the piece.

    Attributes:
        rule: of the finding.
        message: what is asked, in English; it is kept as it was put.
        onset: written onset of its place, in ticks.
    """

    rule: str
    message: str
    marking: MarkingId | None = None
    bar: int | None = None
    onset: Ticks | None = None
    staff: int | None = None

    @property
    def said(self) -> Said:
        """``make a query of a finding``."""
        return say("make a query of a finding")


@dataclass(frozen=True, slots=True, kw_only=True)
class SettleQuery(Edit):
    """What became of a query: ``answered``, ``stands`` (let stand), or ``open`` again; with what was said."""

    number: int
    state: str
    answer: str = ""

    @property
    def said(self) -> Said:
        """``answer query 3``."""
        if self.state == "open":
            return say("open query {number} again", number=self.number)
        if self.state == "stands":
            return say("let query {number} stand", number=self.number)
        return say("answer query {number}", number=self.number)


QUERY_EDITS = (AskAuthor, SettleQuery)


def change_queries(notes: Notes, edit: AskAuthor | SettleQuery, score: Score) -> Notes:
    """The notes after an edit of their queries; a number once given is never given again.

    Raises:
        EditError: its marking is gone, no query has its number, or there is no such state.
    """
    if isinstance(edit, SettleQuery):
        return _settled(notes, edit)
    marking = spot = None
    if edit.marking is not None:
        try:
            marking = anchor_of(score, edit.marking)
        except KeyError as error:
            raise EditError("this marking is no longer in the score") from error
    elif edit.onset is not None:
        spot = spot_of(score, edit.onset, bar=edit.bar, staff=edit.staff)
    number = max((query.number for query in notes.queries), default=0) + 1
    query = Query(number=number, rule=edit.rule, message=edit.message, marking=marking, at=spot)
    return replace(notes, queries=(*notes.queries, query))


def _settled(notes: Notes, edit: SettleQuery) -> Notes:
    if edit.state not in QUERY_STATES:
        raise EditError(f"“{edit.state}” is no state of a query")
    if all(query.number != edit.number for query in notes.queries):
        raise EditError(f"no query has the number {edit.number}")
    settled = [
        replace(query, state=edit.state, answer=edit.answer) if query.number == edit.number else query
        for query in notes.queries
    ]
    return replace(notes, queries=tuple(settled))
