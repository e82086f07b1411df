"""Plain words for sounds, in six languages, and what they find."""

from pathlib import Path

import pytest

from core.knowledge.loader import load
from core.organ.reading import load_organ
from core.resolve.colour_book.book import colour_book
from core.resolve.colour_book.words import LANGUAGES, find, folded, plain_words, sought_in

ROOT = Path(__file__).parent.parent.parent
ASKED_FOR = ("round", "veiled", "biting", "silvery", "hollow", "stern", "festive", "far off", "rustic", "thunder")


@pytest.fixture(scope="module")
def book():
    return colour_book(load_organ(ROOT / "sample_specs" / "english_three_manual.yaml"))


def test_there_are_words_enough_in_every_language():
    words = plain_words()
    assert len(words) >= 60
    for tongue in LANGUAGES:
        assert all(words[sound][tongue] for sound in words)


def test_a_word_means_one_sound_in_a_language():
    for tongue in LANGUAGES:
        said = [folded(word) for sound in plain_words().values() for word in sound[tongue]]
        assert len(said) == len(set(said))


def test_every_sound_belongs_to_a_colour_and_every_colour_s_sounds_are_known():
    data = load("colours")
    rungs = [rung for ladder in data["ladders"] for rung in ladder["rungs"]]
    used = {s for one in [*data["colours"], *rungs, *data["solos"], *data["undulating"]] for s in one["sounds"]}
    assert used == set(plain_words())


@pytest.mark.parametrize("word", ASKED_FOR)
def test_the_words_of_a_composer_find_something_on_a_middling_organ(book, word):
    assert find(book, word, "en").colours


@pytest.mark.parametrize(
    ("text", "language", "sounds"),
    [
        ("silbernes", "de", ("silvery",)),
        ("argentée", "fr", ("silvery",)),
        ("zilveren", "nl", ("silvery",)),
        ("lontano", "en", ("far-off",)),
        ("far away", "en", ("far-off",)),
        ("aus der Ferne", "de", ("far-off",)),
        ("very soft and tender", "en", ("soft", "tender")),
        ("festliche", "de", ("festive",)),
        ("FESTIVE!", None, ("festive",)),
        ("stern", "en", ("stern",)),
        ("tuono", "it", ("thunder",)),
    ],
)
def test_words_are_known_in_their_forms(text, language, sounds):
    assert sought_in(text, language).sounds == sounds


def test_names_of_stops_and_colours_find_them_too(book):
    assert [str(c.name) for c in find(book, "clarinet").colours][:1] == ["Clarinet 8"]
    assert find(book, "grundstimmen").colours
    assert all("swell" in c.division for c in find(book, "oboe swell").colours)


def test_the_most_fitting_come_first_and_the_same_stops_once(book):
    found = find(book, "far off").colours
    places = [(c.division, frozenset(c.stops), c.tremulant, c.box) for c in found]
    assert len(places) == len(set(places))
    assert found[0].sounds.index("far-off") <= found[-1].sounds.index("far-off")


def test_thunder_is_loud_and_whispering_is_soft(book):
    assert min(c.loudness for c in find(book, "overwhelming").colours) >= 8
    assert max(c.loudness for c in find(book, "whispering").colours) <= 5


def test_what_only_gaps_answer_is_told(book):
    found = find(book, "bells tubular")
    assert not found.colours
    assert [gap.id for gap in find(book, "chimes").gaps] == ["chimes"]


def test_nothing_known_finds_nothing(book):
    found = find(book, "blurgh")
    assert found.colours == ()
    assert found.gaps == ()
    assert found.sought.rest == ("blurgh",)


def test_an_empty_search_is_the_whole_book(book):
    assert find(book, "  ").colours == book.colours
