"""Which keyboard answers which: published orders of manuals, their sources beside them."""

from __future__ import annotations

import pytest

from core.organ.model import Division, Organ, Role
from core.resolve.keyboards import division_of_role, propose_keyboards


def division(role: str, keyboard: str, *, enclosed: bool | None = None) -> Division:
    return Division(id=role, name=role.title(), role=Role(role), keyboard=keyboard, enclosed=enclosed)


ENGLISH = Organ(
    name="English",
    tradition="english",
    language="en",
    divisions=(
        division("choir", "manual-1"),
        division("great", "manual-2"),
        division("swell", "manual-3", enclosed=True),
        division("pedal", "pedal"),
    ),
)
TWO = Organ(
    name="Two",
    divisions=(
        division("great", "manual-1"),
        division("swell", "manual-2", enclosed=True),
        division("pedal", "pedal"),
    ),
)
BAROQUE = Organ(
    name="Baroque",
    divisions=(
        division("positive", "manual-1"),
        division("great", "manual-2"),
        division("brustwerk", "manual-3"),
        division("pedal", "pedal"),
    ),
)
ONE = Organ(name="One", divisions=(division("manual-1", "manual-1"),))


@pytest.mark.parametrize(
    ("organ", "language", "asked", "answer"),
    [
        # http://www.essexorganmuseum.com/The-Organ-Part-Three.html: Swell III, Great II, Choir I
        (ENGLISH, "en", "manual-1", "choir"),
        (ENGLISH, "en", "manual-2", "great"),
        (ENGLISH, "en", "manual-3", "swell"),
        # enharmonia.es blog, article 56: I Grand-Orgue, II Positif, III Récit
        (ENGLISH, "fr", "manual-1", "great"),
        (ENGLISH, "fr", "manual-3", "swell"),
        # common practice, no source: I is the chief manual in German scores
        (ENGLISH, "de", "manual-1", "great"),
        (BAROQUE, "de", "manual-1", "great"),
        (TWO, "de", "manual-2", "swell"),
        (ENGLISH, "fr", "positive", "choir"),
        (BAROQUE, "en", "choir", "positive"),
        (BAROQUE, "fr", "swell", "brustwerk"),
        (TWO, "en", "choir", "swell"),
        # "Rückp." and "Oberw." of BWV 720; that Oberwerk may mean the chief manual: common practice, no source
        (BAROQUE, "de", "oberwerk", "great"),
        (TWO, "de", "oberwerk", "swell"),
        (ONE, "en", "great", "manual-1"),
        (ONE, "en", "swell", "manual-1"),
    ],
)
def test_a_role_or_number_has_its_keyboard(organ: Organ, language: str, asked: str, answer: str) -> None:
    found = propose_keyboards([asked], organ, language=language)
    assert found.answers[asked] == answer
    assert str(found.why[asked])


def test_three_manuals_music_on_two_says_what_is_shared() -> None:
    found = propose_keyboards(["great", "swell", "choir", "pedal"], TWO, language="en")
    assert found.answers["great"] == "great"
    assert found.answers["swell"] == "swell"
    assert found.answers["choir"] in ("great", "swell")
    assert found.substitutes == {"choir"}
    assert "serves for both" in str(found.why["choir"])


def test_each_number_of_a_piece_has_a_keyboard_of_its_own_where_there_are_enough() -> None:
    asked = ["manual-1", "manual-2", "manual-3"]
    for language in ("de", "fr", "en"):
        for organ in (ENGLISH, BAROQUE):
            found = propose_keyboards(asked, organ, language=language)
            assert len({found.answers[row] for row in asked}) == 3, (language, organ.name)


def test_a_stand_in_prefers_a_keyboard_nothing_else_needs() -> None:
    found = propose_keyboards(["great", "positive", "solo"], BAROQUE, language="en")
    assert found.answers["solo"] == "brustwerk"


def test_the_user_s_row_wins_and_is_named() -> None:
    found = propose_keyboards(["choir", "great"], TWO, language="en", user={"choir": "great"})
    assert found.answers["choir"] == "great"
    assert found.by_user == {"choir"}


def test_a_row_of_the_user_s_for_an_unknown_division_is_left_aside() -> None:
    found = propose_keyboards(["choir"], TWO, language="en", user={"choir": "nowhere"})
    assert found.answers["choir"] == "swell"
    assert not found.by_user


def test_no_pedal_is_missing_not_guessed() -> None:
    found = propose_keyboards(["pedal"], ONE)
    assert found.missing == {"pedal"}


def test_numbered_manuals_play_the_part_of_a_role() -> None:
    organ = Organ(
        name="Numbers",
        tradition="german-romantic",
        divisions=(division("manual-1", "manual-1"), division("manual-2", "manual-2")),
    )
    found = division_of_role(organ, "great")
    assert found is not None
    assert found.id == "manual-1"
    other = division_of_role(organ, "swell")
    assert other is not None
    assert other.id == "manual-2"
