"""Pitch elements to keys: spelling and number, transposed where the part transposes."""

from __future__ import annotations

from math import floor
from typing import NamedTuple

from core.organ.spelling import STEPS, write_key

_LETTERS = "CDEFGAB"
_ACCIDENTALS = {-3: "bbb", -2: "bb", -1: "b", 0: "", 1: "#", 2: "##", 3: "###"}
_DIATONIC = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)  # steps of an interval whose `diatonic` is missing


class Transposition(NamedTuple):
    """How far a part sounds from its writing: in steps and in semitones, octaves included."""

    diatonic: int
    chromatic: int


AS_WRITTEN = Transposition(0, 0)


def transposition(chromatic: int, diatonic: int | None, octaves: int) -> Transposition:
    """The transposition of a `transpose` element."""
    if diatonic is None:
        whole, rest = divmod(abs(chromatic), 12)
        steps = whole * 7 + _DIATONIC[rest]
        diatonic = steps if chromatic >= 0 else -steps
    return Transposition(diatonic + 7 * octaves, chromatic + 12 * octaves)


def spell(step: str, alter: str | None, octave: str, by: Transposition = AS_WRITTEN) -> tuple[str, int]:
    """Spelling (``F#4``) and MIDI number of a pitch element's texts.

    Quarter tones go to the semitone above, as no key plays them. Raises ValueError on anything that is no pitch.
    """
    letter = step.strip()
    if letter not in STEPS:
        raise ValueError(step)
    semitones = floor(float(alter) + 0.5) if alter and alter.strip() else 0
    height = int(octave)
    if not (-1 <= height <= 11 and -3 <= semitones <= 3):
        raise ValueError(octave)
    key = STEPS[letter] + semitones + 12 * (height + 1)
    if by == AS_WRITTEN:
        return f"{letter}{_ACCIDENTALS[semitones]}{height}", key
    key += by.chromatic
    index = _LETTERS.index(letter) + 7 * height + by.diatonic
    return _respelled(index, key), key


def _respelled(index: int, key: int) -> str:
    """A key's name by the step it is written on; by its simplest name where that step is far away."""
    height, place = divmod(index, 7)
    alter = key - (STEPS[_LETTERS[place]] + 12 * (height + 1))
    if abs(alter) > 2:
        return write_key(key)
    return f"{_LETTERS[place]}{_ACCIDENTALS[alter]}{height}"
