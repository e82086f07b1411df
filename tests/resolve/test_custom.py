"""Customs of drawing that hold on any organ. Common practice, no source, where nothing else is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.cli.draw import answer, answer_to_json
from core.organ.reading import load_organ

ORGANS = Path(__file__).parent / "organs"


def drawn(organ: str, text: str, *before: str) -> dict[str, list[str]]:
    here = load_organ(ORGANS / f"{organ}.txt")
    found = answer_to_json(here, answer(here, text, before))["drawn"]
    assert isinstance(found, dict)
    return found


def test_a_mixture_named_alone_replaces_what_is_on() -> None:
    """So that a mixture without foundation is told; only French symphonic mixtures stand on the reeds' wind."""
    assert drawn("hall", "Gt. Full Mixture", "Great: Open Diapason I 8, Octave 4")["Great"] == ["Full Mixture"]
    french = drawn("cav", "Mixtures G.O.", "Grand-Orgue: Montre 8, Prestant 4")["Grand-orgue"]
    assert {"Montre 8", "Prestant 4", "Fourniture"} <= set(french)


def test_reeds_named_alone_come_to_french_foundations_and_replace_english_ones() -> None:
    """Widor, Avant-propos: the reeds are prepared and called by their ventil while the fonds stay on."""
    french = drawn("csmall", "R. Anches", "Récit: Cor de nuit 8, Viole de gambe 8")["Récit expressif"]
    assert {"Cor de nuit 8", "Viole de gambe 8", "Trompette harmonique 8"} <= set(french)
    english = drawn("hall", "Sw. Reeds", "Swell: Open Diapason 8")["Swell"]
    assert "Open Diapason 8" not in english


@pytest.mark.parametrize(
    ("text", "stops"),
    [
        ("Sw. light reeds", ["Oboe 8"]),
        ("Gt. soft flues", ["Stopped Diapason 8", "Harmonic Flute 8"]),
        ("Sw. all 8 ft. flues", ["Open Diapason 8", "Stopped Diapason 8", "Viola da Gamba 8", "Vox Angelica 8"]),
        ("Gt. Diapasons", ["Open Diapason I 8", "Open Diapason II 8", "Stopped Diapason 8"]),
    ],
)
def test_plural_words_in_moderation(text: str, stops: list[str]) -> None:
    (found,) = drawn("hall", text).values()
    assert found == stops


def test_a_bombarde_division_is_named_before_its_stops() -> None:
    assert drawn("hall", "Bomb. Tuba") == {"Bombarde": ["Tuba 8"]}
    assert drawn("hall", "Bombarde Tubas 16, 8, 4") == {"Bombarde": ["Contra Tuba 16", "Tuba 8", "Tuba Clarion 4"]}


def test_two_stops_of_one_unit_rank_are_no_two() -> None:
    assert set(drawn("unit", "Sw. two soft 8 ft. stops")["Swell"]) == {"Gedeckt 8", "Salicional 8"}


def test_a_principal_from_tenor_c_takes_its_bass_from_a_full_stop() -> None:
    found = " ".join(drawn("lady", "8 & 4")["Manual"])
    assert "Open Diapason" in found
    assert "Stopped Diapason" in found
