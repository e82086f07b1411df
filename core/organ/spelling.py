"""How pitches, keys and stops are written: ``2 2/3``, ``F#4``, ``Oboe 8``."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from core.organ.model import Coupler, Feet, Key, Organ, Stop

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SHARP = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def write_feet(pitch: Feet) -> str:
    """A pitch in feet as the machine interface writes it: ``8``, ``2 2/3``, ``2/3``."""
    whole, rest = divmod(pitch, 1)
    if not rest:
        return str(int(whole))
    return f"{int(whole)} {rest}" if whole else str(rest)


@lru_cache(maxsize=4096)
def read_feet_exact(text: str) -> Feet:
    """The inverse of `write_feet`. Raises ValueError for anything else."""
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def write_key(key: Key) -> str:
    """A key in scientific pitch notation with sharps: 60 is ``C4``."""
    return f"{_SHARP[key % 12]}{key // 12 - 1}"


def read_key(text: str) -> Key:
    """The key of ``F#4``, ``Bb2`` and the like. Raises ValueError."""
    step, rest = text[:1].upper(), text[1:]
    if step not in STEPS:
        raise ValueError(text)
    alter = 0
    while rest[:1] in ("#", "b"):
        alter += 1 if rest[0] == "#" else -1
        rest = rest[1:]
    return STEPS[step] + alter + 12 * (int(rest) + 1)


def stop_label(stop: Stop) -> str:
    """``Name pitch`` (a mixture: its name), as `drawn` has it; a half says so in the source's own word."""
    name = f"{stop.name} {stop.half_word}" if stop.half_word else stop.name
    label = name if stop.pitch is None else f"{name} {write_feet(stop.pitch)}"
    return f"{label} {stop.half.value}" if stop.half and not stop.half_word else label


def coupler_label(organ: Organ, coupler: Coupler) -> str:
    """``Swell to Great``, with the pitch after it where it is not 8."""
    label = f"{organ.division(coupler.source).name} to {organ.division(coupler.target).name}"
    if coupler.unison_off:
        return f"{organ.division(coupler.source).name} Unison Off"
    return label if coupler.pitch == 8 else f"{label} {write_feet(coupler.pitch)}"
