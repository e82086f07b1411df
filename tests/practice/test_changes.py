"""Seconds and movements. Tempo by metronome is arithmetic; a tempo word's range: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

from core.practice.changes import changes_of, movements_between, seconds_between, tempo_at
from core.resolve.model import Registration
from making import Piece
from walking import CHORDS, opened, walk


def test_a_bar_of_four_at_eighty_lasts_three_seconds() -> None:
    score = walk(opened().repeat_bars(3, *CHORDS)).score
    assert seconds_between(score, 0, score.bars[0].length) == Fraction(3)
    assert tempo_at(score, 0) == (Fraction(80), False)


def test_without_a_metronome_the_tempo_word_is_a_guess() -> None:
    piece = Piece().text(1, 1, "Andante").text(1, 1, "Gt.", above=False).repeat_bars(2, *CHORDS)
    pace, guessed = tempo_at(walk(piece).score, 0)
    assert guessed
    assert 66 <= pace <= 88


def test_a_rest_is_the_time_for_a_change() -> None:
    piece = opened().repeat_bars(2, *CHORDS).bar("r:4", "r:4", "C3:4").repeat_bars(2, *CHORDS)
    analysis = walk(piece.text(4, 1, "Gt. add Principal 4, Fifteenth 2"))
    change = changes_of(analysis.score, analysis.steps, analysis.lines)[-1]
    assert change.seconds_free == 3
    assert change.movements == 2


def test_movements_count_every_control_that_differs() -> None:
    before = Registration(drawn=("a", "b"), couplers=frozenset({1}), boxes=(("swell", "open"),))
    after = Registration(drawn=("b", "c"), couplers=frozenset({2}), boxes=(("swell", "closed"),))
    assert movements_between(before, after) == 5
