"""The four places and the one cursor, with real clicks and keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel
from window_support import document_of, wait_for

import app.engraver
from app.links import LinkLabel
from app.organ_rows import On, RowKind
from app.score_index import Mark
from app.window import Window
from core.organ.model import Organ
from core.score.model import MarkingId


def _marking(window: Window, text: str) -> MarkingId:
    assert window.session.derived is not None
    return next(m.id for m in window.session.derived.index.marks.values() if text in m.text.text)


def _click(window: Window, page: int, x: float, y: float) -> None:
    """A real click on a place of a page (page units)."""
    view = window.score
    rect = view.page_rect(page)
    lift = view.title_height if page == 0 else 0.0
    at = QPoint(round(rect.x() + x * view.scale), round(rect.y() + (y + lift) * view.scale))
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)


def test_a_piece_fills_all_four_places(opened: Window) -> None:
    assert opened.session.derived is not None
    assert opened.score.store.lines, "the lane has a line for each keyboard in use"
    assert any("Open Diapason" in row.left for row in opened.organ.model.rows)
    assert "Bourdon 16" in opened.beat.now.text()
    assert opened.proof.model.rowCount() == len(opened.session.derived.index.findings) > 0


def test_what_is_drawn_at_the_cursor_is_said_in_the_booklet(opened: Window) -> None:
    def on(name: str) -> On:
        return next(r.on for r in opened.organ.model.rows if r.kind is RowKind.STOP and r.left == name)

    assert on("Salicional") is On.DRAWN
    assert on("Oboe") is On.OFF
    score = opened.session.score
    assert score is not None
    opened.session.move_to(score.bars[4].onset)
    assert on("Oboe") is On.DRAWN


def test_choosing_a_finding_opens_it_and_shows_its_place(opened: Window) -> None:
    assert opened.session.derived is not None
    findings = opened.session.derived.index.findings
    number = next(n for n, f in enumerate(findings) if "Tuba" in str(f.message))
    opened.proof.view.setCurrentIndex(opened.proof.model.index(number))
    assert opened.session.finding == number
    opened_row = opened.proof.view.indexWidget(opened.proof.model.index(number))
    words = " ".join(label.text() for label in opened_row.findChildren(QLabel))
    assert "Tuba" in words
    score = opened.session.score
    assert score is not None
    assert score.bar_at(opened.session.cursor.onset).index == 6
    assert "Bar 7" in opened.beat.since.text()


def test_a_click_on_a_marking_opens_its_card_and_escape_closes_it(opened: Window) -> None:
    overlay = opened.score.store.overlay(0)
    assert overlay is not None
    marking = _marking(opened, "Sw. Salicional")
    rule = next(rule for rule in overlay.rules if rule.marking == marking)
    _click(opened, 0, rule.box.center().x(), rule.box.center().y())
    assert opened.session.marking == marking
    assert opened.score.card.isVisible()
    words = " ".join(label.text() for label in opened.score.card.findChildren(QLabel) if label.isVisible())
    assert "Salicional 8" in words
    assert "the Swell" in words
    QTest.keyClick(opened.score, Qt.Key.Key_Escape)
    assert not opened.score.card.isVisible()
    assert opened.session.marking is None


def test_another_choice_on_the_card_is_one_step_of_undo(opened: Window) -> None:
    derived = opened.session.derived
    assert derived is not None
    choice = next(
        (step, because)
        for step in derived.analysis.steps
        for because in step.because
        if because.alternatives and step.markings
    )
    opened.session.choose_marking(choice[0].markings[0])
    links = [w for w in opened.score.card.findChildren(LinkLabel) if w.words.startswith("Take ")]
    assert links
    before = opened.session.document
    links[0].linkActivated.emit("#")
    wait_for(lambda: opened.session.undo.count() == 1)
    assert opened.session.undo.undoText().startswith("choose the stops for")
    assert opened.session.document.notes != before.notes
    opened.session.undo.undo()
    assert opened.session.document is before
    wait_for(lambda: not opened.workers.is_busy)


def test_a_click_on_a_beat_moves_every_place(opened: Window) -> None:
    places = opened.score.store.places(0)
    score = opened.session.score
    assert places is not None
    assert score is not None
    place = places.bars[3]
    x = places.x_of(3, score.bars[3].onset)
    assert x is not None
    _click(opened, 0, x + 20, place.staves[2][1] + 60)
    assert score.bar_at(opened.session.cursor.onset).index == 3
    assert opened.beat.since.text().startswith("Bar 4")
    rect = opened.score.cursor_rect()
    assert rect is not None
    assert abs(rect.x() - (opened.score.page_rect(0).x() + x * opened.score.scale)) < 1.5


def test_arrows_go_from_beat_to_beat(opened: Window) -> None:
    opened.score.setFocus()
    assert opened.session.derived is not None
    onsets = opened.session.derived.index.onsets
    QTest.keyClick(opened.score, Qt.Key.Key_Right)
    assert opened.session.cursor.onset == onsets[1]
    QTest.keyClick(opened.score, Qt.Key.Key_Left)
    assert opened.session.cursor.onset == onsets[0]
    QTest.keyClick(opened.score, Qt.Key.Key_Left)
    assert opened.session.cursor.onset == onsets[0], "it stops at the beginning"


def test_f6_goes_round_the_four_places(opened: Window) -> None:
    opened.activateWindow()
    wait_for(lambda: QApplication.focusWidget() is not None or not opened.isActiveWindow(), 2)
    opened.organ.setFocus()
    seen = []
    for _ in range(4):
        focus = QApplication.focusWidget()
        assert focus is not None
        seen.append(next(p.accessibleName() for p in opened.places() if p is focus or p.isAncestorOf(focus)))
        QTest.keyClick(opened, Qt.Key.Key_F6)
    assert seen == ["Organ", "Score", "Proof", "At this beat"]


def test_keys_go_to_findings_and_changes(opened: Window) -> None:
    assert opened.session.derived is not None
    QTest.keyClick(opened, Qt.Key.Key_F8)
    first = opened.session.finding
    assert first is not None
    QTest.keyClick(opened, Qt.Key.Key_F8)
    assert opened.session.finding == (first + 1) % len(opened.session.derived.index.findings)
    QTest.keyClick(opened, Qt.Key.Key_F8, Qt.KeyboardModifier.ShiftModifier)
    assert opened.session.finding == first
    opened.session.move_to(0)
    QTest.keyClick(opened, Qt.Key.Key_F7)
    score = opened.session.score
    assert score is not None
    assert score.bar_at(opened.session.cursor.onset).index == 3


def test_markings_are_set_off_by_what_is_known_of_them(opened: Window) -> None:
    overlay = opened.score.store.overlay(0)
    assert overlay is not None
    kinds = {
        text: {rule.kind for rule in overlay.rules if rule.marking == _marking(opened, text)}
        for text in ("Sw. Salicional", "Flomptuba")
    }
    assert kinds["Sw. Salicional"] == {Mark.PLAIN}
    assert Mark.WAVY in kinds["Flomptuba"] or Mark.CROSSED in kinds["Flomptuba"]


def test_the_wave_stands_under_just_the_unread_words(opened: Window) -> None:
    overlay, places, derived = (
        opened.score.store.overlay(0),
        opened.score.store.places(0),
        opened.session.derived,
    )
    assert overlay is not None
    assert places is not None
    assert derived is not None
    mark = derived.index.marks[_marking(opened, "Flomptuba")]
    waves = [r for r in overlay.rules if r.marking == mark.id and r.kind is Mark.WAVY]
    if not mark.reading.unread or not waves:
        assert derived.index.state(mark) is Mark.CROSSED
        return
    run, start = places.marking_runs(mark)[0]
    span = mark.reading.unread[0].span
    assert waves[0].left == run.edges[span.start - start]
    assert waves[0].right == run.edges[span.end - start]


def test_ctrl_and_wheel_change_the_size_round_the_pointer(opened: Window) -> None:
    before = opened.score.zoom_per_cent
    at = QPointF(200, 200)
    event = QWheelEvent(
        at,
        opened.score.viewport().mapToGlobal(at),
        QPoint(),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.ControlModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    page_point = opened.score.page_point(0, at)
    opened.score.wheelEvent(event)
    assert opened.score.zoom_per_cent > before
    after = opened.score.page_point(0, at)
    assert abs(after.y() - page_point.y()) < 1500


def test_an_empty_window_says_what_would_stand_where(window: Window) -> None:
    assert window.centre.currentWidget() is not window.score
    assert window.organ.empty.isVisible()
    assert "stand here" in window.organ.empty.text()
    assert "stand here" in window.proof.heading.text()
    assert "stand here" in window.beat.now.text()
    ways = [w.words for w in window.centre.currentWidget().findChildren(LinkLabel)]
    assert ways[:3] == [
        "Mark up a piece for an organ",
        "See what a piece asks for",
        "Proofread the registration",
    ]


def test_with_no_organ_the_booklet_says_what_the_piece_asks_for(window: Window, short_piece: bytes) -> None:
    window.session.set_document(document_of(short_piece, None))
    wait_for(lambda: window.session.derived is not None)
    lines = [row.left for row in window.organ.model.rows]
    assert lines[0] == "What this piece asks for"
    assert "Salicional" in lines


def test_a_dropped_score_is_opened(window: Window, short_piece: bytes, tmp_path: Path) -> None:
    path = tmp_path / "Dropped piece.musicxml"
    path.write_bytes(short_piece)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    event = QDropEvent(
        QPointF(50, 50),
        Qt.DropAction.CopyAction,
        data,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    window.dropEvent(event)
    wait_for(lambda: window.session.derived is not None)
    assert "Dropped piece.musicxml" in window.windowTitle()
    assert window.settings.recent[0] == str(path.resolve())
    assert window.centre.currentWidget() is window.score


def test_a_file_that_is_no_score_is_one_sentence(window: Window, tmp_path: Path) -> None:
    path = tmp_path / "empty.musicxml"
    path.write_bytes(b"")
    window.open(str(path))
    wait_for(window.banner.isVisible)
    assert "empty.musicxml" in window.banner.words.text()
    assert "Traceback" not in window.banner.words.text()
    assert window.session.document.source is None
    assert window.centre.currentWidget() is not window.score, "the opening page stays"


def test_another_organ_is_one_action_and_the_piece_stays(opened: Window, small_organ: Organ) -> None:
    names = [action.text() for action in opened.organ.organ_menu().actions()]
    assert small_organ.name in names
    assert "No organ" in names
    source = opened.session.document.source
    opened.session.choose_organ(None)
    wait_for(lambda: not opened.workers.is_busy)
    assert opened.session.document.source is source
    assert opened.organ.model.rows[0].left == "What this piece asks for"


def test_dark_and_light_change_every_place(opened: Window) -> None:
    light = opened.score.colours
    opened.actions_by_id["dark"].trigger()
    assert opened.score.colours is not light
    assert opened.organ.delegate.colours is opened.score.colours
    assert opened.proof.colours is opened.score.colours
    assert opened.grab().toImage().pixelColor(640, 4).lightness() < 80


def test_what_could_not_be_engraved_is_said_on_its_page(
    window: Window, short_piece: bytes, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    child = tmp_path / "falls.py"
    child.write_text("import sys; sys.exit(11)")
    monkeypatch.setattr(app.engraver, "CHILD", child)
    window.session.set_document(document_of(short_piece, None))
    wait_for(lambda: bool(window.score.failed_pages))
    wait_for(lambda: window.session.derived is not None)
    window.score.viewport().grab()
    assert window.proof.heading.text(), "the rest of the window goes on"
