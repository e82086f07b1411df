"""Halves of divided stops are named in the list's own words."""

from __future__ import annotations

from fractions import Fraction

import pytest

from core.organ.model import Family, Half, Stop
from core.organ.spelling import stop_label


@pytest.mark.parametrize(
    ("half", "word", "expected"),
    [
        (Half.TREBLE, "tiples", "Octava tiples 4"),
        (Half.BASS, "bajos", "Octava bajos 4"),
        (Half.BASS, "Bass", "Octava Bass 4"),
        (Half.TREBLE, "", "Octava 4 treble"),
        (None, "", "Octava 4"),
    ],
)
def test_a_half_is_named_in_the_lists_own_word(half: Half | None, word: str, expected: str) -> None:
    stop = Stop(id="x", name="Octava", pitch=Fraction(4), family=Family.PRINCIPAL, half=half, half_word=word)
    assert stop_label(stop) == expected
