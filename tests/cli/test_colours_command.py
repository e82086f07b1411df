"""``stopwright organ colours``, run as a user runs it."""

import json
from pathlib import Path

import pytest

from core.cli.main import main

SAMPLES = Path(__file__).parent.parent.parent / "sample_specs"
ENGLISH = str(SAMPLES / "english_three_manual.yaml")


def test_the_book_is_printed_by_section(capsys):
    assert main(["organ", "colours", ENGLISH]) == 0
    printed = capsys.readouterr().out
    assert "CHORUSES AND PLENA" in printed
    assert "  Clarinet 8, Choir\n    Clarinet 8\n" in printed
    assert "here: Ch. Clarinet 8" in printed
    assert "WHAT IT HAS NOT" in printed


def test_a_word_in_another_language_sifts_it(capsys):
    assert main(["organ", "colours", ENGLISH, "--word", "silbern", "--language", "de"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("St Aldhelm, Castle Merrow: ")
    assert "silbern" in printed.splitlines()[0]
    assert "SW Voix Célestes 8" in printed


def test_json_holds_what_a_program_needs(capsys):
    assert main(["organ", "colours", ENGLISH, "--word", "far off", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["command"] == "organ colours"
    assert document["understood"] == {"sounds": ["far off"], "names": []}
    one = document["colours"][0]
    assert {"id", "name", "division", "stops", "enclosed", "accompaniment", "free", "cautions", "wording"} <= set(one)
    assert one["wording"]["here"]["draws_the_same"] is True
    assert all("far off" in colour["sounds"] for colour in document["colours"])


def test_a_tradition_sifts_it(capsys):
    assert main(["organ", "colours", ENGLISH, "--tradition", "italian", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert all({"any", "italian"} & set(colour["traditions"]) for colour in document["colours"])


def test_words_are_listed_without_an_organ(capsys):
    assert main(["organ", "colours", "--words", "--language", "fr"]) == 0
    assert "argenté, argentin" in capsys.readouterr().out


def test_unknown_words_say_where_the_known_ones_are(capsys):
    assert main(["organ", "colours", ENGLISH, "--word", "blurgh"]) == 0
    assert "stopwright organ colours --words" in capsys.readouterr().out


@pytest.mark.parametrize("words", [["organ", "colours"], ["organ", "colours", "no-such-file.yaml"]])
def test_what_cannot_be_done_is_said(words, capsys):
    assert main(words) == 2
    assert capsys.readouterr().err.startswith("stopwright: ")


def test_show_lists_choruses_and_says_what_is_in_no_box(capsys, tmp_path):
    path = tmp_path / "list.txt"
    path.write_text("GREAT\nOpen Diapason 8\nPrincipal 4\nMixture III\nTrumpet 8\n\nSWELL (enclosed)\nGedackt 8\n")
    assert main(["organ", "show", str(path), "--json"]) == 0
    abilities = json.loads(capsys.readouterr().out)["abilities"]
    assert "Great: principals 8 4 with Mixture III" in abilities["choruses"]
    assert "no enclosed reed" in abilities["lacks"]
    assert "no 16 ft on the manuals" in abilities["lacks"]
    assert main(["organ", "show", str(path)]) == 0
    assert "CHORUSES" in capsys.readouterr().out
