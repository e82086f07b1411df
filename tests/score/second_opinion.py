"""What music21 reads from a score, in the terms of ours, bar by bar: the second opinion for the corpus tests."""

from __future__ import annotations

import warnings
from collections import Counter, defaultdict
from fractions import Fraction
from functools import cache
from math import floor
from pathlib import Path
from typing import NamedTuple

from core.score.model import Score
from core.score.reading import load_score


class Heard(NamedTuple):
    """A note as both readers can tell it: in-bar onset, duration, sounding key, tie, grace."""

    onset: Fraction
    duration: Fraction
    key: int | None
    tie: str | None
    grace: bool


BarNotes = dict[tuple[int, int], Counter[Heard]]


@cache
def corpus_files() -> tuple[Path, ...]:
    """Every MusicXML file of the music21 package, in order of name."""
    import music21

    root = Path(music21.__file__).parent / "corpus"
    return tuple(sorted(p for p in root.rglob("*") if p.suffix in (".xml", ".mxl", ".musicxml")))


def name_of(path: Path) -> str:
    """A corpus file's name from the corpus folder on."""
    return "/".join(path.parts[path.parts.index("corpus") + 1 :])


class Opinion(NamedTuple):
    """Notes by (part, bar), printed numbers and starts of the bars, part 0's."""

    notes: BarNotes
    numbers: tuple[str, ...]
    starts: tuple[Fraction, ...]


def ours(path: Path) -> tuple[Score, Opinion]:
    """Our reading."""
    _, score = load_score(path)
    notes: BarNotes = defaultdict(Counter)
    for note in score.notes:
        in_bar = score.quarters(note.onset - score.bars[note.bar].onset)
        key = note.key if note.key >= 0 else None
        heard = Heard(in_bar, score.quarters(note.duration), key, note.tie, note.grace)
        notes[note.part, note.bar][heard] += 1
    numbers = tuple(bar.number for bar in score.bars)
    return score, Opinion(dict(notes), numbers, tuple(score.quarters(bar.onset) for bar in score.bars))


def theirs(path: Path, staves: tuple[int, ...]) -> Opinion:
    """music21's reading; `staves` of each part, since it makes a part of every staff."""
    import music21

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        stream = music21.converter.parse(path, format="musicxml", forceSource=True)
        stream.toSoundingPitch(inPlace=True)
    parts = list(stream.parts)
    whose = [index for index, count in enumerate(staves) for _ in range(count)]
    if len(whose) != len(parts):  # a part whose further staves are empty is not divided
        whose = list(range(len(parts)))
    notes: BarNotes = defaultdict(Counter)
    numbers: tuple[str, ...] = ()
    starts: tuple[Fraction, ...] = ()
    for owner, part in zip(whose, parts, strict=True):
        measures = list(part.getElementsByClass("Measure"))
        for index, measure in enumerate(measures):
            for element in measure.recurse().notes:
                if not isinstance(element, music21.harmony.Harmony):
                    notes[owner, index].update(_heard(element, Fraction(element.getOffsetInHierarchy(measure))))
        if not numbers:
            numbers = tuple(f"{m.number}{m.numberSuffix or ''}" for m in measures)
            starts = tuple(Fraction(m.getOffsetInHierarchy(part)) for m in measures)
    return Opinion(dict(notes), numbers, starts)


def _heard(element: object, onset: Fraction) -> list[Heard]:
    import music21

    members = list(element) if isinstance(element, music21.chord.ChordBase) else [element]
    found = []
    for member in members:
        tie = {"start": "start", "stop": "stop", "continue": "both"}.get(member.tie.type) if member.tie else None
        pitch = getattr(member, "pitch", None)
        key = None if pitch is None else floor(pitch.ps + 0.5)
        grace = bool(element.duration.isGrace)
        duration = Fraction(0) if grace else Fraction(element.duration.quarterLength).limit_denominator(100000)
        found.append(Heard(onset.limit_denominator(100000), duration, key, tie, grace))
    return found


ROUNDING = Fraction(1, 100)
"""Files with 256 or 1,024 divisions round a third by less; a 64th note is six times as long."""


def same_number(mine: str, other: str) -> bool:
    """Printed numbers; music21 puts the running number before one that begins with a letter (X1: 24X1)."""
    return mine == other or (not mine[:1].isdigit() and other.endswith(mine))


class Comparison(NamedTuple):
    """Bars in which the two differ, with what each has alone; bars whose starts differ; numbers that differ."""

    bars: int
    different: list[tuple[int, int, list[Heard], list[Heard]]]
    starts: list[int]
    numbers: list[tuple[str, str]]
    repairs: tuple[str, ...]


def alike(a: Counter[Heard], b: Counter[Heard]) -> bool:
    """Whether two bars hold the same notes, tuplets rounded to a hundredth of a quarter in one of them."""
    left, right = ((c - d) for c, d in ((a, b), (b, a)))
    rest = list(right.elements())
    for note in left.elements():
        near = [
            other
            for other in rest
            if other[2:] == note[2:]
            and abs(other.onset - note.onset) < ROUNDING
            and abs(other.duration - note.duration) < ROUNDING
        ]
        if not near:
            return False
        rest.remove(near[0])
    return not rest


def compare(path: Path) -> Comparison:
    """Read a file twice and say where the readings differ."""
    score, mine = ours(path)
    other = theirs(path, tuple(part.staves for part in score.parts))
    rounded = any("tuplet" in str(repair) for repair in score.repairs)
    different = []
    for place in sorted(set(mine.notes) | set(other.notes)):
        a, b = mine.notes.get(place, Counter()), other.notes.get(place, Counter())
        if a != b and not (rounded and alike(a, b)):
            different.append((*place, sorted((a - b).elements(), key=str), sorted((b - a).elements(), key=str)))
    count = min(len(mine.starts), len(other.starts))
    starts = [i for i in range(count) if mine.starts[i] != other.starts[i]]
    numbers = [(a, b) for a, b in zip(mine.numbers, other.numbers, strict=False) if not same_number(a, b)]
    if len(mine.numbers) != len(other.numbers):
        numbers.append((f"{len(mine.numbers)} bars", f"{len(other.numbers)} bars"))
    return Comparison(len(score.bars), different, starts, numbers, tuple(map(str, score.repairs)))
