"""How a marking being typed may go on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.document import organ_from_text
from core.markings.completing import complete
from core.organ.model import Organ

ORGAN = """
specification: 1
name: Nether Hallam (invented)
tradition: english
divisions:
  - name: Great
    stops: [Open Diapason 8, Principal 4]
  - name: Swell
    stops: [Open Flute 4, Oboe 8, Stopped Diapason 8]
"""


@pytest.fixture(scope="module")
def organ() -> Organ:
    return organ_from_text(ORGAN, "organ.yaml")


def _wholes(text: str, organ: Organ | None, language: str = "en", division: str | None = None) -> list[str]:
    return [one.of(text) for one in complete(text, organ, language, division=division)]


def test_the_organs_own_stops_come_first(organ: Organ) -> None:
    assert _wholes("Sw. ob", organ)[0] == "Sw. Oboe 8"


def test_stops_of_the_named_division_stand_before_the_others(organ: Organ) -> None:
    assert _wholes("Op", organ)[0] == "Open Diapason 8"
    assert _wholes("Op", organ, division=organ.divisions[1].id)[0] == "Open Flute 4"


def test_a_name_of_several_words_goes_on_after_its_first(organ: Organ) -> None:
    assert _wholes("Sw. Stopped D", organ)[0] == "Sw. Stopped Diapason 8"


def test_the_words_of_the_language_follow(organ: Organ) -> None:
    assert "ajoutez" in _wholes("ajou", organ, "fr")
    assert "Récit" in _wholes("reci", organ, "fr")


def test_nothing_is_offered_after_a_space_or_without_a_beginning(organ: Organ) -> None:
    assert not complete("", organ, "en")
    assert not complete("Sw. ", organ, "en")
    assert not complete("zzz", organ, "en")


def test_without_an_organ_the_language_alone_answers() -> None:
    assert _wholes("Swell Or", None)[0] == "Swell Organ"


@given(st.text(max_size=40))
def test_what_was_typed_before_stays(text: str) -> None:
    for one in complete(text, None, "en"):
        assert one.of(text).startswith(text[: one.start])
        assert len(one.words) > 0
