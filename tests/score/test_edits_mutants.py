"""Spoilt files: an edit either fits or is refused in a sentence; the notes stay; nothing ever falls."""

from __future__ import annotations

import random
from collections import Counter

from odd_scores import direction, odd_files, plain

from core.document import Document
from core.edits import AddBracket, AddMarking, ChangeMarking, DeleteMarking, Edit, MoveMarking, apply
from core.errors import EditError, ScoreError
from core.score.model import Score
from core.score.reading import read_score
from core.score.source import source_from_bytes

MUTANTS = 400
PIECES = (
    "<note/>", "<direction/>", "<direction></direction>", "<measure/>", "<part/>", "<attributes/>",
    "<!-- x -->",
    "<backup><duration>99</duration></backup>", "<forward><duration>3</duration></forward>", "<credit/>",
    "<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration></note>",
    "<note><grace/><pitch><step>G</step><octave>4</octave></pitch></note>", "<words/>", "<staff>7</staff>",
    "<attributes><divisions>3</divisions></attributes>", "<![CDATA[ ]]>", "<?x y?>",
    "<barline location='left'/>",
)  # fmt: skip
SWAPS = (
    ("<duration>4<", "<duration>-4<"), ("<duration>4<", "<duration>1.5<"), ("<duration>8<", "<duration>x<"),
    ("<staff>2<", "<staff>9<"), ("<staff>1</staff>", ""), ("<divisions>4<", "<divisions>3<"),
    ("<step>D<", "<step>=<"), ('number="2"', 'number="X1"'), ("</direction>\n", "</direction>"), ("\n", ""),
    ('<measure number="2">', "<measure>"), ("<voice>", "<voice> "), ("<words>", "<words id='a'>"),
)  # fmt: skip
BASES = [
    odd_files()["timewise"].decode(),
    odd_files()["cdata"].decode(),
    plain(
        text=direction("Gt. 8", 1) + direction("Sw. 8", 1, extra="<offset>-4</offset>"),
        second=direction("P", 3),
    ),
]


def mutant(chance: random.Random) -> bytes:
    text = chance.choice(BASES)
    for _ in range(chance.randint(1, 5)):
        if chance.random() < 0.6:
            ends = [i + 1 for i, sign in enumerate(text) if sign == ">"]
            at = chance.choice(ends)
            text = text[:at] + chance.choice(PIECES) + text[at:]
        else:
            old, new = chance.choice(SWAPS)
            text = text.replace(old, new, chance.randint(1, 4))
    return text.encode()


def edits(score: Score, chance: random.Random) -> list[Edit]:
    bar = chance.choice(score.bars)
    part = chance.randrange(len(score.parts))
    staff = chance.randint(1, score.parts[part].staves)
    place = {"bar": bar.index, "staff": staff, "in_bar": chance.randrange(max(bar.length, 1))}
    last = score.bars[-1]
    made: list[Edit] = [
        AddMarking(part=part, text="Sw. Oboe", **place),
        AddBracket(part=part, end_bar=last.index, end_in_bar=last.length, **place),
    ]
    if score.texts:
        marking = chance.choice(score.texts).id
        made += [
            ChangeMarking(marking=marking, text="Gt. 8"),
            DeleteMarking(marking=marking),
            MoveMarking(marking=marking, **place),
        ]
    return made


def test_spoilt_files_are_edited_or_refused() -> None:
    chance = random.Random(1722)
    told: Counter[str] = Counter()
    while told["read"] < MUTANTS:
        source = source_from_bytes(mutant(chance), "Prelude.musicxml")
        try:
            score = read_score(source)
        except ScoreError:
            told["unreadable"] += 1
            continue
        told["read"] += 1
        for edit in edits(score, chance):
            try:
                done = apply(Document(source=source), edit, score)
            except EditError:
                told["refused"] += 1
                continue
            told["done"] += 1
            assert done.score is not None
            assert len(done.score.notes) == len(score.notes)
    assert told["done"] > 4 * told["refused"]
