"""Where solos begin and end. What begins and ends a solo: common practice, no source."""

from __future__ import annotations

import pytest

from making import Piece
from walking import CHORDS, LEFT_LINE, LINE, LINE_REST, opened, walk


def solo_then_chords(end_text: str | None = None, *, start: str = "R.H. Sw.") -> Piece:
    piece = opened()
    piece.repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(4, *CHORDS)
    piece.text(5, 1, start)
    if end_text:
        piece.text(9, 1, end_text)
    return piece


def only(piece: Piece):
    passages = walk(piece).passages
    assert len(passages) == 1, [str(p.how) for p in passages]
    return passages[0]


@pytest.mark.parametrize("end", ["Gt.", "R.H. Gt.", "Both hands Gt."])
def test_the_next_manual_ends_a_solo(end: str) -> None:
    passage = only(solo_then_chords(end))
    assert (passage.hand, passage.division) == ("right", "swell")
    assert (passage.start.measure, passage.end and passage.end.measure) == ("5", "9")
    assert passage.marked_start
    assert passage.marked_end


def test_a_solo_that_nothing_ends_is_ambiguous_with_the_chords_first() -> None:
    passage = only(solo_then_chords())
    assert not passage.marked_end
    assert passage.end is None
    assert passage.proposals[0].at.measure == "9"
    assert "chords" in passage.proposals[0].evidence


def test_a_line_that_goes_on_to_the_last_bar_ends_with_the_piece() -> None:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(4, *LINE)
    piece.text(5, 1, "Sw. Solo")
    passage = only(piece)
    assert passage.marked_end
    assert passage.end_onset == walk(piece).score.end


def test_added_stops_tremulant_and_box_end_nothing() -> None:
    piece = solo_then_chords("Gt.")
    piece.text(6, 1, "add Salicional").text(7, 1, "+ Trem.").text(8, 1, "Sw. box open")
    assert only(piece).end.measure == "9"


def test_another_hands_marking_is_no_end() -> None:
    piece = solo_then_chords("R.H. Gt.").text(7, 1, "L.H. Ch.", staff=2, above=False)
    assert only(piece).end.measure == "9"


def test_a_bracket_includes_the_note_it_closes_at() -> None:
    piece = solo_then_chords().bracket(5, 8)
    passage = only(piece)
    assert passage.marked_end
    assert passage.end is not None
    assert (passage.end.measure, passage.end.beat) == ("8", 3)


def test_square_brackets_as_words_open_and_close_a_tenor_solo() -> None:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(4, *LEFT_LINE).repeat_bars(2, *CHORDS)
    piece.text(5, 1, "[ L.H. Ch.", staff=2).text(8, 4, "]", staff=2)
    passage = only(piece)
    assert (passage.hand, passage.division) == ("left", "choir")
    assert (passage.start.measure, passage.end.measure) == ("5", "9")


def test_an_editors_brackets_round_a_whole_marking_are_no_end() -> None:
    piece = solo_then_chords("[R.H. Gt.]", start="[R.H. Sw.]")
    passage = only(piece)
    assert passage.marked_end
    assert passage.end.measure == "9"


def test_both_hands_changing_together_are_a_dialogue() -> None:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(4, *CHORDS).text(5, 1, "Sw.", above=False)
    assert walk(piece).passages == ()


def test_the_same_solo_marked_again_ended_in_between() -> None:
    piece = solo_then_chords(start="Sw. Solo").repeat_bars(4, *LINE).text(13, 1, "Sw. Solo")
    first, second = walk(piece).passages
    assert not first.marked_end
    assert first.proposals[0].at.measure == "9"
    assert second.start.measure == "13"
    assert second.marked_end


def test_a_start_over_a_held_chord_is_doubtful() -> None:
    held = ("C4+E4+G4:3 E5", "C3+G3:4", "C3:4")
    piece = opened().repeat_bars(3, *CHORDS).bar(*held).repeat_bars(4, *LINE).repeat_bars(2, *CHORDS)
    piece.text(4, 3, "Sw. Solo").text(9, 1, "Gt.")
    passage = only(piece)
    assert not passage.marked_start
    assert (passage.start.measure, passage.start.beat) == ("4", 4)


def test_a_start_after_a_rest_is_clear() -> None:
    rest = ("r G4 A4 B4", "C3+G3:4", "C3:4")
    piece = opened().repeat_bars(4, *CHORDS).bar(*rest).repeat_bars(3, *LINE).repeat_bars(2, *CHORDS)
    piece.text(5, 1, "Sw. Solo").text(9, 1, "Gt.")
    passage = only(piece)
    assert passage.marked_start
    assert passage.start.beat == 2


def test_a_pedal_at_four_foot_plays_the_melody() -> None:
    rest = (CHORDS[0], CHORDS[1], "r:4")
    melody = (CHORDS[0], CHORDS[1], "C4( D4 E4 G3)")
    piece = Piece().text(1, 1, "Gt. Dulciana 8").text(1, 1, "Gt.", above=False)
    piece.text(1, 1, "Ped. Choral Bass 4", staff=3, above=False)
    piece.repeat_bars(2, *rest).repeat_bars(4, *melody).repeat_bars(2, *CHORDS)
    piece.text(7, 1, "Ped. Bourdon 16", staff=3, above=False)
    passage = only(piece)
    assert (passage.hand, passage.division) == ("feet", "pedal")
    assert (passage.start.measure, passage.end.measure) == ("3", "7")


def test_passages_are_found_without_an_organ() -> None:
    passages = walk(solo_then_chords("Gt."), without_organ=True).passages
    assert [(p.hand, p.division) for p in passages] == [("right", "swell")]
