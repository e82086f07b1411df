"""Changes of a specification and what must outlive them: decisions, unsaved work, the other organs that are open."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QMessageBox
from window_support import wait_for

from app.organ_rows import RowKind
from app.recovery import Recovery, pack, unpack
from app.spec_desk import SpecDesk
from app.window import Window
from core.edits import PinStops, SetKeyboard
from core.organ.changes import ChangeDivision, ChangeStop, RemoveStop
from core.texts import say

ORGAN = """\
specification: 1
name: St Osyth, Little Marling
language: en
divisions:
  - Great: [Open Diapason 8, Principal 4, Twelfth 2 2/3]
  - name: Swell
    enclosed: yes
    stops: [Salicional 8, Stopped Diapason 8, Oboe 8]
  - Pedal: [Bourdon 16]
"""


def opened(window: Window, piece: bytes, folder: Path) -> SpecDesk:
    (folder / "Voluntary.musicxml").write_bytes(piece)
    (folder / "Osyth.yaml").write_text(ORGAN, encoding="utf-8")
    window.open(folder / "Voluntary.musicxml", [str(folder / "Osyth.yaml")])
    wait_for(lambda: window.session.derived is not None and not window.workers.is_busy)
    return window.organ.desk


def settled(window: Window, count: int) -> None:
    wait_for(lambda: window.session.undo.count() == count and not window.workers.is_busy)


def test_what_was_decided_follows_a_renamed_stop_division_and_organ(
    window: Window, short_piece: bytes, tmp_path: Path
) -> None:
    desk = opened(window, short_piece, tmp_path)
    assert window.session.derived is not None
    marking = next(m for m, mark in window.session.derived.index.marks.items() if mark.text.text == "add Oboe")
    name = "St Osyth, Little Marling"
    window.session.perform(PinStops(organ=name, marking=marking, request="Oboe", stops=("swell/oboe-8",)))
    settled(window, 1)
    window.session.perform(SetKeyboard(organ=name, asked="swell", division="swell"))
    settled(window, 2)
    assert not desk.perform(say("x"), ChangeStop(stop="swell/oboe-8", entries=(("name", "Hautboy"),)))
    assert not desk.perform(say("x"), ChangeDivision(division="swell", entries=(("name", "Recit"),)))
    assert [pin.stops for pin in window.session.document.notes.pins] == [("recit/hautboy-8",)]
    assert [row.division for row in window.session.document.notes.keyboards] == ["recit"]
    wait_for(lambda: window.session.derived is not None and not window.workers.is_busy)
    answers = [row.right for row in window.organ.model.rows if row.kind is RowKind.ANSWER and row.left == "Swell"]
    assert answers == ["Recit (yours)"]
    window.session.undo.undo()
    window.session.undo.undo()
    assert [pin.stops for pin in window.session.document.notes.pins] == [("swell/oboe-8",)]


def test_unsaved_changes_of_a_specification_are_kept_and_taken_up(
    window: Window, short_piece: bytes, tmp_path: Path
) -> None:
    desk = opened(window, short_piece, tmp_path)
    assert not desk.perform(say("take out Oboe 8"), RemoveStop(stop="swell/oboe-8"))
    kept = unpack(pack(Recovery(window, tmp_path / "kept", every_ms=10**6)._present()))
    assert kept.edits == ("take out Oboe 8",)
    assert "Oboe" not in kept.document.organs[0].text
    window.session.undo.undo()
    recovery = Recovery(window, tmp_path / "again", every_ms=10**6)
    file = recovery.folder / "left.unsaved"
    file.write_bytes(pack(kept))
    recovery.take_up(kept, file)
    wait_for(lambda: window.session.organ is not None and not window.workers.is_busy and not file.exists())
    assert "Oboe" not in window.session.document.organs[0].text
    assert window.session.unsaved_organs == [0]
    assert window.saving.save()
    assert "Oboe" not in (tmp_path / "Osyth.yaml").read_text(encoding="utf-8")


def test_undo_of_an_organs_change_leaves_an_organ_that_was_opened_since(
    window: Window, short_piece: bytes, tmp_path: Path
) -> None:
    desk = opened(window, short_piece, tmp_path)
    assert not desk.perform(say("take out Oboe 8"), RemoveStop(stop="swell/oboe-8"))
    other = tmp_path / "Other.yaml"
    other.write_text(ORGAN.replace("St Osyth", "St Botolph"), encoding="utf-8")
    window.session.add_organs([other])
    wait_for(lambda: len(window.session.document.organs) == 2)
    window.session.undo.undo()
    names = [file.organ.name for file in window.session.document.organs]
    assert names == ["St Osyth, Little Marling", "St Botolph, Little Marling"]
    assert window.session.document.organs[0].text == ORGAN
    assert window.session.document.chosen == 1


def test_opening_an_organ_again_keeps_what_is_not_saved_of_it(
    window: Window, short_piece: bytes, tmp_path: Path
) -> None:
    desk = opened(window, short_piece, tmp_path)
    assert not desk.perform(say("take out Oboe 8"), RemoveStop(stop="swell/oboe-8"))
    window.session.add_organs([str(tmp_path / "Osyth.yaml")])
    wait_for(lambda: not window.workers.is_busy)
    assert "Oboe" not in window.session.document.organs[0].text
    assert window.session.unsaved_organs == [0]


def test_discarded_changes_are_gone_when_another_piece_is_opened(
    window: Window, short_piece: bytes, tmp_path: Path, monkeypatch
) -> None:
    desk = opened(window, short_piece, tmp_path)
    assert not desk.perform(say("take out Oboe 8"), RemoveStop(stop="swell/oboe-8"))
    monkeypatch.setattr(window.saving, "ask", lambda: QMessageBox.StandardButton.Discard)
    assert window.saving.may_lose_changes()
    assert window.session.document.organs[0].text == ORGAN
    assert window.session.unsaved_organs == []


def test_a_built_in_organ_is_changed_as_a_copy(window: Window, tmp_path: Path, monkeypatch) -> None:
    from app.builtin import demo_organ

    organ = demo_organ()
    assert organ is not None
    before = organ.read_bytes()
    window.open(None, [str(organ)])
    wait_for(lambda: window.session.organ is not None)
    assert not window.organ.desk.perform(say("x"), RemoveStop(stop="swell/oboe-8"))
    monkeypatch.setattr(window.saving, "ask_for_organ_path", lambda name: "")
    assert not window.saving.save()
    monkeypatch.setattr(window.saving, "ask_for_organ_path", lambda name: str(tmp_path / "mine.yaml"))
    assert window.saving.save()
    assert organ.read_bytes() == before
    assert "Oboe" not in (tmp_path / "mine.yaml").read_text(encoding="utf-8")


def test_going_through_choices_is_one_step_of_undo(window: Window, short_piece: bytes, tmp_path: Path) -> None:
    desk = opened(window, short_piece, tmp_path)
    for loudness in ("6", "7", "8"):
        change = ChangeStop(stop="swell/salicional-8", entries=(("loudness", loudness),))
        assert not desk.perform(say("change how loud Salicional 8 is"), change, group=7)
    assert window.session.undo.count() == 1
    window.session.undo.undo()
    assert window.session.document.organs[0].text == ORGAN
