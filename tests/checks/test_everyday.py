"""Everyday music in which nothing is wrong, and faults that would otherwise be told more than once."""

from __future__ import annotations

from fault_set import hymn, organ_named, solo, swelling
from making import Piece
from passage_set_more import MORE
from state_set import movements
from walking import CHORDS, opened, rules, walk

MANY = "Gt. Clarabella 8, Dulciana 8, Principal 4, Trumpet 8"


def test_between_movements_there_is_time_for_every_change() -> None:
    assert "change-too-quick" not in rules(walk(movements(), organ_named("en")))


def test_a_fermata_gives_the_time_for_a_change() -> None:
    paused = ("C4+E4+G4:4^", "C3+G3:4", "C3:4")
    piece = opened().repeat_bars(3, *CHORDS).bar(*paused).repeat_bars(4, *CHORDS).text(5, 1, MANY)
    assert "change-too-quick" not in rules(walk(piece))
    assert "change-too-quick" in rules(walk(hymn((5, MANY))))


def test_in_a_trio_neither_hand_accompanies() -> None:
    case = next(c for c in MORE if c.name == "trio in three parts")
    assert "solo-covered" not in rules(walk(case.make(), organ_named("en")))


def test_a_hairpin_moves_the_box_so_closing_it_again_is_no_idle_marking() -> None:
    piece = swelling(hymn((2, "Sw. box closed"), (7, "Sw. box closed")).text(3, 1, "Sw.", above=False))
    assert "box-already-so" not in rules(walk(piece))


def test_sw_solo_is_not_in_doubt_where_a_solo_begins() -> None:
    assert "reading-in-doubt" not in rules(walk(solo(sent="Sw. Solo")))


def told(piece: Piece, rule: str, organ: str) -> int:
    return sum(f.rule == rule for f in walk(piece, organ_named(organ)).findings)


def test_a_division_that_the_organ_lacks_is_told_once() -> None:
    piece = hymn((3, "Pos. Clarinette"), (5, "Pos. Salicional"), (7, "Pos. Clarinette"), language="de")
    assert told(piece, "missing-division", "de") <= 1


def test_a_stop_that_could_not_be_drawn_is_not_missed_again_when_it_goes_off() -> None:
    piece = hymn((3, "Ped. add Contra Violone 32"), (6, "Ped. Contra Violone 32 off"))
    assert told(piece, "missing-stop", "en") == 1
    assert told(piece, "not-drawn", "en") == 0
