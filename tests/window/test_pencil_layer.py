"""The pencil: a layer for each organ, over the print and apart from it, played, saved, written only when asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from window_support import make_score, wait_for, words

from app.links import LinkLabel
from app.window import Window
from core.document import OrganFile
from core.notes_file import load_notes
from core.organ.model import Organ
from core.organ.spelling import stop_label


def go_to(window: Window, bar: int) -> None:
    score = window.session.score
    assert score is not None
    window.session.move_to(score.bars[bar - 1].onset)


def pencil_in(window: Window, bar: int, text: str) -> None:
    go_to(window, bar)
    window.activateWindow()
    window.actions_by_id["pencil"].trigger()
    card = window.pencil.card
    assert card.isVisible()
    before = window.session.derived
    QTest.keyClicks(card.field, text)
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    wait_for(lambda: window.session.derived is not before and window.session.derived is not None)
    assert not card.isVisible()


def drawn(window: Window, bar: int) -> set[str]:
    derived, organ = window.session.derived, window.session.organ
    assert derived is not None
    assert organ is not None
    step = derived.analysis.at(derived.analysis.score.bars[bar - 1].onset)
    assert step is not None
    return {stop_label(organ.stop(stop)) for stop in step.registration.drawn}


def another(before: object, window: Window) -> Callable[[], bool]:
    return lambda: window.session.derived is not None and window.session.derived is not before


def test_pencilled_by_keys_it_is_played_here_and_the_file_is_as_it_was(opened: Window) -> None:
    source = opened.session.document.source
    assert "Oboe 8" not in drawn(opened, 2)
    pencil_in(opened, 2, "Sw. add Oboe")
    assert "Oboe 8" in drawn(opened, 2)
    assert opened.session.document.source is source
    assert opened.session.undo.undoText() == "pencil in ‘Sw. add Oboe’"
    placed = opened.pencil.layer.placed()
    assert [one.text for one in placed] == ["✎ Sw. add Oboe"]
    derived = opened.session.derived
    assert derived is not None
    assert all(not mark.pencil for mark in derived.index.marks.values())


def test_it_is_painted_over_the_page(opened: Window) -> None:
    viewport = opened.score.viewport()
    before = viewport.grab().toImage()
    pencil_in(opened, 2, "mind the page turn here")
    go_to(opened, 6)
    viewport.grab()
    rect = opened.pencil.layer.placed()[0].rect.toRect()
    image = viewport.grab().toImage()
    ratio = image.devicePixelRatio()
    inside = [(x, y) for x in range(rect.left(), rect.right(), 2) for y in range(rect.top(), rect.bottom(), 2)]
    differs = sum(
        image.pixel(round(x * ratio), round(y * ratio)) != before.pixel(round(x * ratio), round(y * ratio))
        for x, y in inside
    )
    assert differs > len(inside) / 20


def test_a_click_opens_the_mark_and_it_can_be_changed_and_rubbed_out(opened: Window) -> None:
    pencil_in(opened, 2, "Sw. add Oboe")
    rect = opened.pencil.layer.placed()[0].rect
    QTest.mouseClick(opened.score.viewport(), Qt.MouseButton.LeftButton, pos=rect.center().toPoint())
    card = opened.pencil.card
    assert card.isVisible()
    assert card.field.text() == "Sw. add Oboe"
    before = opened.session.derived
    card.field.selectAll()
    QTest.keyClicks(card.field, "turn early")
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    wait_for(another(before, opened))
    assert [line.text for line in opened.session.document.notes.player] == ["turn early"]
    assert "Oboe 8" not in drawn(opened, 2)
    opened.pencil.begin()
    before = opened.session.derived
    QTest.keyClick(opened.pencil.card.rub, Qt.Key.Key_Return)
    wait_for(another(before, opened))
    assert not opened.session.document.notes.player
    assert not opened.pencil.layer.placed()


def test_escape_leaves_all_as_it_was_and_nothing_is_no_mark(opened: Window) -> None:
    go_to(opened, 2)
    opened.pencil.begin()
    QTest.keyClicks(opened.pencil.card.field, "Sw. Oboe")
    QTest.keyClick(opened.pencil.card.field, Qt.Key.Key_Escape)
    assert not opened.pencil.card.isVisible()
    opened.pencil.begin()
    QTest.keyClick(opened.pencil.card.field, Qt.Key.Key_Return)
    assert not opened.session.document.notes.player
    assert opened.session.undo.isClean()


def test_each_organ_has_a_layer_of_its_own(opened: Window, small_organ: Organ) -> None:
    other = replace(small_organ, name="St Cleer, Upper Marling")
    document = opened.session.document
    files = (*document.organs, OrganFile(path=None, text="", organ=other))
    opened.session.set_document(replace(document, organs=files))
    wait_for(lambda: opened.session.derived is not None and not opened.workers.is_busy)
    pencil_in(opened, 2, "Sw. add Oboe")
    before = opened.session.derived
    opened.session.choose_organ(1)
    wait_for(another(before, opened))
    assert not opened.pencil.layer.placed()
    assert opened.pencil.count == 0
    pencil_in(opened, 3, "Gt. add Twelfth")
    before = opened.session.derived
    opened.session.choose_organ(0)
    wait_for(another(before, opened))
    assert [one.text for one in opened.pencil.layer.placed()] == ["✎ Sw. add Oboe"]


def test_listed_with_what_it_does_and_written_into_the_score_only_when_asked(opened: Window) -> None:
    pencil_in(opened, 2, "Sw. add Oboe")
    pencil_in(opened, 3, "turn early")
    opened.doing.do_pencil_list()
    listed = opened.pencil.list
    assert listed is not None
    rows = [one.words for one in listed.findChildren(LinkLabel)]
    assert "✎ bar 2: Sw. add Oboe" in rows
    assert "✎ bar 3: turn early" in rows
    source = opened.session.document.source
    assert source is not None
    before = opened.session.derived
    QTest.mouseClick(listed.into_score, Qt.MouseButton.LeftButton)
    wait_for(another(before, opened))
    after = opened.session.document.source
    assert after is not None
    assert b"Sw. add Oboe" in after.data
    assert b"turn early" in after.data
    assert not opened.session.document.notes.player
    assert opened.session.undo.undoText() == "write 2 pencil marks into the score"
    before = opened.session.derived
    opened.session.undo.undo()
    wait_for(another(before, opened))
    assert opened.session.document.source == source
    assert len(opened.session.document.notes.player) == 2
    listed.close()


def test_kept_in_the_notes_file(window: Window, tmp_path: Path) -> None:
    path = tmp_path / "voluntary.musicxml"
    path.write_bytes(make_score(6, {0: [words("Sw. Salicional 8")]}, notes=4))
    window.open(path)
    wait_for(lambda: window.session.derived is not None)
    go_to(window, 4)
    window.pencil.begin()
    QTest.keyClicks(window.pencil.card.field, "Gen. 3")
    QTest.keyClick(window.pencil.card.field, Qt.Key.Key_Return)
    wait_for(lambda: bool(window.session.document.notes.player))
    data = path.read_bytes()
    assert window.saving.save()
    assert path.read_bytes() == data
    line = load_notes(path).notes.player[0]
    assert (line.text, line.at.measure) == ("Gen. 3", "4")


def test_in_the_lane_it_is_a_second_hand(opened: Window) -> None:
    pencil_in(opened, 2, "Sw. add Oboe")
    derived = opened.session.derived
    assert derived is not None
    changes = [change for line in derived.lines for change in line.changes]
    assert [change.text for change in changes if change.pencil] == ["+ Oboe 8"]
    assert any(not change.pencil for change in changes)
