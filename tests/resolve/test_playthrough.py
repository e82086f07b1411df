"""Hands and registration in force, step by step. What a marking sends where: common practice, no source."""

from __future__ import annotations

import pytest

from core.analysis import Analysis
from core.organ.spelling import stop_label
from making import Piece
from passage_set import LINE_4
from walking import CHORDS, LINE, opened, walk


def hands_at(analysis: Analysis, bar: int, nth: int = 1) -> tuple[str | None, str | None]:
    step = analysis.at(analysis.score.bars[bar - 1].onset, nth)
    assert step is not None
    return step.registration.hand("right"), step.registration.hand("left")


def drawn_at(analysis: Analysis, bar: int, division: str, nth: int = 1) -> set[str]:
    step = analysis.at(analysis.score.bars[bar - 1].onset, nth)
    assert step is not None
    organ = analysis.organ
    assert organ is not None
    return {stop_label(organ.stop(s)) for s in step.registration.drawn if organ.division_of(s).id == division}


def chords(count: int, piece: Piece | None = None) -> Piece:
    return (piece or opened()).repeat_bars(count, *CHORDS)


@pytest.mark.parametrize(
    ("text", "staff", "above", "hands"),
    [
        ("Sw.", 1, False, ("swell", "swell")),
        ("Sw.", 2, True, ("swell", "swell")),
        ("Sw.", 1, True, ("swell", "great")),
        ("Sw.", 2, False, ("great", "swell")),
        ("L.H. Sw.", 1, True, ("great", "swell")),
        ("R.H. Sw.", 2, False, ("swell", "great")),
        ("Sw. (both hands)", 1, True, ("swell", "swell")),
        ("R.H. Sw., L.H. Ch.", 1, True, ("swell", "choir")),
        ("Sw. Oboe", 1, False, ("swell", "swell")),
        ("Sw. add Salicional", 1, False, ("great", "great")),
        ("Ped. add Bass Flute", 3, False, ("great", "great")),
        ("Sw. to Gt.", 1, False, ("great", "great")),
    ],
)
def test_whom_a_marking_sends(text: str, staff: int, above: bool, hands: tuple[str, str]) -> None:
    analysis = walk(chords(6).text(3, 1, text, staff=staff, above=above))
    assert hands_at(analysis, 2) == ("great", "great")
    assert hands_at(analysis, 3) == hands


def test_a_line_of_a_block_sends_nobody_and_draws_for_its_division() -> None:
    analysis = walk(chords(2))
    assert hands_at(analysis, 1) == ("great", "great")
    assert drawn_at(analysis, 1, "swell") == {"Oboe 8"}
    assert drawn_at(analysis, 1, "choir") == {"Clarinet 8"}
    assert drawn_at(analysis, 1, "pedal") == {"Bourdon 16"}


def test_a_lone_marking_at_the_opening_takes_both_hands() -> None:
    analysis = walk(chords(4, Piece().text(1, 1, "Gt. Open Diapason 8")))
    assert hands_at(analysis, 1) == ("great", "great")


def test_divisions_over_each_manual_staff_are_each_hands_own() -> None:
    piece = chords(4, Piece()).text(1, 1, "Ch. Clarinet").text(1, 1, "Sw. Salicional", staff=2)
    assert hands_at(walk(piece), 1) == ("choir", "swell")


def test_chords_after_a_solo_bring_both_hands_to_a_third_manual() -> None:
    piece = opened().repeat_bars(2, *CHORDS).repeat_bars(4, *LINE).repeat_bars(4, *CHORDS)
    piece.text(3, 1, "R.H. Sw.").text(3, 1, "L.H. Ch.", staff=2, above=False).text(7, 1, "Gt. Open Diapason 8")
    analysis = walk(piece)
    assert hands_at(analysis, 3) == ("swell", "choir")
    assert hands_at(analysis, 7) == ("great", "great")


def test_a_reminder_in_round_brackets_changes_nothing() -> None:
    analysis = walk(chords(6).text(3, 1, "(Gt.)", above=False))
    assert hands_at(analysis, 3) == ("great", "great")
    assert not [f for f in analysis.findings if f.at and f.at.measure == "3"]


def test_what_is_prepared_in_the_title_block_is_drawn_by_the_first_bar() -> None:
    piece = Piece().text(1, 1, "Gt.", above=False)
    piece.credits.append("Prepare: Gt. Open Diapason 8; Sw. Oboe; Ped. Bourdon 16; Sw. to Gt.")
    analysis = walk(chords(3, piece))
    assert drawn_at(analysis, 1, "great") == {"Open Diapason 8"}
    assert drawn_at(analysis, 1, "swell") == {"Oboe 8"}
    assert len(analysis.steps[0].registration.couplers) == 1


def test_a_change_within_a_repeat_holds_the_second_time() -> None:
    piece = chords(8).text(5, 1, "Gt. add Principal 4").repeat(3, 6)
    analysis = walk(piece)
    assert drawn_at(analysis, 3, "great") == {"Open Diapason 8"}
    assert drawn_at(analysis, 3, "great", 2) == {"Open Diapason 8", "Principal 4"}


def test_first_time_and_second_time_hold_for_their_pass_alone() -> None:
    piece = chords(8).text(3, 1, "1st time Sw., 2nd time Ch.", above=False).repeat(3, 6)
    analysis = walk(piece)
    assert hands_at(analysis, 4) == ("swell", "swell")
    assert hands_at(analysis, 4, 2) == ("choir", "choir")


def test_on_two_staves_ped_gives_the_lowest_notes_to_the_feet_until_man() -> None:
    bar = (CHORDS[0], "C3+G3:2 F3+A3 G3+B3")
    piece = Piece(staves=2).text(1, 1, "Gt. Open Diapason 8").text(1, 1, "Gt.", above=False)
    piece.text(2, 1, "Ped.", staff=2, above=False).text(4, 1, "Man.", staff=2, above=False)
    score = walk(piece.repeat_bars(5, *bar)).score
    feet = {(n.bar, n.spelling) for n in score.notes if n.hand == "feet"}
    assert feet == {(bar, key) for bar in (1, 2) for key in ("C3", "F3", "G3")}


def test_stops_without_a_division_are_played_where_they_stand() -> None:
    piece = opened().repeat_bars(2, *CHORDS).repeat_bars(4, *(LINE_4[0])).text(3, 1, "R.H. Cornopean")
    assert hands_at(walk(piece), 3) == ("swell", "great")


def test_the_registration_at_a_time_depends_only_on_what_stands_before() -> None:
    early = chords(8).text(3, 1, "Sw.", above=False)
    late = chords(8).text(3, 1, "Sw.", above=False).text(6, 1, "Full Gt.", above=False)
    one, other = walk(early), walk(late)
    for bar in range(1, 6):
        step, same = one.at(one.score.bars[bar - 1].onset), other.at(other.score.bars[bar - 1].onset)
        assert step is not None
        assert same is not None
        assert step.registration == same.registration


def test_what_was_prepared_is_drawn_when_the_hand_comes() -> None:
    piece = chords(8).text(3, 1, "Prepare Sw. Salicional & Voix Celestes").text(5, 1, "Sw.", above=False)
    analysis = walk(piece)
    assert drawn_at(analysis, 4, "swell") == {"Oboe 8"}
    assert drawn_at(analysis, 5, "swell") == {"Salicional 8", "Voix Celestes 8"}


def test_prepared_reeds_wait_for_their_own_call() -> None:
    piece = chords(8).text(1, 1, "R. Fonds 8, anches préparées").text(3, 1, "R.", above=False)
    piece.text(6, 1, "Anches R.")
    analysis = walk(piece)
    assert "Cornopean 8" not in drawn_at(analysis, 4, "swell")
    assert "Cornopean 8" in drawn_at(analysis, 6, "swell")
