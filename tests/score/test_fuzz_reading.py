"""Mutants of small scores: whatever comes out is a Score or a ScoreError, soon, and its parts hold together."""

from __future__ import annotations

import random
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from small_scores import backup, document, note, part, read, words
from test_source import mxl

from core.errors import ScoreError
from core.score.model import Score
from core.score.reading import read_score
from core.score.source import source_from_bytes

JUNK = [
    "",
    "=",
    "A",
    "-1",
    "0",
    "1e9",
    "3.7",
    "999999999999",
    "nan",
    "½",
    " 4 ",
    "4/0",
    "yes",
    "x" * 300,
    "٣",
]
SIGNS = (
    '<direction><direction-type><wedge type="crescendo"/></direction-type><offset>1</offset></direction>'
    "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>72</per-minute></metronome>"
    '</direction-type><sound tempo="72" dacapo="yes"/></direction>'
)


def start_score() -> bytes:
    repeat = (
        '<barline location="right"><ending number="1" type="stop"/><repeat direction="backward" times="2"/></barline>'
    )
    opening = '<barline location="left"><ending number="1" type="start"/></barline>'
    upper = words("Sw. Oboe 8") + note("F#4", 2) + note("A4", 2, before="<chord/>") + SIGNS + note("Bb4", 2)
    tuplet = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    lower = backup(4) + note("C3", 4, staff=2, inside=f"<voice>5</voice><type>whole</type>{tuplet}")
    bars = [upper + lower, opening + upper + repeat, words("D.C. al Fine") + upper + lower]
    transpose = "<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>"
    return document(part(*bars, staves=2), part(transpose + note("C4", 4), part_id="P2"), names=("Organ", "Horn"))


START = start_score()


def mutant(dice: random.Random) -> bytes:
    root = etree.fromstring(START)
    for _ in range(dice.randint(1, 4)):
        elements = [e for e in root.iter() if e is not root]
        chosen = dice.choice(elements)
        parent = chosen.getparent()
        assert parent is not None
        match dice.randrange(6):
            case 0:
                parent.remove(chosen)
            case 1:
                chosen.text = dice.choice(JUNK)
            case 2:
                if chosen.attrib:
                    chosen.set(dice.choice(sorted(chosen.attrib)), dice.choice(JUNK))
            case 3:
                parent.insert(dice.randrange(len(parent) + 1), etree.fromstring(etree.tostring(chosen)))
            case 4:
                other = dice.choice(elements)
                if other is not chosen and chosen not in other.iterancestors() and other not in chosen.iterancestors():
                    other.append(chosen)
            case 5:
                chosen.tag = dice.choice(elements).tag
    return etree.tostring(root)


def assert_whole(score: Score) -> None:
    assert list(score.notes) == sorted(score.notes, key=lambda n: (n.onset, n.part, n.staff, n.key))
    for before, after in zip(score.bars, score.bars[1:], strict=False):
        assert before.onset + before.length == after.onset
    for one in score.notes:
        bar = score.bars[one.bar]
        assert bar.onset <= one.onset
        assert one.duration >= 0
        assert isinstance(one.onset, int)
    assert len({text.id for text in score.texts}) == len(score.texts)
    for text in score.texts:
        assert "".join(text.runs) == text.text
        assert score.position(text.onset, text.bar).beat >= 1
    assert all(0 <= p.bar < len(score.bars) for p in score.played)
    assert all(str(repair) for repair in score.repairs)


def check(data: bytes) -> bool:
    start = time.process_time()
    sentence, usable = "one", True
    try:
        assert_whole(read(data))
    except ScoreError as error:
        sentence, usable = str(error), False
    assert sentence.strip()
    assert "\n" not in sentence
    assert time.process_time() - start < 2
    return usable


def test_the_start_is_whole() -> None:
    assert check(START)


@pytest.mark.parametrize("block", range(10))
def test_mutants_of_a_score(block: int) -> None:
    dice = random.Random(1000 + block)
    usable = sum(check(mutant(dice)) for _ in range(200))
    assert usable > 20


@pytest.mark.parametrize("data", [START, mxl(START)], ids=["xml", "mxl"])
def test_mutants_of_the_bytes(data: bytes) -> None:
    dice = random.Random(77)
    usable = 0
    for _ in range(300):
        mutated = bytearray(data)
        for _ in range(dice.randint(1, 8)):
            mutated[dice.randrange(len(mutated))] = dice.randrange(256)
        if dice.random() < 0.2:
            del mutated[dice.randrange(len(mutated)) :]
        usable += check(bytes(mutated))
    assert 0 < usable < 300  # both sides were met


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    check(data)


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet=st.characters(blacklist_categories=("Cs", "Cc")), max_size=40))
def test_any_words_come_through_as_written(text: str) -> None:
    root = etree.fromstring(START)
    next(root.iter("words")).text = text
    score = read_score(source_from_bytes(etree.tostring(root, encoding="utf-8")))
    private = any("\ue000" <= c <= "\uf8ff" for c in text)
    if text.strip() and not private:
        assert text in {t.text for t in score.texts}
