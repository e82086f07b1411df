"""Marking up a score on its card: seen first, then one edit that one undo takes back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QCheckBox
from window_support import document_of, make_score, wait_for, words

from app.mark_up_card import MarkUpCard, mark_up_fields, wishes_of
from app.window import Window
from core.analysis import analyse_document
from core.edits import DeleteMarking
from core.marking_up.model import Resolved
from core.organ.model import Organ


@pytest.fixture
def general(window: Window, small_organ: Organ) -> Window:
    """A piece whose markings name families, not this organ's stops."""
    texts = {
        0: [words("Sw. soft 8 ft."), words("Gt. Diapasons", 2), words("Ped. soft 16", 3)],
        4: [words("Sw. strings")],
        8: [words("Sw. Flomptuba 8")],
    }
    window.session.set_document(document_of(make_score(12, texts, notes=4), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    return window


def _card(window: Window) -> MarkUpCard:
    QTest.keySequence(window, "Ctrl+Shift+M")
    card = window.findChildren(MarkUpCard)[-1]
    _wait(card)
    return card


def _wait(card: MarkUpCard) -> None:
    wait_for(lambda: card.stop is None)


def _lines(widget: object) -> list[str]:
    return [widget.item(n).text() for n in range(widget.count())]  # type: ignore[attr-defined]


def _tick(card: MarkUpCard, name: str) -> None:
    box = card.options.editors[name]
    assert isinstance(box, QCheckBox)
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Space)
    _wait(card)


def test_what_will_be_written_is_seen_before_it_is_written(general: Window) -> None:
    before = general.session.document
    card = _card(general)
    lines = _lines(card.written)
    assert any("Salicional 8" in line for line in lines)
    assert general.session.document is before, "nothing is written yet"
    assert card.heads[0].text() == f"What will be written ({len(lines)})"
    _tick(card, "solos")
    assert set(lines) <= set(_lines(card.written))
    card.close()
    assert general.session.document is before


def test_it_is_written_as_one_edit_and_one_undo_takes_it_back(general: Window) -> None:
    session = general.session
    before = session.document
    assert before.source is not None
    card = _card(general)
    count = len(_lines(card.written))
    assert count > 1
    QTest.mouseClick(card.write_button, Qt.MouseButton.LeftButton)
    assert card.isHidden()
    assert session.undo.count() == 1
    assert session.undo.undoText() == "mark up for St Osyth, Little Marling"
    after = session.document.source
    assert after is not None
    assert b"(Swell: Salicional 8" in after.xml
    wait_for(lambda: session.derived is not None)
    wait_for(lambda: f"{count} markings" in general.statusBar().currentMessage())
    played = analyse_document(session.document)
    steps = analyse_document(before).steps
    assert [s.registration.drawn for s in played.steps if s.at.nth == 1][-1] == steps[-1].registration.drawn
    general.activateWindow()
    wait_for(general.isActiveWindow)
    QTest.keySequence(general, "Ctrl+Z")
    assert session.document.source is not None
    assert session.document.source.xml == before.source.xml, "to the byte"


def test_what_is_left_out_is_told_with_its_reason_and_place(general: Window) -> None:
    card = _card(general)
    _tick(card, "rewrite")
    card.options.set_value("style", "fr")
    _wait(card)
    left = _lines(card.left_out)
    assert any(line.startswith("bar 9:") and "not understood" in line for line in left), left
    card.left_out.setFocus()
    card.left_out.setCurrentRow(next(n for n, line in enumerate(left) if line.startswith("bar 9:")))
    assert general.session.score is not None
    assert general.session.cursor.onset == general.session.score.bars[8].onset, "the score follows"
    card.written.setFocus()
    QTest.keyClick(card.written, Qt.Key.Key_End)
    QTest.keyClick(card.written, Qt.Key.Key_Home)
    assert general.session.cursor.onset != general.session.score.bars[8].onset
    card.close()


def test_trying_is_stopped_and_begun_again_by_another_choice(general: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    card = _card(general)
    card.options.set_value("style", "de")
    assert card.stop is not None
    QTest.mouseClick(card.stop_button, Qt.MouseButton.LeftButton)
    assert card.words.text().startswith("Stopped.")
    assert not card.write_button.isEnabled()
    card.options.set_value("style", "fr")
    _wait(card)
    assert card.write_button.isEnabled()
    card.close()


def test_one_card_is_enough_and_it_follows_what_is_done_beside_it(general: Window) -> None:
    card = _card(general)
    count = len(_lines(card.written))
    assert general.papers.mark_up() is card
    assert general.session.score is not None
    marking = next(text.id for text in general.session.score.texts if text.text == "Sw. strings")
    general.session.perform(DeleteMarking(marking=marking))
    wait_for(lambda: general.session.undo.count() == 1 and general.session.derived is not None)
    wait_for(lambda: card.stop is None and len(_lines(card.written)) == count - 1)
    card.close()


def test_nothing_wished_for_is_nothing_written(general: Window) -> None:
    card = _card(general)
    card.options.set_value("resolved", "")
    _wait(card)
    assert _lines(card.written) == []
    assert not card.write_button.isEnabled()
    assert "nothing is written" in card.words.text()
    card.close()


def test_without_an_organ_its_stops_are_not_offered(window: Window, short_piece: bytes) -> None:
    window.session.set_document(document_of(short_piece, None))
    wait_for(lambda: window.session.derived is not None)
    card = _card(window)
    assert "resolved" not in card.options.editors
    assert "opening" not in card.options.editors
    _tick(card, "portable")
    assert _lines(card.written)
    card.close()


def test_every_wish_has_its_option() -> None:
    fields = {field.name: field for field in mark_up_fields("en", has_organ=True)}
    assert set(fields) == {"resolved", "opening", "solos", "portable", "rewrite", "style"}
    assert {value for value, _ in fields["resolved"].choices} == {"", *(where.value for where in Resolved)}
    wishes = wishes_of({name: field.value for name, field in fields.items()} | {"solos": True})
    assert wishes.solos
    assert wishes.resolved is Resolved.UNDER


def test_an_opening_block_that_would_change_something_is_left_out_alone(general: Window) -> None:
    card = _card(general)
    lines = _lines(card.written)
    _tick(card, "opening")
    assert set(lines) <= set(_lines(card.written)), "what stands beside the markings of bar 1 stays"
    assert len(_lines(card.written)) + len(_lines(card.left_out)) == len(lines) + 1
    card.close()
