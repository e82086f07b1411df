"""What a file of own words holds is told word by word; a word that was taught can be taken out again."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import EditError
from core.markings.meanings import SHORT_FOR, groups, in_plain_words, meanings
from core.markings.own_words import own_words, without_word
from core.markings.reading import read_marking
from core.markings.user_words import add_word, words_of_text

BY_HAND = "# mine\nlanguage: fr\nwords:\n  quality:\n    soft: [feutré]\nstops:\n  Zinkophon: {family: reed}\n"


def taught(tmp_path: Path, *rows: tuple[str, str, str], before: str = "") -> str:
    path = tmp_path / "own.words.yaml"
    if before:
        path.write_text(before, encoding="utf-8")
    for row in rows:
        path.write_text(add_word(path, *row), encoding="utf-8")
    return path.read_text(encoding="utf-8")


def test_every_word_is_told_with_its_meaning(tmp_path: Path) -> None:
    text = taught(tmp_path, ("Quire", "division: choir", "en"), ("Opdi", "stop: Open Diapason", "en"), before=BY_HAND)
    found = {one.word: one for one in own_words(text, path="own")}
    assert list(found) == ["feutré", "Zinkophon", "Quire", "Opdi"]
    assert [one.alone for one in found.values()] == [False, False, True, True]
    assert (found["feutré"].language, found["Quire"].language) == ("fr", "en")
    assert in_plain_words(found["Quire"].kind, found["Quire"].value) == "the Choir"
    assert in_plain_words(found["Opdi"].kind, found["Opdi"].value) == "short for Open Diapason"
    assert in_plain_words(found["Zinkophon"].kind, found["Zinkophon"].value) == "a reed stop"


def test_what_was_taught_is_taken_out_and_the_rest_is_as_it_was(tmp_path: Path) -> None:
    text = taught(tmp_path, ("Quire", "division: choir", "en"), ("yoicks", "nothing", "en"), before=BY_HAND)
    first = next(one for one in own_words(text, path="own") if one.word == "Quire")
    less = without_word(text, first, path="own")
    assert [one.word for one in own_words(less, path="own")] == ["feutré", "Zinkophon", "yoicks"]
    last = next(one for one in own_words(less, path="own") if one.word == "yoicks")
    assert without_word(less, last, path="own") == BY_HAND
    with pytest.raises(EditError, match="no line to itself"):
        without_word(text, own_words(text, path="own")[0], path="own")


def test_a_file_of_which_the_last_word_was_taken_out_can_be_used(tmp_path: Path) -> None:
    text = taught(tmp_path, ("Quire", "division: choir", "en"))
    empty = without_word(text, own_words(text, path="own")[0], path="own")
    assert own_words(empty, path="own") == ()
    again = tmp_path / "again.yaml"
    again.write_text(empty, encoding="utf-8")
    assert add_word(again, "Quire", "division: choir", "en") == text


@pytest.mark.parametrize("meaning", meanings(), ids=lambda meaning: meaning.key)
def test_every_meaning_that_is_offered_can_be_taught(tmp_path: Path, meaning) -> None:  # type: ignore[no-untyped-def]
    assert meaning.group in groups()
    assert meaning.words
    key = meaning.key + ("Open Diapason" if meaning.group == SHORT_FOR else "")
    text = add_word(tmp_path / "none.yaml", "Wobbulator", key, "en")
    (word,) = own_words(text, path="own")
    assert word.word == "Wobbulator"
    assert in_plain_words(word.kind, word.value)
    reading = read_marking("Gt. Flute 8, Wobbulator", user_words=words_of_text(text, path="own").lexicon)
    assert meaning.key in _NEEDS_MORE or not reading.unread


_NEEDS_MORE = {"add", "take_off", "coupler", "piston", "general", "without", "with", "draw", "box"}
"""Words that ask for something beside them, which the sentence above does not have."""


@given(words=st.lists(st.text(min_size=1, max_size=12), max_size=5))
@settings(max_examples=60, deadline=None)
def test_whatever_can_be_taught_can_be_taken_out(words: list[str], tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("own") / "own.yaml"
    for word in words:
        try:
            path.write_text(add_word(path, word, "quality: soft", "en"), encoding="utf-8", newline="")
        except EditError:
            continue
    if not path.exists():
        return
    text = path.read_text(encoding="utf-8")
    while found := own_words(text, path="own"):
        text = without_word(text, found[-1], path="own")
        assert len(own_words(text, path="own")) == len(found) - 1
