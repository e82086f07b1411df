"""How each change can be made. A hand draws one to four stops in about a second: Wisconsin Alliance of Composers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.analysis import Decisions, analyse
from core.export.plan import ways_in
from core.organ.model import Aid, AidKind, Reach
from core.practice.hands_free import Who
from core.practice.player import Player
from core.practice.ways import Way
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS, opened, organ

FULL = ("C4+E4+G4+C5 D4+F4+A4+D5 E4+G4+C5+E5 D4+G4+B4+D5", "C3+E3+G3+B3 D3+F3+A3+C4 E3+G3+B3+C4 G2+B2+D3+F3")
RUNNING = " ".join(["C3:1/2 D3:1/2 E3:1/2 F3:1/2"] * 2)
MANY = "Gt. Clarabella 8, Dulciana 8, Principal 4, Trumpet 8"
GENERALS = Aid(kind=AidKind.GENERAL, text="6 general pistons", reach=(Reach.THUMB,))
SWELL_ONLY = Aid(kind=AidKind.DIVISIONAL, text="4 pistons to the Swell", division="swell", reach=(Reach.THUMB,))
REVERSIBLES = Aid(kind=AidKind.REVERSIBLE, text="Swell to Great reversible", reach=(Reach.TOE,))


def last(piece: Piece, *aids: Aid, assistants: int = 0) -> Way:
    score = read_score(source_from_bytes(piece.xml(), "study.musicxml"))
    on = replace(organ(), aids=aids)
    return ways_in(analyse(score, on, Decisions(player=Player(assistants=assistants))))[-1]


def hymn(words: str, *bars: str) -> Piece:
    return opened().repeat_bars(8, *(bars or CHORDS)).text(5, 1, words)


def test_the_opening_is_set_before_the_music() -> None:
    way = last(opened().repeat_bars(4, *CHORDS))
    assert (way.who, str(way.how)) == (Who.BEFORE, "set before the music begins")


def test_a_stop_or_two_are_moved_in_passing() -> None:
    way = last(hymn("add Principal 4"))
    assert way.who in (Who.RIGHT, Who.LEFT)
    assert "in passing" in str(way.how)


def test_a_rest_of_the_left_hand_is_its_time() -> None:
    piece = opened().repeat_bars(3, *CHORDS).bar(CHORDS[0], "r:4", CHORDS[2]).repeat_bars(4, *CHORDS)
    way = last(piece.text(5, 1, MANY))
    assert way.who is Who.LEFT
    assert str(way.how) == "by the left hand, free for 3.0 s"  # a bar of four at 80


def test_what_hands_cannot_make_needs_a_piston_and_says_under_which_thumb() -> None:
    way = last(hymn(MANY), GENERALS)
    assert (way.who, way.limbs, way.possible) == (Who.PISTON, ("right", "left"), True)


@pytest.mark.parametrize("aids", [(), (GENERALS,)], ids=["no piston", "no thumb free"])
def test_what_nobody_can_make_is_said(aids: tuple[Aid, ...]) -> None:
    way = last(hymn(MANY, *FULL, RUNNING), *aids)
    assert (way.who, way.limbs, way.possible) == (Who.PISTON, (), False)
    assert ("no piston" if not aids else "no thumb or toe") in str(way.how)


def test_an_assistant_makes_what_a_motion_holds() -> None:
    way = last(hymn(MANY, *FULL, RUNNING), assistants=1)
    assert (way.who, way.possible) == (Who.ASSISTANT, True)


def test_coupler_reversibles_work_couplers_alone() -> None:
    two = Aid(kind=AidKind.REVERSIBLE, text="2 toe reversibles", count=3, reach=(Reach.TOE,))
    piece = hymn("Sw. to Gt., Gt. to Ped., Sw. to Ped.", CHORDS[0], CHORDS[1], "C3:4")
    assert last(piece, two).limbs == ("toe",)
    assert not last(piece, REVERSIBLES).possible  # one for three couplers
    assert not last(hymn(MANY, CHORDS[0], CHORDS[1], "C3:4"), two).possible
