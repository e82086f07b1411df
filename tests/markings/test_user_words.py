"""A user's own words: an unread word becomes read once it is added; nothing of the file is lost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.cli.main import main
from core.errors import EditError, OrganError, ReadError
from core.markings.contract import instruction_to_json
from core.markings.reading import read_marking
from core.markings.user_words import add_word, load_words, words_of_text


def test_an_unread_word_is_read_once_it_is_added(tmp_path: Path) -> None:
    assert [u.text for u in read_marking("Sw. Oboe, Wobbulator").unread] == ["Wobbulator"]
    path = tmp_path / "own.words.yaml"
    path.write_text(add_word(path, "Wobbulator", "tremulant", "en"), encoding="utf-8")
    words = load_words(path)
    reading = read_marking("Sw. Oboe, Wobbulator", user_words=words.lexicon)
    assert not reading.unread
    assert [i.action.value for i in reading.instructions] == ["draw", "tremulant-on"]
    assert read_marking("Sw. Oboe, Wobbulator").unread, "the built-in words are as they were"


@pytest.mark.parametrize(
    ("word", "meaning", "text", "expected"),
    [
        ("Quire", "division: choir", "Quire Oboe", {"division": "choir"}),
        ("Hushy.", "quality: soft", "Sw. Hushy Flute", {"qualities": ["soft"]}),
        ("Bombazine", "stop: reed", "Gt. Bombazine 8", {"name": "Bombazine", "family": "reed", "pitches": ["8"]}),
        ("Opdi", "stop: Open Diapason", "Gt. Opdi", {"name": "Open Diapason", "family": "principal"}),
        ("Blatters", "family: reed", "add Blatters", {"name": None, "family": "reed", "action": "add"}),
        ("yoicks", "nothing", "Sw. Oboe yoicks", {"name": "Oboe"}),
    ],
)
def test_meanings(word: str, meaning: str, text: str, expected: dict[str, object], tmp_path: Path) -> None:
    added = add_word(tmp_path / "none.yaml", word, meaning, "en")
    reading = read_marking(text, user_words=words_of_text(added, path="own").lexicon)
    made = instruction_to_json(reading.instructions[0])
    made |= made["stops"][0]
    assert {key: made[key] for key in expected} == expected
    assert not reading.unread


OWN = """# mine, keep this
language: fr
words:
  quality:
    soft: [feutré]   # velvet
also:
  - language: de
    words: {family: {reed: [Schnarrer]}}
stops:
  Zinkophon: {family: reed, feet: 8, words: [Zph]}
"""


def test_adding_keeps_all_that_was_written(tmp_path: Path) -> None:
    path = tmp_path / "own.yaml"
    path.write_text(OWN, encoding="utf-8")
    once = add_word(path, "Kwint", "stop: mutation", "nl")
    path.write_text(once, encoding="utf-8")
    twice = add_word(path, "zzz", "nothing", "en")
    for line in OWN.splitlines():
        assert line in twice.splitlines()
    assert len(twice.splitlines()) == len(OWN.splitlines()) + 2
    words = words_of_text(twice, path=path).lexicon
    assert read_marking("R. Zph feutré", user_words=words).instructions[0].stops[0].name == "Zinkophon"
    assert read_marking("dazu Schnarrer", user_words=words).instructions[0].stops[0].family == "reed"


def test_a_word_that_means_something_else_is_said(tmp_path: Path) -> None:
    words = words_of_text(add_word(tmp_path / "w.yaml", "Sw.", "division: solo", "en"), path="own")
    assert [str(said) for said in words.shadows] == ["“Sw” already means division swell; your own meaning is taken"]
    assert read_marking("Sw. Oboe", user_words=words.lexicon).instructions[0].division == "solo"


def test_all_faults_are_told_at_once() -> None:
    text = (
        "language: xx\nwords:\n  divison: {swell: [a]}\n  division: {attic: [b]}\n  add: {c: [d]}\n"
        "stops: {X: {family: horn, feet: long}}\n"
    )
    with pytest.raises(OrganError) as caught:
        words_of_text(text, path="bad.yaml")
    said = str(caught.value)
    for word in (
        "bad.yaml",
        "“xx”",
        "“divison”",
        "Did you mean “division”",
        "“attic”",
        "words.add",
        "“horn”",
        "“long”",
    ):
        assert word in said


@pytest.mark.parametrize("meaning", ["division: attic", "nonsense", "quality", ""])
def test_a_meaning_that_there_is_not_is_refused(meaning: str, tmp_path: Path) -> None:
    with pytest.raises(EditError):
        add_word(tmp_path / "w.yaml", "Quire", meaning, "en")


@given(st.text(max_size=20), st.sampled_from(["nothing", "stop", "quality: soft", "division: echo"]))
@settings(max_examples=150, deadline=None)
def test_any_word_is_added_whole_or_refused(word: str, meaning: str) -> None:
    try:
        text = add_word("no-such-file.yaml", word, meaning, "en")
    except EditError:
        return
    words_of_text(text, path="own")
    assert len(text.splitlines()) == 3


@pytest.mark.parametrize("text", ["", "x", "- a", "language: &a en\nwords: *a", "also: 3"])
def test_hostile_files_are_one_error(text: str) -> None:
    with pytest.raises(ReadError):
        words_of_text(text, path="hostile.yaml")


def test_the_commands_take_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.words.yaml"
    path.write_text(add_word(path, "Quire", "division: choir", "en"), encoding="utf-8")
    assert main(["read", "Quire Oboe", "--words", str(path), "--json"]) == 0
    reading = json.loads(capsys.readouterr().out)["readings"][0]
    assert reading["instructions"][0]["division"] == "choir"
    path.write_text("language: en\nwords: {what: [a]}\n", encoding="utf-8")
    assert main(["read", "Quire Oboe", "--words", str(path)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "words.what" in captured.err
