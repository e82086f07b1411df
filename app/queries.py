"""Queries to the author in the proof: a remark gets a number, is answered, let stand, or asked again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.lettering import text_font
from app.links import link_label
from app.said import say_line
from app.translation import told, tr
from core.checks.queries import asked_of, asking
from core.edits import SettleQuery
from core.findings import Finding
from core.notes import Notes, Query
from core.score.model import Score

if TYPE_CHECKING:
    from app.session import Session

STATE_WORDS = {"open": "open", "answered": "answered", "stands": "let stand"}


def queries_among(notes: Notes, findings: Sequence[Finding], score: Score) -> dict[int, Query]:
    """The query of each finding that has one, by the finding's number in the list."""
    if not notes.queries:
        return {}
    numbers = {id(finding): number for number, finding in enumerate(findings)}
    asked = asked_of(notes, findings, score)
    return {numbers[id(one.finding)]: one.query for one in asked if one.finding is not None}


def query_of(session: Session, finding: Finding) -> Query | None:
    """The query of a finding of the present analysis; None where it has no number."""
    derived = session.derived
    if derived is None or not derived.queries:
        return None
    found: Mapping[int, Query] = derived.queries
    return next((query for number, query in found.items() if derived.index.findings[number] is finding), None)


def query_words(query: Query | None) -> str:
    """``Q3, answered``; empty where there is none."""
    return "" if query is None else f"Q{query.number}, {tr(STATE_WORDS[query.state])}"


def matches(query: Query | None, level: str) -> bool | None:
    """Whether a remark belongs to a choice among queries; None where the choice is not about them."""
    if level == "queries":
        return query is not None
    if level == "open-queries":
        return query is not None and query.state == "open"
    return None


def query_choices(session: Session) -> list[tuple[str, str]]:
    """What can be chosen among the remarks where there are queries."""
    derived = session.derived
    if derived is None or not derived.queries:
        return []
    return [("queries", tr("Queries to the author")), ("open-queries", tr("Queries that are open"))]


class QueryLines(QWidget):
    """The lines about a query on an opened remark."""

    def __init__(self, session: Session, finding: Finding, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.finding = finding
        self.query = query_of(session, finding)
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(4)
        if self.query is None:
            self._lines.addWidget(link_label(self.tr("Ask the author: give it a number"), self.ask, self))
            return
        say_line(
            self._lines,
            told("Query {number}: {state}", number=self.query.number, state=tr(STATE_WORDS[self.query.state])),
            bold=True,
        )
        self.answer = QLineEdit(self.query.answer, self)
        self.answer.setFont(text_font())
        self.answer.setPlaceholderText(self.tr("What the author says, then Enter"))
        self.answer.setAccessibleName(told("Answer to query {number}", number=self.query.number))
        self.answer.returnPressed.connect(partial(self.settle, "answered"))
        self._lines.addWidget(self.answer)
        if self.query.state != "stands":
            words = self.tr("Let the query stand, with these words")
            self._lines.addWidget(link_label(words, partial(self.settle, "stands"), self))
        if self.query.state != "open":
            self._lines.addWidget(link_label(self.tr("Ask it again"), partial(self.settle, "open"), self))

    def ask(self) -> None:
        """Give the remark the next number."""
        score = self.session.score
        if score is not None:
            self.session.perform(asking(self.finding, score))

    def settle(self, state: str) -> None:
        """What became of it, with what was written in the line."""
        if self.query is not None:
            self.session.perform(SettleQuery(number=self.query.number, state=state, answer=self.answer.text().strip()))
