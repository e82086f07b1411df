"""Settings that are remembered, words of another size, names for screen readers, focus that goes everywhere."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QPlainTextEdit,
    QScrollBar,
    QSpinBox,
    QTextBrowser,
    QTextEdit,
    QWidget,
)
from window_support import wait_for

from app.lettering import set_text_size, text_font, text_size
from app.links import LinkLabel
from app.settings import Settings, load_settings, save_settings
from app.window import Window

CONTROLS = (QComboBox, QLineEdit, QAbstractItemView, QSpinBox, QPlainTextEdit, QTextEdit, QTextBrowser, LinkLabel)


def test_what_is_set_is_remembered(tmp_path: Path) -> None:
    store = QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)
    wanted = Settings(
        zoom=140, text_size=130, assistants=2, maximized=True, width=900, height=640, style="fr", dark=True
    )
    save_settings(store, wanted)
    store.sync()
    again = QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)
    assert load_settings(again) == wanted


@pytest.mark.parametrize("bad", ["-3", "x", "99999", ""])
def test_a_bad_value_falls_back(tmp_path: Path, bad: str) -> None:
    store = QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)
    for key in ("zoom", "text_size", "assistants", "width"):
        store.setValue(key, bad)
    read = load_settings(store)
    assert (read.zoom, read.text_size, read.assistants, read.width) == (0, 100, 0, 1280)


def test_assistants_are_reckoned_with_at_once(opened: Window) -> None:
    action = opened.manners.console.actions()[2]
    action.trigger()
    wait_for(lambda: opened.session.derived is not None and not opened.workers.is_busy)
    derived = opened.session.derived
    assert derived is not None
    assert derived.analysis.decisions.player.assistants == 2
    assert opened.settings.assistants == 2


def test_zoom_and_size_are_noted_when_the_window_closes(opened: Window) -> None:
    opened.score.set_zoom(150)
    opened.resize(1000, 700)
    opened.manners.note()
    assert opened.settings.zoom == 150
    assert (opened.settings.width, opened.settings.height) == (1000, 700)


def test_all_words_grow_and_shrink_again(opened: Window) -> None:
    size = opened.proof.heading.font().pointSizeF()
    try:
        opened.actions_by_id["text_larger"].trigger()
        assert text_size() == 115
        assert opened.proof.heading.font().pointSizeF() == pytest.approx(size * 1.15)
        assert text_font().pointSizeF() > size
        for _ in range(9):
            opened.manners.resize_text(1)
        assert text_size() == 200
        opened.manners.resize_text(0)
        assert opened.proof.heading.font().pointSizeF() == pytest.approx(size)
    finally:
        set_text_size(100)


def everything(window: Window) -> list[QWidget]:
    """The window's and its dialogues' widgets, those that the toolkit makes inside others left out."""
    found = []
    for widget in window.findChildren(QWidget):
        above, inside = widget.parentWidget(), False
        while above is not None and not inside:
            inside = isinstance(above, QComboBox | QSpinBox | QLineEdit)
            above = above.parentWidget()
        if not (inside or widget.objectName().startswith("qt_") or isinstance(widget, QScrollBar)):
            found.append(widget)
    return found


def nameless(window: Window) -> list[str]:
    """Controls that a screen reader could not name."""
    found = []
    for widget in everything(window):
        is_control = isinstance(widget, (*CONTROLS, QAbstractButton))
        takes_focus = widget.focusPolicy() != Qt.FocusPolicy.NoFocus and isinstance(widget, QAbstractScrollArea)
        if not (is_control or takes_focus):
            continue
        text = widget.text() if isinstance(widget, QAbstractButton) else ""
        if not (widget.accessibleName() or text):
            found.append(f"{type(widget).__name__} {widget.objectName()} in {type(widget.parentWidget()).__name__}")
    return found


def test_every_control_has_a_name_for_a_screen_reader(opened: Window) -> None:
    opened.ways.show_needs()
    opened.ways.show_piece()
    opened.doing.do_pencil_list()
    opened.ways.show_score()
    opened.pencil.begin()
    opened.session.choose_finding(0)
    wait_for(lambda: opened.proof.opened is not None)
    assert nameless(opened) == []
    for dialog in opened.findChildren(QDialog):
        dialog.close()


def test_the_opening_page_has_names_too(window: Window) -> None:
    assert nameless(window) == []


def test_tab_goes_through_the_proof_and_f6_through_the_places(opened: Window) -> None:
    opened.activateWindow()
    seen = set()
    opened.score.setFocus()
    for _ in range(5):
        opened.actions_by_id["next_place"].trigger()
        focus = QApplication.focusWidget()
        seen.update(
            n for n, place in enumerate(opened.places()) if focus and (place is focus or place.isAncestorOf(focus))
        )
    assert {0, 2, 3, 4} <= seen
    opened.proof.sieve.search.setFocus()
    names = []
    for _ in range(8):
        focus = QApplication.focusWidget()
        names.append(focus.accessibleName() if focus is not None else "")
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    assert names[0] == "Find among the remarks"
    assert "Which remarks" in names
    assert "Findings" in names
