"""Queries to the author in the proof: asked, answered and let stand with real mouse and keys."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from window_support import document_of, make_score, wait_for, words

from app.links import LinkLabel
from app.open_finding import OpenFinding
from app.queries import query_of, query_words
from app.window import Window
from core.document import save_notes
from core.edits import AskAuthor
from core.notes import Query
from core.notes_file import load_notes
from core.organ.model import Organ


def _opened_finding(window: Window, number: int) -> OpenFinding:
    window.session.choose_finding(number)
    wait_for(lambda: bool(window.proof.view.findChildren(OpenFinding)))
    return window.proof.view.findChildren(OpenFinding)[-1]


def _click(finding: OpenFinding, words: str) -> None:
    """Click a line of words."""
    link = next(link for link in finding.findChildren(LinkLabel) if words in link.words)
    assert link.isVisible()
    QTest.mouseClick(link, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(8, 8))


def _settled(window: Window, count: int = 1) -> None:
    """Wait until the piece has been worked through with so many queries."""
    wait_for(lambda: window.session.derived is not None and len(window.session.derived.queries) == count)


def _queries(window: Window) -> tuple[Query, ...]:
    return window.session.document.notes.queries


def _state(window: Window) -> str:
    """As the list says it of the first query."""
    assert window.session.derived is not None
    number = next(iter(window.session.derived.queries))
    return window.proof.model.paper(window.session.derived.index.findings[number])


def test_a_remark_is_asked_answered_and_asked_again(opened: Window) -> None:
    finding = _opened_finding(opened, 0)
    _click(finding, "Ask the author")
    wait_for(lambda: len(_queries(opened)) == 1)
    _settled(opened)
    assert _state(opened) == "Q1, open"
    finding = _opened_finding(opened, 0)
    assert any(label.text() == "Query 1: open" for label in finding.findChildren(QLabel))
    finding.query.answer.setFocus()
    QTest.keyClicks(finding.query.answer, "the Oboe is meant")
    QTest.keyClick(finding.query.answer, Qt.Key.Key_Return)
    wait_for(lambda: _queries(opened)[0].state == "answered")
    _settled(opened)
    assert _queries(opened)[0].answer == "the Oboe is meant"
    assert _state(opened) == "Q1, answered"
    assert opened.session.undo.undoText() == "answer query 1"
    _click(_opened_finding(opened, 0), "Ask it again")
    wait_for(lambda: _queries(opened)[0].state == "open")
    for _ in range(3):
        QTest.keySequence(opened, "Ctrl+Z")
    assert _queries(opened) == ()
    _settled(opened, 0)
    assert query_words(query_of(opened.session, opened.proof.model.findings[0])) == ""


def test_a_query_is_let_stand_with_words(opened: Window) -> None:
    _click(_opened_finding(opened, 1), "Ask the author")
    wait_for(lambda: len(_queries(opened)) == 1)
    _settled(opened)
    finding = _opened_finding(opened, 1)
    QTest.keyClicks(finding.query.answer, "as in the manuscript")
    _click(finding, "Let the query stand")
    wait_for(lambda: _queries(opened)[0].state == "stands")
    assert _queries(opened)[0].answer == "as in the manuscript"


def test_the_list_is_narrowed_to_queries_and_searched_for_them(opened: Window) -> None:
    opened.actions_by_id["number_queries"].trigger()
    wait_for(lambda: len(_queries(opened)) > 1)
    _settled(opened, len(_queries(opened)))
    panel, box = opened.proof, opened.proof.sieve.by_level
    assert box.findData("open-queries") >= 0
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_End)
    assert box.currentData() == "open-queries"
    count = len(panel.model.findings)
    shown = [number for number in range(count) if not panel.is_hidden(number)]
    assert shown == sorted(opened.session.derived.queries if opened.session.derived else ())
    QTest.keyClick(box, Qt.Key.Key_Home)
    panel.sieve.search.setFocus()
    QTest.keyClicks(panel.sieve.search, "q2")
    assert sum(not panel.is_hidden(number) for number in range(count)) == 1


def test_queries_are_kept_in_the_notes_file(opened: Window, small_organ: Organ, tmp_path: Path) -> None:
    score = tmp_path / "piece.musicxml"
    score.write_bytes(make_score(4, {1: [words("Sw. Flomptuba 8")]}))
    opened.open(score)
    wait_for(lambda: opened.session.derived is not None and opened.session.document.source is not None)
    wait_for(lambda: str(opened.session.document.source.path if opened.session.document.source else "") == str(score))
    opened.session.perform(AskAuthor(rule="marking-not-understood", message="what is it?"))
    wait_for(lambda: len(_queries(opened)) == 1)
    save_notes(opened.session.document, opened.session.shelf)
    assert load_notes(score).notes.queries == _queries(opened)


def test_without_queries_nothing_is_offered_to_choose_among_them(window: Window, small_organ: Organ) -> None:
    window.session.set_document(document_of(make_score(3, {0: [words("Gt. Tuba 8")]}), small_organ))
    wait_for(lambda: window.session.derived is not None)
    assert window.proof.sieve.by_level.findData("queries") < 0
