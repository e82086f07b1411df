"""The needs page and the questions to a church, on the invented organs. Common practice, no source."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from core.analysis import Analysis
from core.cli.main import main
from core.compare.organs import fit_of
from core.compare.questions import questions_of
from core.export.needs_page import Against, needs_paper
from core.export.plain_text import page_text
from core.organ.model import Organ
from fault_set import organ_named
from making import Piece
from walking import CHORDS, opened, walk

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"


def piece() -> Piece:
    made = opened().repeat_bars(8, *CHORDS)
    made.text(3, 1, "Sw. Vox Angelica 8").text(4, 1, "add Bass Flute 8", staff=3)
    return made.text(6, 1, "Gt. Clarabella 8, Dulciana 8, Principal 4, Trumpet 8, Sw. to Gt.")


def asked(analysis: Analysis) -> list[str]:
    return [str(q.text) for q in questions_of(analysis)]


def silent(organ: Organ) -> Organ:
    """The organ as a list that says neither boxes nor compasses nor couplers."""
    divisions = tuple(replace(d, enclosed=None, compass=None, keyboard_assumed=True) for d in organ.divisions)
    return replace(organ, divisions=divisions, couplers=(), tremulants=(), aids=(), couplers_carry_on=None)


def test_each_request_is_set_against_each_organ() -> None:
    played = [walk(piece(), organ_named(name)) for name in ("en", "large")]
    text = page_text(needs_paper(played[0], [Against(analysis=a, fit=fit_of(a, "")) for a in played]))
    row = next(line for line in text[text.index("STOPS") :].splitlines() if "Vox Angelica" in line)
    assert "(Salicional 8)" in row
    assert "not said" in text  # "add Bass Flute 8" names no keyboard
    assert "Bass Flute" in text


def test_without_organs_it_says_what_is_asked() -> None:
    text = page_text(needs_paper(walk(piece(), without_organ=True)))
    assert "Vox Angelica" in text
    assert "THE ORGANS" not in text


def test_a_list_that_says_all_leaves_nothing_to_ask() -> None:
    quiet = opened().repeat_bars(4, *CHORDS).text(3, 1, "Gt. add Principal 4")
    assert asked(walk(quiet, organ_named("en"))) == []


def test_boxes_are_asked_where_a_hairpin_needs_one() -> None:
    swelling = opened().repeat_bars(6, *CHORDS).text(2, 1, "Sw.", above=False).hairpin(3, 5, "crescendo")
    assert "Is the Swell in a box?" in asked(walk(swelling, silent(organ_named("en"))))
    assert "Is the Swell in a box?" not in asked(walk(opened().repeat_bars(6, *CHORDS), silent(organ_named("en"))))


def test_keys_beyond_the_shortest_compass_are_asked() -> None:
    high = opened().repeat_bars(2, *CHORDS).bar("G6:4", "C3:4", "C3:4")
    assert any("G6" in text for text in asked(walk(high, silent(organ_named("en")))))
    assert not any(
        "Does the" in text for text in asked(walk(opened().repeat_bars(2, *CHORDS), silent(organ_named("en"))))
    )


def test_couplers_and_tremulants_that_the_list_does_not_name() -> None:
    made = opened().repeat_bars(6, *CHORDS).text(3, 1, "Sw. to Gt.").text(4, 1, "Sw. Trem.")
    found = asked(walk(made, silent(organ_named("en"))))
    assert any("names no couplers" in text and "Sw. to Gt." in text for text in found)
    assert "The list names no tremulant; is there one?" in found


def test_quick_changes_ask_for_pistons() -> None:
    assert any("pistons or other aids" in text for text in asked(walk(piece(), silent(organ_named("en")))))


def test_from_which_keyboard_is_asked_where_two_are_played() -> None:
    two = opened().repeat_bars(6, *CHORDS).text(3, 1, "R.H. Sw.")
    assert "From which keyboard is the Swell played?" in asked(walk(two, silent(organ_named("en"))))


def test_the_commands_write_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score, page = tmp_path / "study.musicxml", tmp_path / "needs.html"
    score.write_bytes(piece().xml())
    assert main(["needs", str(score), "-o", str(page)]) == 0
    assert "What it asks of an organ" in page.read_text(encoding="utf-8")
    words = ["compare", str(score), "--organs", str(LISTS / "en.txt"), str(LISTS / "fr.txt"), "--json"]
    assert main([*words, "-o", str(page)]) == 0
    found = json.loads(capsys.readouterr().out)["organs"]
    assert all("questions" in organ for organ in found)
    assert all(organ["organ"] in page.read_text(encoding="utf-8") for organ in found)
