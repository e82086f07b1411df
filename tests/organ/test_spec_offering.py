"""What is offered while a stop's name is typed, and what a new organ begins with."""

from __future__ import annotations

import pytest

from core.errors import OrganError
from core.knowledge.loader import load
from core.organ.beginning import begin_organ, beginnings
from core.organ.completing import Setting
from core.organ.model import Family, Role
from core.organ.offering import folded, offer_stops, told_of
from core.organ.specification import TRADITIONS, read_specification


def texts(typed, role=Role.GREAT, language="en", tradition=None):
    return [offer.text for offer in offer_stops(typed, Setting(role, language, tradition))]


def test_the_usual_pitch_is_that_of_the_division():
    # the pedal's unison is 16 ft: common practice, no source
    assert texts("Rohr", language="de")[0] == "Rohrflöte 8"
    assert texts("Rohr", Role.PEDAL, "de")[0] == "Rohrflöte 16"
    assert texts("Bourd", Role.PEDAL, "fr")[0] == "Bourdon 16"
    assert texts("Fif")[0] == "Fifteenth 2"


def test_any_word_of_a_name_finds_it_without_accents_and_capitals():
    assert "Open Diapason 8" in texts("diap")
    assert "Voix céleste 8" in texts("celeste", Role.SWELL, "fr")
    assert "Flûte harmonique 8" in texts("flute har", language="fr")


def test_a_pitch_that_was_typed_stays():
    assert texts("rohr 4", language="de")[0] == "Rohrflöte 4"
    assert texts("open diap 16")[0] == "Open Diapason 16"


def test_a_whole_name_goes_on_to_its_other_pitches():
    assert {"Montre 8", "Montre 16", "Montre 4"} <= set(texts("Montre", language="fr"))


def test_mixtures_are_offered_by_ranks():
    offers = offer_stops("mixt", Setting(Role.GREAT, "en", None))
    assert offers[0].family is Family.MIXTURE
    assert offers[0].text.startswith("Mixture I")


def test_nothing_is_offered_for_one_letter_or_nonsense():
    assert not texts("R")
    assert not texts("qqzz")
    assert not texts("")


@pytest.mark.parametrize("language", ["en", "fr", "de", "nl", "it", "es"])
def test_every_usual_name_is_known_and_can_be_taken_as_it_is_offered(language):
    for name in load("common_stops")[language].split(";"):
        for role in (Role.GREAT, Role.PEDAL):
            setting = Setting(role, language, None)
            offers = offer_stops(name.strip(), setting)
            told = told_of(name.strip(), setting)
            assert told is not None
            assert told[1].known, name
            is_whole = told[1].family is Family.MIXTURE  # needs no pitch, so there is nothing to go on with
            assert is_whole or any(folded(offer.text).startswith(folded(name)) for offer in offers), name
            for offer in offers:
                assert told_of(offer.text, setting) is not None


def test_each_tradition_begins_with_its_divisions():
    assert [one.tradition for one in beginnings()] == list(TRADITIONS)
    for one in beginnings():
        for manuals in range(1, 6):
            for pedal in (False, True):
                organ = read_specification(begin_organ("St X", one.tradition, manuals, pedal=pedal), "x")
                assert len(organ.manuals) == manuals
                assert [d.keyboard for d in organ.manuals] == [f"manual-{n}" for n in range(1, manuals + 1)]
                assert (organ.pedal is not None) is pedal
                assert len({d.role for d in organ.divisions}) == len(organ.divisions)
                assert not any(d.stops for d in organ.divisions)


def test_the_keyboards_of_an_english_and_a_french_organ_lie_as_custom_has_it():
    # essexorganmuseum.com, "The Organ", part three: Choir below, then Great, then Swell
    english = read_specification(begin_organ("St X", "english", 3), "x")
    assert [d.name for d in english.divisions] == ["Choir", "Great", "Swell", "Pedal"]
    # enharmonia.es, article 56: Grand-Orgue below, then Positif, then Récit
    french = read_specification(begin_organ("St X", "french-symphonic", 3), "x")
    assert [d.name for d in french.divisions] == ["Grand-Orgue", "Positif", "Récit expressif", "Pédale"]
    assert french.division("recit-expressif").enclosed is True


def test_names_are_quoted_where_they_must_be_and_nonsense_is_refused():
    assert read_specification(begin_organ("No: 7 # x", "english", 1), "x").name == "No: 7 # x"
    with pytest.raises(OrganError):
        begin_organ("x", "english", 6)
    with pytest.raises(OrganError):
        begin_organ("x", "martian", 2)
