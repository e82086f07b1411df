"""The notes file: read as written, found again in an edited or newer score, nothing dropped."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import NotesError
from core.notes import (
    NO_NOTES,
    Anchor,
    Boundary,
    Dismissal,
    Finder,
    KeyboardRow,
    Notes,
    Pin,
    PlayerNote,
    Spot,
    StaffHand,
    anchor_of,
    find_spot,
    follow,
    missing,
    pins_on,
    spot_of,
)
from core.notes_file import load_notes, notes_path, read_notes, write_notes
from core.score.model import Bar, MarkingId, Part, Score, ScoreText, TextKind
from core.texts import say

TICKS = 12


def score_of(*texts: tuple[int, int, int, str], numbers: list[str] | None = None) -> Score:
    """A score of 4/4 bars on three staves with texts (bar, staff, quarter, text)."""
    numbers = numbers or [str(n) for n in range(1, 9)]
    bars = tuple(Bar(index=i, number=number, onset=i * 4 * TICKS, length=4 * TICKS) for i, number in enumerate(numbers))
    made: list[ScoreText] = []
    for element, (bar, staff, quarter, text) in enumerate(texts):
        in_bar = quarter * TICKS
        ordinal = sum((t.bar, t.staff, t.id.in_bar) == (bar, staff, in_bar) for t in made)
        onset = bars[bar].onset + in_bar
        made.append(
            ScoreText(
                id=MarkingId(0, bar, staff, in_bar, ordinal), text=text, kind=TextKind.WORDS, part=0,
                staff=staff, bar=bar, onset=onset, sounding_onset=onset, placement="above", order=0,
                element=element,
            )
        )  # fmt: skip
    part = Part(
        id="P1", name="Organ", organ=True, staves=3, hands=("right", "left", "feet"),
        why=say("x"), hands_why=say("x"),
    )  # fmt: skip
    return Score(title="", ticks=TICKS, parts=(part,), bars=bars, notes=(), texts=tuple(made))


TEXTS = (
    (0, 1, 0, "Sw. Oboe"),
    (2, 1, 1, "Gt."),
    (2, 2, 1, "Ch. Flute 4"),
    (4, 1, 0, "Gt."),
    (6, 3, 2, "Ped. 16"),
)
words = st.text(st.characters(codec="utf-8", exclude_characters="\r\x85\u2028\u2029\ufeff"), max_size=30)
times = st.fractions(min_value=0, max_value=100, max_denominator=48)
spots = st.builds(
    Spot, bar=st.integers(0, 999), measure=words, time=times, part=words, staff=st.none() | st.integers(1, 9)
)
anchors = st.builds(
    Anchor,
    part=words.filter(bool), bar=st.integers(0, 999), measure=words, staff=st.integers(1, 9), time=times,
    nth=st.integers(1, 9), text=words.filter(bool), before=words, after=words,
)  # fmt: skip
some = words.filter(bool)
all_notes = st.builds(
    Notes,
    organ=words,
    language=words,
    parts=st.lists(words, max_size=3).map(tuple),
    hands=st.lists(
        st.builds(
            StaffHand,
            part=some,
            staff=st.integers(1, 9),
            hand=st.sampled_from([None, "right", "left", "feet"]),
        ),
        max_size=3,
    ).map(tuple),
    keyboards=st.lists(st.builds(KeyboardRow, organ=some, asked=some, division=some), max_size=3).map(tuple),
    pins=st.lists(
        st.builds(Pin, organ=some, marking=anchors, request=some, stops=st.lists(words, max_size=3).map(tuple)),
        max_size=3,
    ).map(tuple),
    dismissals=st.lists(
        st.builds(Dismissal, rule=some, marking=st.none() | anchors, at=st.none() | spots, reason=words),
        max_size=3,
    ).map(tuple),
    boundaries=st.lists(
        st.builds(Boundary, marking=anchors, which=st.sampled_from(["start", "end"]), at=spots, hand=words),
        max_size=3,
    ).map(tuple),
    player=st.lists(st.builds(PlayerNote, at=spots, text=some, organ=words), max_size=3).map(tuple),
)


@given(all_notes)
def test_written_then_read_is_equal(notes: Notes) -> None:
    assert read_notes(write_notes(notes), "x.stopwright.yaml") == notes


def test_words_that_yaml_would_change_come_through() -> None:
    for text in (
        "No",
        "off",
        "2:30",
        "010",
        "~",
        "null",
        "2024-13-45",
        "1" * 5_000,
        "#",
        "- a",
        "a: b",
        "&x",
        "'",
    ):
        notes = Notes(keyboards=(KeyboardRow(organ=text, asked=text, division=text),))
        assert read_notes(write_notes(notes), "x") == notes


def test_the_notes_file_lies_beside_the_score(tmp_path: Path) -> None:
    score = tmp_path / "Prelude.in.C.musicxml"
    assert notes_path(score) == tmp_path / "Prelude.in.C.stopwright.yaml"
    assert load_notes(score).notes == NO_NOTES
    notes = Notes(parts=("P2",))
    notes_path(score).write_bytes(write_notes(notes))
    assert load_notes(score).notes == notes
    assert load_notes(score, without=True).notes == NO_NOTES
    other = tmp_path / "other.yaml"
    other.write_bytes(write_notes(Notes(parts=("P9",))))
    assert load_notes(score, file=other).notes == Notes(parts=("P9",))
    with pytest.raises(NotesError, match="cannot be read"):
        load_notes(score, file=tmp_path / "none.yaml")


def test_all_faults_are_told_at_once_with_their_lines() -> None:
    text = (
        "stopwright notes: 1\nhands:\n  - part: P1\n    staff: nine\n    hand: nose\n"
        "pins:\n  - organ: x\nkeybords: []\nboundaries:\n  - which: middle\n"
        "player:\n  - text: x\n    at: {bar: 1, time: soon}\n"
    )
    with pytest.raises(NotesError) as caught:
        read_notes(text.encode(), "x.yaml")
    told = str(caught.value)
    for part in ("line 4", "line 5", "nose", "marking", "keyboards", "middle", "soon", "notes file"):
        assert part in told
    assert "specification" not in told


@pytest.mark.parametrize(
    "data",
    [
        b"\xff\xfe\x00",
        b"- a\n- b\n",
        b"stopwright notes: 2\n",
        b"organ: x\n",
        b"a: &x 1\nb: *x\n",
        b"stopwright notes: 1\npins: no\n",
        b"stopwright notes: 1\npins: [no]\n",
        b"stopwright notes: 1\nplayer: [{at: here, text: x}]\n",
        b"[" * 3_000,
        b"a: [b\n",
        b"",
    ],
)
def test_what_is_no_notes_file_is_one_clear_error(data: bytes) -> None:
    with pytest.raises(NotesError) as caught:
        read_notes(data, "x.yaml")
    assert "x.yaml" in str(caught.value)


def test_an_anchor_is_found_in_its_own_score() -> None:
    score = score_of(*TEXTS)
    finder = Finder(score)
    for text in score.texts:
        anchor = anchor_of(score, text.id)
        assert finder.find(anchor) == text.id
    assert anchor_of(score, score.texts[1].id).before == "Sw. Oboe"
    assert anchor_of(score, score.texts[1].id).after == "Ch. Flute 4"


def test_anchors_are_found_in_a_newer_file_with_bars_put_in_before_them() -> None:
    old = score_of(*TEXTS)
    moved = [(bar + 1, staff, quarter, text) for bar, staff, quarter, text in TEXTS]
    new = score_of(*moved, numbers=["0", *(str(n) for n in range(1, 9))])
    finder = Finder(new)
    found = [finder.find(anchor_of(old, text.id)) for text in old.texts]
    assert found == [text.id for text in new.texts]


def test_what_is_not_found_is_listed_and_kept() -> None:
    old = score_of(*TEXTS)
    anchors = [anchor_of(old, text.id) for text in old.texts]
    pins = tuple(Pin(organ="Village", marking=anchor, request="r", stops=("s",)) for anchor in anchors)
    notes = Notes(pins=pins)
    new = score_of(*(TEXTS[:2] + TEXTS[3:]))
    assert missing(notes, old) == ()
    assert missing(notes, new) == (anchors[2],)
    assert len(pins_on(notes, new, "Village")) == 4
    assert pins_on(notes, new, "Cathedral") == {}


def test_one_of_two_like_texts_is_not_guessed() -> None:
    old = score_of((2, 1, 0, "Gt."), (2, 2, 0, "Sw."))
    new = score_of((0, 1, 0, "Gt."), (4, 1, 0, "Gt."))
    assert Finder(new).find(anchor_of(old, old.texts[0].id)) is None


def test_a_text_mended_in_its_place_is_still_the_same_marking() -> None:
    old = score_of((0, 1, 0, "Swel Oboe"))
    new = score_of((0, 1, 0, "Swell Oboe"))
    assert Finder(new).find(anchor_of(old, old.texts[0].id)) == new.texts[0].id
    other = score_of((0, 1, 0, "Ped. Bourdon 16"))
    assert Finder(other).find(anchor_of(old, old.texts[0].id)) is None


def test_notes_follow_a_renamed_marking() -> None:
    old = score_of((0, 1, 0, "Gt."), (0, 1, 0, "Sw."))
    new = score_of((0, 1, 0, "Ch."), (0, 1, 0, "Gt."), (0, 1, 0, "Sw."))
    gt, sw = old.texts
    notes = Notes(dismissals=(Dismissal(rule="r", marking=anchor_of(old, gt.id)), Dismissal(rule="p")))
    renamed = {gt.id: new.texts[1].id, sw.id: new.texts[2].id}
    followed = follow(notes, old, new, renamed)
    assert followed.dismissals[0].marking == anchor_of(new, new.texts[1].id)
    assert followed.dismissals[1] == notes.dismissals[1]
    assert follow(notes, old, new, {gt.id: None}) == notes


def test_spots_are_found_by_number_where_bars_have_shifted() -> None:
    old = score_of()
    spot = spot_of(old, 9 * TICKS, part=0, staff=2)
    assert spot == Spot(bar=2, measure="3", time=Fraction(1), part="P1", staff=2)
    assert find_spot(old, spot) == 9 * TICKS
    shifted = score_of(numbers=["0", *(str(n) for n in range(1, 9))])
    assert find_spot(shifted, spot) == 13 * TICKS
    assert find_spot(score_of(numbers=["7", "8"]), spot) is None
    assert find_spot(old, Spot(bar=2, measure="3", time=Fraction(9))) is None
