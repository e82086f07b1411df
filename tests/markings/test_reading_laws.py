"""Laws of reading: never raises, loses no character, answers in the machine interface's form, fast."""

from __future__ import annotations

import json
from pathlib import Path

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from core.markings.contract import instruction_from_json, instruction_to_json, reading_to_json
from core.markings.lexicon import user_lexicon
from core.markings.model import Action, Brackets, Reading, ReadingKind
from core.markings.reading import read_marking

HERE = Path(__file__).parent
TEXTS = [
    text for cases in yaml.safe_load((HERE / "cases.yaml").read_text(encoding="utf-8")).values() for text, *_ in cases
]
NONE = [line for line in (HERE / "not_registration.txt").read_text(encoding="utf-8").splitlines() if line]
WORDS = sorted({word for text in TEXTS + NONE for word in text.split()})
ODD = [
    "(",
    ")",
    "[",
    "]",
    "/",
    "-",
    "–",
    "−",
    "+",
    "&",
    ",",
    ";",
    ":",
    ".",
    "\n",
    "8",
    "16",
    "2⅔",
    "II",
    "'",
    "″",
    "ſ",
    "\u0301",
    "\ue520",
]


def _whole(reading: Reading) -> bool:
    """The notes cover the text without gap or overlap, and unread words stand where they say."""
    place = 0
    for note in reading.words:
        if note.span.start != place or note.span.end <= place:
            return False
        place = note.span.end
    return place == len(reading.text) and all(
        0 <= u.span.start < u.span.end <= len(reading.text) and u.text in reading.text for u in reading.unread
    )


@given(st.text(max_size=80))
@settings(max_examples=400, deadline=None)
def test_any_text_is_read_without_an_error(text: str) -> None:
    reading = read_marking(text)
    assert reading.text == text
    assert _whole(reading)
    json.dumps(reading_to_json(reading))


@given(
    st.lists(st.sampled_from(WORDS + ODD), max_size=14),
    st.sampled_from([None, "en", "fr", "de", "it", "es", "nl", "la", "xx"]),
)
@settings(max_examples=500, deadline=None)
def test_shuffled_words_are_read_without_an_error(words: list[str], hint: str | None) -> None:
    reading = read_marking(" ".join(words), hint=hint)
    assert _whole(reading)
    for one in reading.instructions:
        assert one.span is not None
        assert 0 <= one.span.start <= one.span.end <= len(reading.text)
    assert bool(reading.also) == reading.ambiguous
    if reading.kind is ReadingKind.OTHER:
        assert not reading.instructions


def test_own_texts_that_are_no_registration_are_left_alone() -> None:
    wrong = [text for text in NONE if read_marking(text).kind is not ReadingKind.OTHER]
    assert len(NONE) >= 300
    assert not wrong


def test_instructions_survive_json() -> None:
    for text in TEXTS:
        for one in read_marking(text).instructions:
            written = instruction_to_json(one)
            assert instruction_to_json(instruction_from_json(json.loads(json.dumps(written)))) == written


def test_draw_like_instructions_carry_every_field() -> None:
    written = instruction_to_json(read_marking("Sw. Oboe").instructions[0])
    assert list(written) == ["action", "division", "hand", "stops", "except", "up_to", "optional", "or"]
    assert list(written["stops"][0]) == ["name", "family", "pitches", "qualities", "half"]
    assert "passes" not in written


def test_couplers_carry_their_ends() -> None:
    written = instruction_to_json(read_marking("Gt. to Ped.").instructions[0])
    assert written == {"action": "couple", "division": None, "coupler": {"from": "great", "to": "pedal", "pitch": "8"}}
    assert instruction_to_json(read_marking("Tirasses").instructions[0]) == {
        "action": "couple", "division": "pedal", "coupler": None,
    }  # fmt: skip


def test_the_hint_decides_what_the_text_leaves_open() -> None:
    assert read_marking("BW", hint="nl").instructions[0].division == "oberwerk"
    assert read_marking("BW", hint="de").instructions[0].division == "brustwerk"


def test_brackets_are_told() -> None:
    assert read_marking("[Sw. Oboe]").brackets is Brackets.EDITORIAL
    assert read_marking("(Gt.)").brackets is Brackets.REMINDER
    assert read_marking("[R.H. Sw.").brackets is Brackets.OPENS
    assert read_marking("]").brackets is Brackets.CLOSES
    assert read_marking("Sw. Oboe").brackets is None


def test_what_is_not_understood_is_listed_with_its_place() -> None:
    reading = read_marking("Gt. 8 & 4, grumfelt")
    assert [(u.text, reading.text[u.span.start : u.span.end]) for u in reading.unread] == [("grumfelt", "grumfelt")]
    reading = read_marking("Sw. Oboe, Zimberine 4")
    assert [stop.name for stop in reading.instructions[0].stops] == ["Oboe", "Zimberine"]
    assert reading.instructions[0].stops[1].family is None
    assert [u.text for u in reading.unread] == ["Zimberine"]


def test_a_user_adds_words_of_her_own() -> None:
    words = user_lexicon({"language": "en", "words": {"division": {"solo": ["Quire"]}, "tremulant": ["Wobbly"]}})
    reading = read_marking("Quire Oboe, Wobbly", user_words=words)
    assert [(i.action, i.division) for i in reading.instructions] == [
        (Action.DRAW, "solo"),
        (Action.TREMULANT_ON, "solo"),
    ]
    assert not read_marking("Wobbly").instructions


def test_mixed_texts_are_told() -> None:
    assert read_marking("Andante – Sw. Strings").kind is ReadingKind.MIXED
    assert read_marking("Gt. mf").kind is ReadingKind.REGISTRATION


def test_doubtful_markings_give_their_other_readings() -> None:
    reading = read_marking("Gt. 2")
    assert reading.ambiguous
    assert reading.instructions[0].action is Action.PISTON
    assert reading.also[0][0].action is Action.DRAW
    assert read_marking("Solo").ambiguous
    assert read_marking("manualiter").also == ((),)
