"""The specification is changed on its page, with mouse and keys; undo, the file and the findings follow."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QMenu, QMessageBox, QWidget
from window_support import wait_for

from app.choice_box import ChoiceBox
from app.organ_rows import RowKind
from app.spec_card import SpecCard
from app.spec_fields import ChoiceField, FlagField, TextField
from app.window import Window
from core.organ.model import Organ
from core.organ.reading import load_organ
from core.organ.spelling import stop_label

ORGAN = """\
specification: 1
name: St Osyth, Little Marling   # invented for these tests
invented: yes
language: en
tradition: english
divisions:
  # as it was built
  - name: Great
    stops:
      - Open Diapason 8   # the case
      - Principal 4
      - Twelfth 2 2/3
  - name: Swell
    enclosed: yes
    stops:
      - Salicional 8
      - Stopped Diapason 8
      - Oboe 8   # loud
  - name: Pedal
    stops:
      - Bourdon 16
couplers:
  - Swell to Great
  - Great to Pedal
"""
LEFT, NONE, ALT = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def page(window: Window, short_piece: bytes, tmp_path: Path) -> Iterator[Window]:
    """A window with a piece, and an organ from a file."""
    (tmp_path / "Voluntary.musicxml").write_bytes(short_piece)
    (tmp_path / "Osyth.yaml").write_text(ORGAN, encoding="utf-8")
    window.open(tmp_path / "Voluntary.musicxml", [str(tmp_path / "Osyth.yaml")])
    wait_for(lambda: window.session.derived is not None and not window.workers.is_busy)
    window.organ.view.setFocus()
    yield window
    window.organ.desk.leave_card()


def organ_of(window: Window) -> Organ:
    organ = window.session.organ
    assert organ is not None
    return organ


def stops(window: Window, division: str) -> list[str]:
    return [stop_label(stop) for stop in organ_of(window).division(division).stops]


def text_of(window: Window) -> str:
    chosen = window.session.document.chosen
    assert chosen is not None
    return window.session.document.organs[chosen].text


def choose(window: Window, kind: RowKind, key: str) -> QPoint:
    """Choose a line with the mouse; where its middle is."""
    view = window.organ.view
    index = window.organ.index_of(kind, key)
    assert index.isValid(), key
    view.scrollTo(index)
    at = view.visualRect(index).center()
    QTest.mouseClick(view.viewport(), LEFT, NONE, at)
    return at


def key(window: Window, which: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
    QTest.keyClick(window.organ.view, which, modifier)


def card(window: Window) -> SpecCard:
    shown = window.organ.desk.card
    assert shown is not None
    assert shown.isVisible()
    return shown


def drag(window: Window, kind: RowKind, start: str, to_kind: RowKind, to: str, below: bool = True) -> None:
    view = window.organ.view
    view.scrollToTop()
    view.resize(view.width(), 1400)  # both ends are in view
    start_at = view.visualRect(window.organ.index_of(kind, start)).center()
    rect = view.visualRect(window.organ.index_of(to_kind, to))
    end = QPoint(rect.center().x(), rect.bottom() - 2 if below else rect.top() + 2)
    QTest.mousePress(view.viewport(), LEFT, NONE, start_at)
    QTest.mouseMove(view.viewport(), start_at + QPoint(2, 14))
    QTest.mouseMove(view.viewport(), end)
    assert view.dragged is not None
    QTest.mouseRelease(view.viewport(), LEFT, NONE, end)


# ---------------------------------------------------------------- dragging, and the same with keys


def test_a_stop_is_dragged_into_another_division(page: Window) -> None:
    drag(page, RowKind.STOP, "swell/oboe-8", RowKind.STOP, "great/open-diapason-8")
    assert stops(page, "great") == ["Open Diapason 8", "Oboe 8", "Principal 4", "Twelfth 2 2/3"]
    assert stops(page, "swell") == ["Salicional 8", "Stopped Diapason 8"]
    assert page.session.undo.undoText() == "move Oboe 8 to the Great"
    assert "      - Oboe 8   # loud\n" in text_of(page), "its remark goes with it"
    page.session.undo.undo()
    assert text_of(page) == ORGAN


def test_a_stop_is_dragged_within_its_division_and_to_a_heading(page: Window) -> None:
    drag(page, RowKind.STOP, "great/open-diapason-8", RowKind.STOP, "great/twelfth-2-2-3")
    assert stops(page, "great") == ["Principal 4", "Twelfth 2 2/3", "Open Diapason 8"]
    drag(page, RowKind.STOP, "great/open-diapason-8", RowKind.HEADING, "pedal")
    assert stops(page, "pedal") == ["Open Diapason 8", "Bourdon 16"]


def test_a_division_is_dragged_above_another(page: Window) -> None:
    drag(page, RowKind.HEADING, "swell", RowKind.HEADING, "great", below=False)
    assert [d.name for d in organ_of(page).divisions] == ["Swell", "Great", "Pedal"]
    assert "  # as it was built\n  - name: Great\n" in text_of(page)
    assert page.session.undo.undoText() == "move the division Swell"


def test_a_drag_that_is_given_up_or_leads_nowhere_changes_nothing(page: Window) -> None:
    view = page.organ.view
    at = choose(page, RowKind.STOP, "swell/oboe-8")
    QTest.mousePress(view.viewport(), LEFT, NONE, at)
    QTest.mouseMove(view.viewport(), at - QPoint(0, 60))
    assert view.dragged is not None
    key(page, Qt.Key.Key_Escape)
    QTest.mouseRelease(view.viewport(), LEFT, NONE, at - QPoint(0, 60))
    assert view.dragged is None
    drag(page, RowKind.STOP, "swell/oboe-8", RowKind.STOP, "swell/stopped-diapason-8")
    assert text_of(page) == ORGAN
    assert page.session.undo.count() == 0


def test_keys_move_a_stop_through_the_divisions_and_it_stays_chosen(page: Window) -> None:
    choose(page, RowKind.STOP, "swell/salicional-8")
    key(page, Qt.Key.Key_Up, ALT)
    assert stops(page, "great")[-1] == "Salicional 8"
    chosen = page.organ.chosen_row()
    assert chosen is not None
    assert chosen.key == "great/salicional-8"
    key(page, Qt.Key.Key_Up, ALT)
    assert stops(page, "great")[-2:] == ["Salicional 8", "Twelfth 2 2/3"]
    key(page, Qt.Key.Key_Down, ALT)
    key(page, Qt.Key.Key_Down, ALT)
    assert text_of(page) == ORGAN


# ---------------------------------------------------------------- writing on the page


def test_stops_are_added_one_after_the_other_with_completion(page: Window) -> None:
    at = page.organ.index_of(RowKind.ADD, "stops", "swell")
    page.organ.view.scrollTo(at)
    QTest.mouseClick(page.organ.view.viewport(), LEFT, NONE, page.organ.view.visualRect(at).center())
    line = page.organ.desk.line
    assert line.field.hasFocus()
    QTest.keyClicks(line.field, "Rohr")
    assert line.list.isVisible()
    assert line.offers[0].text == "Rohr Flute 8"
    QTest.keyClick(line.field, Qt.Key.Key_Down)
    QTest.keyClick(line.field, Qt.Key.Key_Return)
    assert stops(page, "swell")[-1] == "Rohr Flute 8"
    assert line.isVisible()
    assert line.field.text() == ""
    QTest.keyClicks(line.field, "Clarion 4")
    QTest.keyClick(line.field, Qt.Key.Key_Return)
    QTest.keyClick(line.field, Qt.Key.Key_Escape)
    assert stops(page, "swell")[-2:] == ["Rohr Flute 8", "Clarion 4"]
    assert page.organ.view.hasFocus()
    assert page.session.undo.undoText() == "add Clarion 4 to the Swell"
    page.session.undo.undo()
    page.session.undo.undo()
    assert text_of(page) == ORGAN


def test_the_pedal_is_offered_its_own_pitches(page: Window) -> None:
    page.organ.desk.add_stop("pedal")
    QTest.keyClicks(page.organ.desk.line.field, "rohr fl")
    assert page.organ.desk.line.offers[0].text == "Rohr Flute 16"


def test_insert_adds_after_the_chosen_stop(page: Window) -> None:
    choose(page, RowKind.STOP, "swell/salicional-8")
    key(page, Qt.Key.Key_Insert)
    QTest.keyClicks(page.organ.desk.line.field, "Voix Celeste 8")
    QTest.keyClick(page.organ.desk.line.field, Qt.Key.Key_Return)
    QTest.keyClicks(page.organ.desk.line.field, "Gemshorn 4")
    QTest.keyClick(page.organ.desk.line.field, Qt.Key.Key_Return)
    assert stops(page, "swell")[:3] == ["Salicional 8", "Voix Celeste 8", "Gemshorn 4"]


def test_what_is_wrong_is_told_under_the_line_at_once_and_nothing_is_written(page: Window) -> None:
    page.organ.desk.add_stop("great")
    line = page.organ.desk.line
    QTest.keyClicks(line.field, "Tierce 2 3/5")
    wait_for(lambda: line.is_wrong, 5)
    assert "2⅗ ft" in line.told.text()
    assert "Did you mean 1⅗?" in line.told.text()
    QTest.keyClick(line.field, Qt.Key.Key_Return)
    assert text_of(page) == ORGAN
    assert line.isVisible()
    line.field.clear()
    QTest.keyClicks(line.field, "Tierce 1 3/5")
    wait_for(lambda: "mutation" in line.told.text(), 5)
    assert not line.is_wrong


def test_f2_writes_a_stop_anew_in_its_place(page: Window) -> None:
    choose(page, RowKind.STOP, "great/open-diapason-8")
    key(page, Qt.Key.Key_F2)
    line = page.organ.desk.line
    assert line.field.text() == "Open Diapason 8"
    QTest.keyClicks(line.field, "Double Diapason 16 (from C3)")
    QTest.keyClick(line.field, Qt.Key.Key_Return)
    assert "      - Double Diapason 16 (from C3)   # the case\n" in text_of(page)
    assert page.session.undo.undoText() == "change Open Diapason 8 to Double Diapason 16 (from C3)"
    chosen = page.organ.chosen_row()
    assert chosen is not None
    assert chosen.key == "great/double-diapason-16"


def test_delete_takes_a_stop_out_and_undo_brings_it_back(page: Window) -> None:
    choose(page, RowKind.STOP, "swell/oboe-8")
    key(page, Qt.Key.Key_Delete)
    assert "Oboe 8" not in stops(page, "swell")
    assert page.session.undo.undoText() == "take out Oboe 8"
    page.actions_by_id["save"].trigger()
    page.session.undo.undo()
    assert text_of(page) == ORGAN


# ---------------------------------------------------------------- the cards


def type_into(field: QWidget, text: str) -> QLineEdit:
    assert isinstance(field, TextField)
    QTest.keyClick(field.edit, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(field.edit, text)
    return field.edit


def pick(field: QWidget, value: str) -> None:
    """Choose with the keys, as one would."""
    assert isinstance(field, ChoiceField)
    box: ChoiceBox = field.box
    box.setFocus()
    wanted = box.findData(value)
    assert wanted >= 0, value
    while box.currentIndex() != wanted:
        before = box.currentIndex()
        QTest.keyClick(box, Qt.Key.Key_Down if before < wanted else Qt.Key.Key_Up)
        assert box.currentIndex() != before


def test_everything_of_a_stop_is_changed_on_its_card(page: Window) -> None:
    choose(page, RowKind.STOP, "swell/oboe-8")
    key(page, Qt.Key.Key_Return)
    shown = card(page)
    QTest.keyClick(type_into(shown.fields["name"], "Hautboy"), Qt.Key.Key_Return)
    assert page.session.undo.undoText() == "rename Oboe 8"
    assert shown.isVisible(), "the card stays with the stop"
    QTest.keyClick(type_into(shown.fields["pitch"], "16"), Qt.Key.Key_Return)
    QTest.keyClick(type_into(shown.fields["missing keys"], "C#2, F5"), Qt.Key.Key_Return)
    pick(shown.fields["loudness"], "9")
    pick(shown.fields["enclosed"], "no")
    used = shown.fields["in use"]
    assert isinstance(used, FlagField)
    QTest.mouseClick(used.box, LEFT, NONE, QPoint(8, used.box.height() // 2))
    stop = organ_of(page).division("swell").stops[-1]
    assert (stop_label(stop), stop.loudness, stop.enclosed, stop.in_use) == ("Hautboy 16", 9, False, False)
    assert len(stop.missing) == 2
    row = page.organ.model.rows[page.organ.index_of(RowKind.STOP, stop.id).row()]
    assert row.left == "Hautboy (out of use)"
    QTest.keyClick(shown, Qt.Key.Key_Escape)
    assert page.organ.desk.card is None
    while page.session.undo.canUndo():
        page.session.undo.undo()
    assert text_of(page) == ORGAN


def test_a_field_says_at_once_what_is_wrong_and_escape_takes_it_back(page: Window) -> None:
    choose(page, RowKind.STOP, "great/twelfth-2-2-3")
    key(page, Qt.Key.Key_Return)
    field = card(page).fields["pitch"]
    edit = type_into(field, "2 3/5")
    wait_for(field.wrong.isVisible, 5)
    assert "Did you mean 1⅗?" in field.wrong.text()
    QTest.keyClick(edit, Qt.Key.Key_Return)
    assert text_of(page) == ORGAN
    QTest.keyClick(edit, Qt.Key.Key_Escape)
    assert edit.text() == "2 2/3"
    assert not field.wrong.isVisible()
    assert card(page).isVisible()


def test_a_division_is_renamed_everywhere_and_gets_compass_box_and_tremulant(page: Window) -> None:
    choose(page, RowKind.HEADING, "swell")
    key(page, Qt.Key.Key_Return)
    shown = card(page)
    QTest.keyClick(type_into(shown.fields["name"], "Recit"), Qt.Key.Key_Return)
    assert "  - Recit to Great\n" in text_of(page)
    QTest.keyClick(type_into(shown.fields["compass"], "C2-G6"), Qt.Key.Key_Return)
    pick(shown.fields["enclosed"], "no")
    tremulant = shown.fields["tremulant"]
    assert isinstance(tremulant, FlagField)
    QTest.mouseClick(tremulant.box, LEFT, NONE, QPoint(8, tremulant.box.height() // 2))
    division = organ_of(page).division("recit")
    assert (division.compass, division.enclosed) == ((36, 91), False)
    assert [t.division for t in organ_of(page).tremulants] == ["recit"]
    wrong = type_into(shown.fields["compass"], "G6-C2")
    wait_for(shown.fields["compass"].wrong.isVisible, 5)
    assert "C2-G6" in shown.fields["compass"].wrong.text()
    QTest.keyClick(wrong, Qt.Key.Key_Escape)


def test_a_keyboard_that_is_chosen_leaves_the_others_where_custom_had_them(page: Window) -> None:
    before = {d.id: d.keyboard for d in organ_of(page).divisions}
    choose(page, RowKind.HEADING, "swell")
    key(page, Qt.Key.Key_Return)
    field = card(page).fields["keyboard"]
    assert isinstance(field, ChoiceField)
    field.box.setCurrentIndex(field.box.findData("manual 3"))
    field.given.emit(field.value())
    after = {d.id: d.keyboard for d in organ_of(page).divisions}
    assert after == {**before, "swell": "manual-3"}
    assert page.session.undo.count() == 1


def test_a_division_is_added_and_taken_out_with_its_couplers(page: Window) -> None:
    at = page.organ.index_of(RowKind.ADD, "divisions")
    page.organ.view.scrollTo(at)
    QTest.mouseClick(page.organ.view.viewport(), LEFT, NONE, page.organ.view.visualRect(at).center())
    shown = card(page)
    edit = type_into(shown.fields["name"], "Kasten")
    QTest.keyClick(edit, Qt.Key.Key_Return)
    assert "cannot be told by its name" in shown.fields["name"].wrong.text()
    QTest.keyClick(type_into(shown.fields["name"], "Solo"), Qt.Key.Key_Return)
    assert [d.name for d in organ_of(page).divisions] == ["Great", "Swell", "Solo", "Pedal"]
    line = page.organ.desk.line
    assert line.field.hasFocus(), "its first stop can be typed at once"
    QTest.keyClicks(line.field, "Tuba 8")
    QTest.keyClick(line.field, Qt.Key.Key_Return)
    QTest.keyClick(line.field, Qt.Key.Key_Escape)
    assert stops(page, "solo") == ["Tuba 8"]
    choose(page, RowKind.HEADING, "swell")
    key(page, Qt.Key.Key_Delete)
    assert [c.text for c in organ_of(page).couplers] == ["Great to Pedal"]
    page.session.undo.undo()
    assert len(organ_of(page).couplers) == 2


def test_a_coupler_is_put_together_and_what_cannot_be_is_told(page: Window) -> None:
    page.actions_by_id["add_coupler"].trigger()
    shown = card(page)
    pick(shown.fields["from"], "swell")
    pick(shown.fields["to"], "great")
    assert "there already" in " ".join(label.text() for label in shown.findChildren(QLabel))
    pick(shown.fields["pitch"], "4")
    QTest.keyClick(next(w for w in shown.findChildren(QLabel) if w.accessibleName() == "Add it"), Qt.Key.Key_Tab)
    shown.finish()  # type: ignore[attr-defined]
    assert text_of(page).endswith("  - Great to Pedal\n  - Swell to Great 4\n")
    assert page.session.undo.undoText() == "add Swell to Great 4"
    row = next(row for row in page.organ.model.rows if row.left == "Swell to Great 4")
    assert row.kind is RowKind.COUPLER


def test_pistons_and_tremulants_are_added_to_an_organ_without_any(page: Window) -> None:
    page.actions_by_id["add_aid"].trigger()
    shown = card(page)
    QTest.keyClick(type_into(shown.fields["count"], "6"), Qt.Key.Key_Return)
    assert [a.text for a in organ_of(page).aids] == ["6 general pistons"]
    page.actions_by_id["add_aid"].trigger()
    shown = card(page)
    pick(shown.fields["kind"], "tremulant")
    pick(shown.fields["division"], "swell")
    assert not shown.fields["count"].isVisible()
    shown.finish()  # type: ignore[attr-defined]
    assert [t.division for t in organ_of(page).tremulants] == ["swell"]
    page.actions_by_id["add_aid"].trigger()
    shown = card(page)
    pick(shown.fields["kind"], "divisional")
    assert "Choose the division" in " ".join(label.text() for label in shown.findChildren(QLabel))
    shown.finish()  # type: ignore[attr-defined]
    assert len(organ_of(page).aids) == 1


# ---------------------------------------------------------------- the piece, the file, the organ from nothing


def test_the_findings_follow_and_so_does_what_was_decided(page: Window) -> None:
    def said() -> str:
        derived = page.session.derived
        return (
            " ".join(str(f.message) for f in derived.index.findings) if derived is not None else "Tuba 8 is not on this"
        )

    assert "Tuba 8 is not on this" in said()
    page.organ.desk.add_stop("great")
    QTest.keyClicks(page.organ.desk.line.field, "Tuba 8")
    QTest.keyClick(page.organ.desk.line.field, Qt.Key.Key_Return)
    wait_for(lambda: "Tuba 8 is not on this" not in said() and not page.workers.is_busy)
    answers = [row.left for row in page.organ.model.rows if row.kind is RowKind.ANSWER]
    assert "Great" in answers


def test_the_file_keeps_its_remarks_and_is_kept_as_it_was_opened(page: Window, tmp_path: Path) -> None:
    file = tmp_path / "Osyth.yaml"
    choose(page, RowKind.STOP, "great/principal-4")
    key(page, Qt.Key.Key_Delete)
    assert file.read_text(encoding="utf-8") == ORGAN, "nothing is written before it is saved"
    page.actions_by_id["save"].trigger()
    assert file.read_text(encoding="utf-8") == ORGAN.replace("      - Principal 4\n", "")
    assert page.session.undo.isClean()
    backup = page.session.shelf.backup_of(file)
    assert backup is not None
    assert backup.read_text(encoding="utf-8") == ORGAN


def test_an_organ_without_a_score_is_changed_saved_and_asked_for(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "Osyth.yaml"
    file.write_text(ORGAN, encoding="utf-8")
    window.open(None, [str(file)])
    wait_for(lambda: window.session.organ is not None)
    choose(window, RowKind.STOP, "swell/oboe-8")
    key(window, Qt.Key.Key_Delete)
    asked: list[str] = []

    def ask() -> QMessageBox.StandardButton:
        asked.append(window.session.undo.undoText())
        return QMessageBox.StandardButton.Save

    monkeypatch.setattr(window.saving, "ask", ask)
    assert window.saving.may_lose_changes()
    assert asked == ["take out Oboe 8"]
    assert "Oboe" not in file.read_text(encoding="utf-8")


def test_a_new_organ_begins_with_its_divisions_and_is_saved_where_it_is_asked(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert window.organ.new_link.isVisible()
    window.actions_by_id["new_organ"].trigger()
    shown = card(window)
    type_into(shown.fields["name"], "St Zita, Nowhere")
    pick(shown.fields["tradition"], "french-symphonic")
    pick(shown.fields["manuals"], "3")
    name = shown.fields["name"]
    assert isinstance(name, TextField)
    QTest.keyClick(name.edit, Qt.Key.Key_Return)
    names = [d.name for d in organ_of(window).divisions]
    assert names == ["Grand-Orgue", "Positif", "Récit expressif", "Pédale"]
    QTest.keyClicks(window.organ.desk.line.field, "Montre 8")
    QTest.keyClick(window.organ.desk.line.field, Qt.Key.Key_Return)
    assert window.session.unsaved_organs == [0]
    target = tmp_path / "zita.yaml"
    monkeypatch.setattr(window.saving, "ask_for_organ_path", lambda name: str(target))
    assert window.saving.save()
    assert stop_label(load_organ(target).division("grand-orgue").stops[0]) == "Montre 8"
    assert window.session.unsaved_organs == []
    window.session.undo.undo()
    assert window.session.document.organs[0].path == str(target)
    assert window.session.unsaved_organs == [0]


def test_the_summary_tells_manuals_stops_compass_and_what_is_lacking(page: Window) -> None:
    page.actions_by_id["summary"].trigger()
    words = " ".join(label.text() for label in card(page).findChildren(QLabel))
    assert "Two manuals and pedal, 7 stops" in words
    assert "no mixtures on the manuals" in words.lower()


def test_every_control_of_every_card_has_a_name_for_those_who_hear_it(page: Window) -> None:
    desk = page.organ.desk
    for row in (r for r in page.organ.model.rows if r.kind not in (RowKind.ANSWER, RowKind.NOTE)):
        desk.open(row)
        for field in [*desk.line.findChildren(QLineEdit), *(desk.card.findChildren(QWidget) if desk.card else [])]:
            if field.focusPolicy() is not Qt.FocusPolicy.NoFocus and field.isVisible():
                assert field.accessibleName() or field.objectName() in ("card", "qt_scrollarea_viewport"), (row, field)
        desk.leave_card()
        desk.writing.leave()


def test_a_menu_offers_what_can_be_done_and_moves_a_stop(page: Window) -> None:
    choose(page, RowKind.STOP, "swell/oboe-8")
    row = page.organ.chosen_row()
    assert row is not None
    menu = page.organ.desk.menu.of(row)
    assert menu is not None
    words = [action.text().partition("\t")[0] for action in menu.actions() if action.text()]
    assert words[:2] == ["Change …", "Write it anew"]
    moves = page.organ.desk.menu.divisions("swell/oboe-8")
    assert [action.text() for action in moves.actions()] == ["Great", "Pedal"]
    moves.actions()[1].trigger()
    assert stops(page, "pedal") == ["Bourdon 16", "Oboe 8"]


def test_a_stop_is_carried_past_the_edge_of_the_page(page: Window) -> None:
    page.resize(1000, 420)
    view = page.organ.view
    wait_for(lambda: view.verticalScrollBar().maximum() > 40, 5)
    view.scrollToTop()
    start = view.visualRect(page.organ.index_of(RowKind.STOP, "great/open-diapason-8")).center()
    low = QPoint(start.x(), view.viewport().height() - 4)
    QTest.mousePress(view.viewport(), LEFT, NONE, start)
    QTest.mouseMove(view.viewport(), start + QPoint(0, 12))
    QTest.mouseMove(view.viewport(), low)
    last = page.organ.index_of(RowKind.STOP, "pedal/bourdon-16")
    wait_for(lambda: view.visualRect(last).bottom() < low.y() - 4, 10)
    QTest.mouseRelease(view.viewport(), LEFT, NONE, view.visualRect(last).center() + QPoint(0, 6))
    assert stops(page, "pedal") == ["Bourdon 16", "Open Diapason 8"]


def test_the_sign_at_the_edge_of_the_chosen_line_opens_its_menu(page: Window) -> None:
    at = choose(page, RowKind.STOP, "swell/salicional-8")
    edge = QPoint(page.organ.view.viewport().width() - 5, at.y())
    QTest.mouseClick(page.organ.view.viewport(), LEFT, NONE, edge)
    wait_for(lambda: QApplication.activePopupWidget() is not None, 5)
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    out_of_use = next(action for action in menu.actions() if action.text() == "Put it out of use")
    QTest.mouseClick(menu, LEFT, NONE, menu.actionGeometry(out_of_use).center())
    assert not organ_of(page).stop("swell/salicional-8").in_use
    assert page.session.undo.undoText() == "put Salicional 8 out of use"


def test_a_double_click_opens_the_card_and_the_piece_keeps_its_table_of_keyboards(page: Window) -> None:
    at = choose(page, RowKind.STOP, "swell/salicional-8")
    QTest.mouseDClick(page.organ.view.viewport(), LEFT, NONE, at)
    assert card(page).title.text().startswith("Salicional")
    page.organ.desk.leave_card()
    at = choose(page, RowKind.ANSWER, "great")
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    QTest.mouseClick(menu, LEFT, NONE, menu.actionGeometry(menu.actions()[1]).center())
    wait_for(lambda: page.session.undo.count() == 1 and not page.workers.is_busy)
    assert page.session.undo.undoText() == "change which keyboard answers great"
