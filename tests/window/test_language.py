"""The window's language: chosen in the View menu, remembered, in force for every word that is shown."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QDialogButtonBox, QMenu
from pytestqt.qtbot import QtBot
from window_support import make_score, wait_for, words

from app.language_menu import LanguageMenu
from app.settings import Settings, load_settings, save_settings
from app.translation import language, shown, speak, told, tr
from app.window import Window


@pytest.fixture
def german(qtbot: QtBot) -> Iterator[None]:
    """The window speaks German; English again afterwards."""
    speak("de")
    yield
    speak("en")


@pytest.mark.window
def test_menus_panels_and_findings_are_in_the_chosen_language(german: None, qtbot: QtBot, tmp_path: Path) -> None:
    score = tmp_path / "piece.musicxml"
    score.write_bytes(make_score(4, {0: [words("Sw. Obo 8 zzz")]}))
    window = Window()
    qtbot.addWidget(window)
    window.show()
    assert next(action.text() for action in window.menuBar().actions()) == "&Datei"
    window.open(str(score))
    wait_for(lambda: window.session.derived is not None)
    derived = window.session.derived
    assert derived is not None
    found = next(f for f in derived.index.findings if "not understood" in str(f.message))
    assert "wurde nicht verstanden" in shown(found.message)
    assert "not understood" in str(found.to_json()["message"])
    assert "Takt 1" in window.proof.model.data(window.proof.model.index(0, 0))
    window.shut_down()


def test_the_toolkits_own_buttons_follow(german: None, qtbot: QtBot) -> None:
    buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
    qtbot.addWidget(buttons)
    assert buttons.button(QDialogButtonBox.StandardButton.Cancel).text().replace("&", "") == "Abbrechen"
    assert language() == "de"
    assert tr("Couplers") == "Koppeln"
    assert told("{count} {count:stop|stops}", count=1) == "1 Register"


@pytest.mark.window
def test_a_language_is_chosen_by_the_keyboard_and_remembered(qtbot: QtBot, tmp_path: Path) -> None:
    window = Window(Settings())
    qtbot.addWidget(window)
    window.show()
    menu = next(one for one in window.menuBar().findChildren(QMenu) + window.findChildren(QMenu)
                if isinstance(one, LanguageMenu))  # fmt: skip
    assert [action.isChecked() for action in menu.actions()] == [True, False, False, False]
    menu.popup(window.mapToGlobal(window.rect().center()))
    qtbot.waitExposed(menu)
    for _ in range(3):
        qtbot.keyClick(menu, Qt.Key.Key_Down)
    qtbot.keyClick(menu, Qt.Key.Key_Return)
    assert window.settings.language == "de"
    assert window.statusBar().currentMessage() == "Ab dem nächsten Start spricht das Fenster Deutsch."
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    save_settings(store, window.settings)
    assert load_settings(store).language == "de"
    store.setValue("language", "xx")
    assert load_settings(store).language == ""
    window.shut_down()
