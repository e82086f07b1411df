"""What a player would pencil in, in words."""

from __future__ import annotations

import pytest

from app.lane import change_words
from core.organ.model import Organ
from core.resolve.model import Registration

SW = "swell/salicional-8"
OBOE = "swell/oboe-8"
FLUTE = "swell/stopped-diapason-8"


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (Registration(), Registration(drawn=(OBOE,)), "Oboe 8"),
        (Registration(drawn=(SW,)), Registration(drawn=(SW, OBOE)), "+ Oboe 8"),
        (Registration(drawn=(SW, OBOE)), Registration(drawn=(SW,)), "− Oboe 8"),
        (Registration(drawn=(SW, OBOE)), Registration(drawn=(FLUTE,)), "Stopped Diapason 8"),
        (Registration(drawn=(SW,)), Registration(), "off"),
        (Registration(drawn=(SW,)), Registration(drawn=(SW,)), ""),
        (Registration(), Registration(boxes=(("swell", "opening"),)), "box ↗"),
        (Registration(), Registration(tremulants=frozenset({"swell"})), "+ trem."),
        (Registration(tremulants=frozenset({"swell"})), Registration(), "− trem."),
    ],
)
def test_a_change_on_the_swell(small_organ: Organ, before: Registration, after: Registration, words: str) -> None:
    assert change_words(small_organ, small_organ.division("swell"), before, after) == words


def test_a_coupler_is_pencilled_on_the_keyboard_it_is_added_to(small_organ: Organ) -> None:
    after = Registration(couplers=frozenset({0}))
    assert change_words(small_organ, small_organ.division("great"), Registration(), after) == "+ Swell"
    assert change_words(small_organ, small_organ.division("swell"), Registration(), after) == ""
