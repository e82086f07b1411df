"""Words taught from the window with real clicks and keys: in force at once, kept in the file, undone, forgotten."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QWidget
from window_support import document_of, make_score, wait_for, words

from app.links import LinkLabel
from app.open_finding import OpenFinding
from app.window import Window
from core.markings.user_words import load_words
from core.organ.model import Organ
from core.score.model import MarkingId

UNREAD = "Sw. Oboe, wobbleton"


@pytest.fixture
def at_word(window: Window, small_organ: Organ, tmp_path: Path) -> Window:
    """A piece with a word that nobody knows; own words stand in a folder of the test's."""
    window.session.own_words.path = tmp_path / "own" / "words.yaml"
    score = make_score(6, {0: [words("Gt. Open Diapason 8", 2)], 3: [words(UNREAD)]}, notes=4)
    window.session.set_document(document_of(score, small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    return window


def _marking(window: Window, text: str = UNREAD) -> MarkingId:
    assert window.session.derived is not None
    return next(m.id for m in window.session.derived.index.marks.values() if m.text.text == text)


def _unread(window: Window) -> list[str]:
    derived = window.session.derived
    assert derived is not None
    return [u.text for mark in derived.index.marks.values() for u in mark.reading.unread]


def _rules(window: Window) -> list[str]:
    return [finding.rule for finding in window.proof.model.findings]


def _link(widget: QWidget, start: str) -> LinkLabel:
    return next(one for one in widget.findChildren(LinkLabel) if one.words.startswith(start))


def _click_link(link: LinkLabel) -> None:
    QTest.mouseClick(link, Qt.MouseButton.LeftButton, pos=QPoint(8, link.height() // 2))


def _pick(box: QComboBox, words: str) -> None:
    """Choose by the keyboard alone, as a person would."""
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Home)
    for _ in range(box.count()):
        if words in box.currentText():
            return
        QTest.keyClick(box, Qt.Key.Key_Down)
    raise AssertionError(f"{words!r} is not offered: {[box.itemText(k) for k in range(box.count())]}")


def _open_at_marking(window: Window) -> None:
    window.session.choose_marking(_marking(window))
    link = _link(window.score.card, "Teach ‘wobbleton’")
    QTest.qWait(20)
    _click_link(link)


def test_a_word_is_taught_at_its_marking_and_in_force_at_once(at_word: Window) -> None:
    assert _unread(at_word) == ["wobbleton"]
    assert "marking-not-understood" in _rules(at_word)
    _open_at_marking(at_word)
    card = at_word.score.teaching.card
    assert card.isVisible()
    assert not at_word.score.card.isVisible()
    assert "wobbleton" in card.title.text()
    _pick(card.group, "a coupler or an aid")
    _pick(card.value, "tremulant")
    assert "tremulant" in card.told.text()
    assert "not understood" not in card.told.text()
    _pick(card.language, "English")
    QTest.keyClick(card.language, Qt.Key.Key_Return)
    assert not card.isVisible()
    wait_for(lambda: not at_word.workers.is_busy and _unread(at_word) == [])
    assert "marking-not-understood" not in _rules(at_word)
    step = at_word.session.derived.analysis.steps[-1]  # type: ignore[union-attr]
    assert step.registration.tremulants
    place = at_word.session.own_words.place
    assert "wobbleton" in place.read_text(encoding="utf-8")
    assert load_words(place).lexicon.single["wobbleton"]


def test_undo_and_redo_go_through_the_file(at_word: Window) -> None:
    _open_at_marking(at_word)
    card = at_word.score.teaching.card
    _pick(card.group, "not registration")
    QTest.keyClick(card.group, Qt.Key.Key_Return)
    wait_for(lambda: _unread(at_word) == [])
    place = at_word.session.own_words.place
    taught = place.read_bytes()
    assert at_word.session.undo.undoText() == "teach ‘wobbleton’"
    QTest.keyClick(at_word, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    wait_for(lambda: _unread(at_word) == ["wobbleton"])
    assert not place.exists()
    shift = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(at_word, Qt.Key.Key_Z, shift)
    wait_for(lambda: _unread(at_word) == [])
    assert place.read_bytes() == taught


def test_the_proof_offers_to_teach_and_escape_changes_nothing(at_word: Window) -> None:
    number = _rules(at_word).index("marking-not-understood")
    at_word.session.choose_finding(number)
    wait_for(lambda: bool(at_word.proof.findChildren(OpenFinding)))
    QTest.qWait(20)
    _click_link(_link(at_word.proof, "Teach ‘wobbleton’"))
    card = at_word.score.teaching.card
    assert card.isVisible()
    QTest.keyClick(card.group, Qt.Key.Key_Escape)
    assert not card.isVisible()
    assert not at_word.session.own_words.place.exists()
    assert at_word.session.undo.count() == 0


def test_an_abbreviation_wants_the_name_it_stands_for(at_word: Window) -> None:
    _open_at_marking(at_word)
    card = at_word.score.teaching.card
    _pick(card.group, "short for")
    assert card.name.isVisible()
    assert not card.value.isVisible()
    QTest.keyClick(card.name, Qt.Key.Key_Return)
    assert card.isVisible(), "nothing can be taught before the name is said"
    QTest.keyClicks(card.name, "Salicional")
    assert "Salicional" in card.told.text()
    QTest.keyClick(card.name, Qt.Key.Key_Return)
    wait_for(lambda: _unread(at_word) == [])
    steps = at_word.session.derived.analysis.steps  # type: ignore[union-attr]
    assert any("swell/salicional-8" in step.registration.drawn for step in steps)


def test_a_word_is_forgotten_from_the_list(at_word: Window) -> None:
    at_word.session.own_words.teach("wobbleton", "tremulant", "en")
    wait_for(lambda: _unread(at_word) == [])
    at_word.doing.do_own_words()
    listed = at_word.score.teaching.list
    assert listed.isVisible()
    QTest.qWait(20)
    _click_link(_link(listed, "Forget ‘wobbleton’"))
    wait_for(lambda: _unread(at_word) == ["wobbleton"])
    QTest.keyClick(listed, Qt.Key.Key_Escape)
    assert not listed.isVisible()
    QTest.keyClick(at_word, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    wait_for(lambda: _unread(at_word) == [])


def test_what_another_program_wrote_into_the_file_is_kept(at_word: Window) -> None:
    own = at_word.session.own_words
    own.teach("wobbleton", "tremulant", "en")
    more = own.place.read_text(encoding="utf-8").replace(
        "also:", "also:\n- {language: en, words: {quality: {soft: [hush]}}}"
    )
    own.place.write_text(more, encoding="utf-8")
    own.teach("yoicks", "nothing", "en")
    text = own.place.read_text(encoding="utf-8")
    assert all(word in text for word in ("wobbleton", "hush", "yoicks"))


def test_a_click_on_the_music_leaves_the_card(at_word: Window) -> None:
    _open_at_marking(at_word)
    card = at_word.score.teaching.card
    rect = at_word.score.page_rect(0)
    outside = QPointF(rect.right() - 4, rect.bottom() - 4).toPoint()
    view = at_word.score.viewport().rect()
    inside = QPoint(min(outside.x(), view.width() - 4), min(outside.y(), view.height() - 4))
    if not card.geometry().contains(inside):
        QTest.mouseClick(at_word.score.viewport(), Qt.MouseButton.LeftButton, pos=inside)
        assert not card.isVisible()


def test_words_beside_the_score_are_in_force_when_it_is_opened(window: Window, tmp_path: Path) -> None:
    score = tmp_path / "air.musicxml"
    score.write_bytes(make_score(4, {0: [words(UNREAD)]}, notes=4))
    (tmp_path / "air.words.yaml").write_text("language: en\nwords:\n  tremulant: [wobbleton]\n", encoding="utf-8")
    window.open(score)
    wait_for(lambda: window.session.derived is not None)
    assert _unread(window) == []
    assert window.session.own_words.place == tmp_path / "air.words.yaml"


def test_a_words_file_that_cannot_be_used_is_told_and_the_score_opens(window: Window, tmp_path: Path) -> None:
    score = tmp_path / "air.musicxml"
    score.write_bytes(make_score(4, {0: [words(UNREAD)]}, notes=4))
    (tmp_path / "air.words.yaml").write_text("language: xx\nwords: [", encoding="utf-8")
    window.open(score)
    wait_for(lambda: window.session.derived is not None)
    assert _unread(window) == ["wobbleton"]
    assert "air.words.yaml" in window.banner.words.text()
    assert window.banner.isVisible()
