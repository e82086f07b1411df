"""The three starting points, what the piece asks for, what was found out about the piece and its putting right."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt, QUrl
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QLabel, QMenu
from window_support import make_score, wait_for, words

from app.builtin import sample_organs
from app.links import LinkLabel
from app.settings import Settings
from app.welcome import Welcome
from app.window import Window

TEXTS = {0: [words("Sw. Salicional 8"), words("Gt. Open Diapason 8", 2)], 4: [words("Sw. Flomptuba 8 &amp; Oboe")]}


@pytest.fixture
def score(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "voluntary.musicxml"
    path.write_bytes(make_score(8, TEXTS, notes=4))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    return path


def click(window: Window, way: str) -> None:
    link = window.findChild(LinkLabel, f"way-{way}")
    assert isinstance(link, LinkLabel)
    link.setFocus()
    QTest.keyClick(link, Qt.Key.Key_Return)
    wait_for(lambda: window.session.derived is not None)


def another(window: Window) -> Callable[[], bool]:
    before = window.session.derived
    return lambda: window.session.derived is not None and window.session.derived is not before


def test_to_mark_up_asks_for_the_organ_in_every_way_it_can_come(window: Window, score: Path) -> None:
    click(window, "mark")
    menu = next(m for m in window.organ.findChildren(QMenu) if m.isVisible())
    names = [action.text() for action in menu.actions()]
    assert any("stop list" in name for name in names)
    assert any("new organ" in name for name in names)
    assert any("built in" in name for name in names)
    wait = another(window)
    next(action for action in menu.actions() if "built in" in action.text()).trigger()
    menu.close()
    wait_for(wait)
    assert window.session.organ is not None


def test_what_it_asks_for_stands_in_the_scores_place_and_goes_to_its_bars(window: Window, score: Path) -> None:
    click(window, "needs")
    needs = window.ways.needs
    wait_for(lambda: needs.paper is not None)
    assert window.centre.currentWidget() is needs
    said = needs.page.toPlainText()
    assert "Salicional" in said
    assert "Keyboards" in said
    assert "No organ is open yet" in said
    assert "href='bar:4'" in needs._html(needs.paper)  # type: ignore[arg-type]
    needs.page.anchorClicked.emit(QUrl("bar:4"))
    assert window.centre.currentWidget() is window.score
    read = window.session.score
    assert read is not None
    assert read.bar_at(window.session.cursor.onset).number == "5"
    window.actions_by_id["show_needs"].trigger()
    assert window.centre.currentWidget() is needs
    QTest.keyClick(needs, Qt.Key.Key_Escape)
    assert window.centre.currentWidget() is window.score


def test_each_open_organ_answers_beside_each_line(window: Window, score: Path) -> None:
    click(window, "needs")
    two = [path for _, path in sample_organs()[:2]]
    window.session.add_organs(two)
    wait_for(lambda: len(window.session.document.organs) == 2 and window.session.derived is not None)
    needs = window.ways.needs
    names = [file.organ.name for file in window.session.document.organs]
    wait_for(lambda: needs.paper is not None and all(name in needs.page.toPlainText() for name in names))
    assert "To ask about" in needs.page.toPlainText()


def test_to_proofread_goes_to_the_first_remark(window: Window, score: Path) -> None:
    click(window, "proof")
    wait_for(lambda: window.session.finding is not None)
    assert window.proof.isVisible()
    assert window.proof.opened is not None


def test_recent_files_organs_and_the_demo_are_one_click_away(window: Window, score: Path) -> None:
    window.settings = Settings(recent=(str(score),))
    window.show_opening()
    page = window.centre.currentWidget()
    assert isinstance(page, Welcome)
    links = [link.words for link in page.findChildren(LinkLabel)]
    assert "voluntary.musicxml" in links
    assert all(name in links for name, _ in sample_organs())
    recent = next(link for link in page.findChildren(LinkLabel) if link.words == "voluntary.musicxml")
    QTest.mouseClick(recent, Qt.MouseButton.LeftButton, pos=QPoint(12, recent.height() // 2))
    wait_for(lambda: window.session.derived is not None)
    assert window.ways.link.isVisible()


@pytest.mark.parametrize("size", [(640, 400), (800, 500), (1280, 800)])
def test_nothing_of_the_opening_page_is_cut(window: Window, size: tuple[int, int]) -> None:
    window.settings = Settings(recent=tuple(f"/scores/prelude-{n}.musicxml" for n in range(6)))
    window.show_opening()
    window.resize(*size)
    page = window.centre.currentWidget()
    assert isinstance(page, Welcome)
    QTest.qWait(20)
    assert (window.width(), window.height()) == size
    assert window.proof.isVisible() is (size[0] > 900)
    sheet = page.area.widget()
    for label in sheet.findChildren(QLabel):
        needed = label.heightForWidth(label.width()) if label.hasHeightForWidth() else label.sizeHint().height()
        assert label.height() >= needed, label.text()
        corner = label.mapTo(sheet, QPoint(label.width(), label.height()))
        assert corner.x() <= sheet.width()
        assert corner.y() <= sheet.height()
    bar = page.area.verticalScrollBar()
    assert sheet.height() <= page.area.viewport().height() + bar.maximum()


def test_language_hands_parts_with_their_reasons_and_changed_there(window: Window, score: Path) -> None:
    window.open(score, [sample_organs()[0][1]])
    wait_for(lambda: window.session.derived is not None)
    QTest.keyClick(window.ways.link, Qt.Key.Key_Return)
    card = window.ways.card
    assert card is not None
    said = " ".join(label.text() for label in card.findChildren(QLabel))
    assert "markings are read so" in said
    read = window.session.score
    assert read is not None
    assert str(read.parts[0].hands_why)[1:] in said
    wait = another(window)
    card.language.setCurrentIndex(card.language.findData("fr"))
    card.language.activated.emit(card.language.currentIndex())
    wait_for(wait)
    assert window.session.document.notes.language == "fr"
    wait = another(window)
    box = card.hands[0, 3]
    box.setCurrentIndex(box.findData("left"))
    box.activated.emit(box.currentIndex())
    wait_for(wait)
    read = window.session.score
    assert read is not None
    assert read.parts[0].hands[2] == "left"
    wait = another(window)
    card.custom.setCurrentIndex(card.custom.findData("german-baroque"))
    card.custom.activated.emit(card.custom.currentIndex())
    wait_for(wait)
    derived = window.session.derived
    assert derived is not None
    assert derived.analysis.decisions.tradition == "german-baroque"
    wait = another(window)
    for _ in range(3):
        window.session.undo.undo()
    wait_for(wait)
    assert not window.session.document.notes.language
    card.close()


def test_a_small_window_opens_its_places_with_the_score(window: Window, score: Path) -> None:
    window.resize(640, 400)
    window.show_opening()
    assert not window.organ.isVisible()
    window.open(score)
    wait_for(lambda: window.session.derived is not None)
    assert window.organ.isVisible()
    assert window.proof.isVisible()
    assert (window.width(), window.height()) == (640, 400)
