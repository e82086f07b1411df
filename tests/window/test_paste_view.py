"""Pasting a stop list, with real keys and a real mouse: side by side, line by line, and nothing taken unasked."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QGuiApplication, QTextCharFormat
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot
from window_support import wait_for

from app.palette import DARK
from app.paste_reading import Kind, Mark, organ_file, understand
from app.paste_view import PasteView
from app.window import Window
from core.document import organ_from_text
from core.export.list_specification import list_specification
from core.organ.model import Organ
from core.organ.reading import read_list

# The church and its organ are invented for these tests.
LIST = """St Petroc, Upper Thorley

GREAT ORGAN
Open Diapason 8
Stopped Diapason 8
Quint 5 1/2
The case is of oak and was gilded.

SWELL ORGAN (enclosed)
Salicional 8
Oboe 8

PEDAL
Bourdon 16

Swell to Great
"""


@pytest.fixture
def view(application: QApplication) -> Iterator[PasteView]:
    """The view by itself."""
    made = PasteView(DARK)
    made.resize(1100, 720)
    made.show()
    yield made
    made.close()
    made.deleteLater()
    application.processEvents()


def _put(view: PasteView, text: str) -> None:
    view.put(text, "pasted")
    wait_for(lambda: view.is_settled)


def _row(view: PasteView, words: str) -> int:
    return next(n for n, row in enumerate(view.list.reading.rows) if row.left.startswith(words))


def _line_middle(view: PasteView, line: int) -> QPoint:
    block = view.text.document().findBlockByNumber(line - 1)
    where = view.text.blockBoundingGeometry(block).translated(view.text.contentOffset())
    return QPoint(40, round(where.center().y()))


def test_the_reading_stands_beside_the_text_with_what_is_unread_doubtful_and_assumed(view: PasteView) -> None:
    _put(view, LIST)
    assert view.name.text() == "St Petroc, Upper Thorley"
    lefts = [row.left for row in view.list.reading.rows]
    for words in ("Open Diapason", "Salicional", "Bourdon", "Swell to Great", "Not read", "Assumed"):
        assert words in lefts
    assert view.text.marks[7] is Mark.UNREAD
    assert view.text.marks[6] is Mark.DOUBT
    assert view.text.marks[4] is Mark.READ
    assert view.text.marks[1] is Mark.READ, "the line that names the organ was used"
    assert "lines not read: 1" in view.words.text()
    shapes = {s.cursor.blockNumber() + 1: s.format.underlineStyle() for s in view.text.extraSelections()}
    assert shapes[7] is QTextCharFormat.UnderlineStyle.WaveUnderline
    assert shapes[6] is QTextCharFormat.UnderlineStyle.DotLine
    quint = view.list.reading.rows[_row(view, "Quint")]
    assert quint.doubt
    assert "in doubt" in view.list.reading.index(_row(view, "Quint")).data(Qt.ItemDataRole.AccessibleTextRole)


def test_the_mouse_over_a_line_lights_its_reading_and_the_other_way_round(view: PasteView, qtbot: QtBot) -> None:
    _put(view, LIST)
    qtbot.mouseMove(view.text.viewport(), QPoint(40, 5))
    qtbot.mouseMove(view.text.viewport(), _line_middle(view, 10))
    wait_for(lambda: view.list.lit == frozenset({_row(view, "Salicional")}))
    assert view.text.lit == frozenset({10})
    index = view.list.reading.index(_row(view, "Stopped Diapason"))
    qtbot.mouseMove(view.list.viewport(), view.list.visualRect(index).center())
    wait_for(lambda: view.text.lit == frozenset({5}))
    assert view.list.lit == frozenset({index.row()})


def test_rows_that_scroll_by_under_a_mouse_at_rest_light_nothing(view: PasteView, qtbot: QtBot) -> None:
    _put(view, LIST + "\n".join(f"Flute No. {number} 8" for number in range(1, 60)))
    middle = view.list.viewport().rect().center()
    qtbot.mouseMove(view.list.viewport(), middle - QPoint(0, 9))
    qtbot.mouseMove(view.list.viewport(), middle)
    view.text.setFocus()
    for line in (40, 70, 20, 74):
        view.text.go_to_line(line)
        QApplication.processEvents()
        assert view.text.lit == frozenset({line})
        assert view.detail.text().startswith(f"Line {line} ")


def test_a_click_on_a_line_and_keys_in_the_reading_do_the_same(view: PasteView, qtbot: QtBot) -> None:
    _put(view, LIST)
    qtbot.mouseClick(view.text.viewport(), Qt.MouseButton.LeftButton, pos=_line_middle(view, 14))
    assert view.text.line == 14
    assert view.list.lit == frozenset({_row(view, "Bourdon")})
    index = view.list.reading.index(_row(view, "Salicional"))
    qtbot.mouseClick(view.list.viewport(), Qt.MouseButton.LeftButton, pos=view.list.visualRect(index).center())
    assert view.text.lit == frozenset({10})
    qtbot.keyClick(view.list, Qt.Key.Key_Down)
    wait_for(lambda: view.text.lit == frozenset({11}))
    assert "Oboe" in view.detail.text()
    assert view.text.line == 14  # the cursor stays where the user left it


def test_typing_is_read_as_it_goes_and_undone_by_its_keys(view: PasteView, qtbot: QtBot) -> None:
    _put(view, LIST)
    view.text.go_to_line(12)
    qtbot.keyClicks(view.text, "Cornopean 8")
    assert not view.take.isEnabled()  # what is shown does not belong to the text any more
    wait_for(lambda: view.is_settled)
    assert view.list.reading.rows[_row(view, "Cornopean")].lines == (12,)
    assert view.take.isEnabled()
    qtbot.keyClick(view.text, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    wait_for(lambda: view.is_settled)
    assert all(not row.left.startswith("Cornopean") for row in view.list.reading.rows)


def test_f8_goes_from_one_line_that_needs_a_look_to_the_next_and_round(view: PasteView, qtbot: QtBot) -> None:
    _put(view, LIST)
    assert view.text.line == 1
    wanted = sorted(line for line, mark in view.text.marks.items() if mark is not Mark.READ)
    seen = []
    for _ in wanted:
        qtbot.keyClick(view.text, Qt.Key.Key_F8)
        seen.append(view.text.line)
    assert seen == wanted
    qtbot.keyClick(view.text, Qt.Key.Key_F8)
    assert view.text.line == wanted[0], "round"
    qtbot.keyClick(view.text, Qt.Key.Key_F6)
    assert view.list.hasFocus()


def test_paste_by_its_key_and_from_the_clipboard_button(view: PasteView, qtbot: QtBot) -> None:
    QGuiApplication.clipboard().setText(LIST)
    view.text.setFocus()
    qtbot.keyClick(view.text, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    wait_for(lambda: view.is_settled and view.understood.organ is not None)
    _put(view, "")
    assert view.understood.organ is None
    qtbot.mouseClick(view.from_clipboard, Qt.MouseButton.LeftButton)
    wait_for(lambda: view.is_settled and view.understood.organ is not None)


def test_an_empty_clipboard_is_said(view: PasteView, qtbot: QtBot) -> None:
    QGuiApplication.clipboard().clear()
    qtbot.mouseClick(view.from_clipboard, Qt.MouseButton.LeftButton)
    assert "holds no text" in view.words.text()
    assert not view.take.isEnabled()


def _novel() -> str:
    """Sentences without a stop in them, made of common words."""
    chance = random.Random(4)
    words = ["the", "of", "and", "a", "to", "in", "he", "was", "that", "it", "his", "her", "had", "she", "house"]
    lines = [" ".join(chance.choices(words, k=12)).capitalize() + "." for _ in range(800)]
    return "\n".join(lines)


def _garbage() -> str:
    chance = random.Random(5)
    return "\n".join("".join(chr(chance.randint(33, 0x2FFF)) for _ in range(70)) for _ in range(700))


def _figures() -> str:
    chance = random.Random(6)
    return "\n".join(" ".join(str(chance.randint(1, 32)) for _ in range(20)) for _ in range(800))


@pytest.mark.parametrize(
    "make",
    [_novel, _garbage, _figures, lambda: "Open Diapason 8\n" * 350_000, lambda: "x" * 5_000_000, lambda: "\0" * 1000],
    ids=["novel", "garbage", "figures", "5 MB of lines", "5 MB in one line", "zeros"],
)
def test_what_is_no_stop_list_gets_an_answer_without_freezing(view: PasteView, make: Callable[[], str]) -> None:
    text = make()
    QGuiApplication.clipboard().setText(text)
    # the window's own work is counted, so that other programs on the machine do not decide
    start, before = time.monotonic(), time.thread_time()
    view.paste()
    longest = time.thread_time() - before
    while not view.is_settled:
        before = time.thread_time()
        QApplication.processEvents()
        longest = max(longest, time.thread_time() - before)
        time.sleep(0.002)
        assert time.monotonic() - start < 20
    assert not view.take.isEnabled() or view.understood.count(Mark.UNREAD)
    assert view.words.text()
    assert "Reading" not in view.words.text()
    assert longest < 1.0
    QGuiApplication.clipboard().clear()


def test_a_text_that_is_far_too_long_is_not_pasted_by_the_key_either(view: PasteView, qtbot: QtBot) -> None:
    QGuiApplication.clipboard().setText("word " * 1_000_000)
    qtbot.keyClick(view.text, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "too long" in view.words.text()
    assert view.text.toPlainText() == ""
    QGuiApplication.clipboard().clear()


def test_escape_leaves_all_as_it_was(window: Window, qtbot: QtBot) -> None:
    QGuiApplication.clipboard().setText(LIST)
    before = window.session.document
    qtbot.keyClick(window, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    view = window.listing.view
    assert view is not None
    wait_for(lambda: view.is_settled)
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert window.listing.view is None
    assert window.session.document is before
    assert window.session.undo.isClean()


def _taken(window: Window, qtbot: QtBot) -> Organ:
    view = window.listing.paste()
    wait_for(lambda: view.is_settled)
    qtbot.mouseClick(view.take, Qt.MouseButton.LeftButton)
    organ = window.session.organ
    assert organ is not None
    return organ


def test_an_organ_taken_over_is_open_unsaved_and_undone(
    window: Window, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    QGuiApplication.clipboard().setText(LIST)
    organ = _taken(window, qtbot)
    assert organ.name == "St Petroc, Upper Thorley"
    assert not window.session.undo.isClean()
    assert "St Petroc" in window.session.undo.undoText()
    window.session.undo.undo()
    assert window.session.organ is None
    window.session.undo.redo()
    assert window.session.organ == organ
    path = tmp_path / "petroc.yaml"
    monkeypatch.setattr(window.saving, "ask_for_organ_path", lambda _name: str(path))
    assert window.saving.save()
    text = path.read_text(encoding="utf-8")
    assert organ_from_text(text, str(path)) == organ
    assert "#   line 7: The case is of oak" in text
    assert window.session.undo.isClean()


def test_the_name_may_be_given_before_it_is_taken(window: Window, qtbot: QtBot) -> None:
    QGuiApplication.clipboard().setText(LIST)
    view = window.listing.paste()
    wait_for(lambda: view.is_settled)
    view.name.selectAll()
    qtbot.keyClicks(view.name, 'St Petroc: "old" church')
    qtbot.keyClicks(view.text, " ")
    wait_for(lambda: view.is_settled)
    qtbot.mouseClick(view.take, Qt.MouseButton.LeftButton)
    assert window.session.organ is not None
    assert window.session.organ.name == 'St Petroc: "old" church'
    window.session.undo.undo()  # nobody is there to answer whether to save it
    assert window.session.organ is None


def test_a_dropped_text_file_opens_in_the_view(window: Window, tmp_path: Path) -> None:
    path = tmp_path / "list.txt"
    path.write_text(LIST, encoding="utf-8")
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    drop = QDropEvent(QPointF(300, 300), Qt.DropAction.CopyAction, data, buttons, keys)
    window.dropEvent(drop)
    view = window.listing.view
    assert view is not None
    wait_for(lambda: view.is_settled)
    assert view.text.toPlainText() == LIST
    assert window.session.organ is None
    other = tmp_path / "other.txt"
    other.write_text("GREAT\nFlute 8\n", encoding="utf-8")
    data.setUrls([QUrl.fromLocalFile(str(other))])
    view.dropEvent(QDropEvent(QPointF(9, 9), Qt.DropAction.CopyAction, data, buttons, keys))
    wait_for(lambda: view.is_settled)
    assert _row(view, "Flute")
    view.reject()


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02\xff" * 50, b"x" * 2_100_000])
def test_a_file_that_is_no_list_is_said_in_a_sentence(view: PasteView, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "bad.txt"
    path.write_bytes(content)
    assert not view.open_file(path)
    assert "bad.txt" in view.words.text()
    assert not view.open_file(tmp_path / "none.txt")
    assert "no such file" in view.words.text()


def test_a_specification_may_be_pasted_too(view: PasteView) -> None:
    text = list_specification(read_list(LIST, "petroc.txt"))
    _put(view, text)
    assert view.understood.organ is not None
    assert organ_file(view.understood, "").text == text
    _put(view, "specification: 1\nname: 7\n")
    assert view.understood.organ is None
    assert view.words.text()


def test_what_is_taken_over_can_be_read_again_whatever_stands_in_the_list() -> None:
    odd = LIST + "\nnot: [a stop\n# a remark\n'\"\\ {%}\t\x85 \u2028 x\n"
    understood = understand(odd)
    file = organ_file(understood, "  ")
    assert file.organ == organ_from_text(file.text, None)
    assert [s.name for d in file.organ.divisions for s in d.stops][:2] == ["Open Diapason", "Stopped Diapason"]
    kinds = {row.kind for row in understood.rows}
    assert {Kind.HEADING, Kind.STOP, Kind.PART, Kind.UNREAD, Kind.DOUBT, Kind.ASSUMED} <= kinds


def test_every_line_of_the_text_has_its_place_in_the_reading(view: PasteView) -> None:
    _put(view, LIST)
    for line in (n for n, text in enumerate(LIST.split("\n"), 1) if text.strip()):
        assert view.list.reading.rows_of_line(line), line


@pytest.mark.parametrize("end", ["\r\n", "\r", "\u2028", "\u2029", "\x85", "\f"])
def test_lines_are_counted_alike_whatever_ends_them(view: PasteView, end: str) -> None:
    _put(view, LIST.replace("\n", end))
    assert view.list.reading.rows[_row(view, "Bourdon")].lines == (14,)
    assert view.text.document().findBlockByNumber(13).text() == "Bourdon 16"


def test_every_button_of_the_view_is_reached_by_its_letter(view: PasteView) -> None:
    letters = [b.text()[b.text().index("&") + 1].lower() for b in view.findChildren(QPushButton) if "&" in b.text()]
    assert len(letters) == len(set(letters)) == 3
