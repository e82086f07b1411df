"""Whatever is pasted: an answer or an OrganError, and no line lost."""

from __future__ import annotations

import contextlib
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import OrganError
from core.organ.lists import ListReading, read_stop_list

_WORDS = st.sampled_from(
    [
        "Great", "SWELL ORGAN", "Pedal", "HW:", "II. Manual", "Open Diapason", "8", "8'", "2 2/3", "Mixture", "IV",
        "III-V", "(tenor C)", "(", ")", "[", "*", "†", "Swell to Great", "II/I", "Koppeln:", "Tremulant", "Octave", ",",
        ";", "|", "\t", "  ", "C–g³", "CC to A, 58 notes", "56 notes", "12.15.19", "from Great", "Récit expressif",
        "XV", "No. 2", "uit 2 vt", "3 f.", "\"", "Bass/Discant", "ſ", "½", "Tirasses", "the", "was built", "in a box",
        "except", "digital", "Manualkoppel", "1.", "XXVI-XXIX", "B/D", "\n", "\n\n", "\n \n",
    ]
)  # fmt: skip


def _cited(reading: ListReading) -> set[int]:
    organ = reading.organ
    things = [*organ.divisions, *organ.couplers, *organ.tremulants, *organ.aids]
    lines = [thing.lines for thing in things] + [s.lines for d in organ.divisions for s in d.stops]
    return {line for group in lines for line in group}


def _check(text: str) -> None:
    try:
        reading = read_stop_list(text)
    except OrganError:
        return
    known = _cited(reading) | {item.line for item in reading.unread}
    lost = [n for n, line in enumerate(text.split("\n"), 1) if line.strip() and n not in known]
    assert not lost
    for doubt in reading.doubts:
        assert str(doubt.text)
    ids = [stop.id for division in reading.organ.divisions for stop in division.stops]
    assert len(ids) == len(set(ids))


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_answered(text: str) -> None:
    _check(text)


@settings(max_examples=300, deadline=None)
@given(st.lists(_WORDS, max_size=60).map(" ".join))
def test_any_shuffle_of_the_words_of_lists_is_answered(text: str) -> None:
    _check(text)


@pytest.mark.parametrize("text", ["", "  \n\t\n", "§$%&/", "lorem ipsum dolor sit amet\n" * 40])
def test_what_holds_no_list_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(OrganError, match=r"\w+ \w+ \w+"):
        read_stop_list(text)


def test_a_novel_and_five_megabytes_are_answered_in_two_seconds() -> None:
    page = (
        "It was a quiet evening in the village, and the old organist walked home with his two pupils, who spoke of\n"
        "the flute that had been heard in the church; nobody could say whether it was the wind or a trumpet far off.\n"
    )
    for text in (page * 900, page * 25_000, "Oboe\n" * 3_000, "x" * 5_000_000, "8 " * 100_000, "(" * 50_000):
        start = time.perf_counter()
        with contextlib.suppress(OrganError):
            read_stop_list(text)
        assert time.perf_counter() - start < 2
