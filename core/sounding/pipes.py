"""Which pipes speak: every key sends its request through the couplers to the stops drawn."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from core.organ.model import Division, Half, Key, Organ, Stop
from core.resolve.model import Registration
from core.sounding.couplers import Way, ways

DEFAULT_COMPASS: tuple[Key, Key] = (36, 91)
"""C2 to G6: assumed for manuals where nothing is stated (common practice, no source)."""
DEFAULT_PEDAL: tuple[Key, Key] = (36, 65)
"""C2 to F4: assumed for the pedal where nothing is stated (common practice, no source)."""
SPLIT: Key = 60
"""Divided stops without a stated split: the treble begins at C4."""


class Pipe(NamedTuple):
    """A pipe that speaks: which pipe of which rank, for which stop, and what it sounds.

    `ratios` are the sounding frequencies as multiples of the key's own 8 ft frequency.
    """

    division: str
    stop: str
    rank: str
    number: int
    key: Key
    ratios: tuple[Fraction, ...]


def compass_of(division: Division) -> tuple[Key, Key]:
    """The division's compass, stated or assumed."""
    if division.compass is not None:
        return division.compass
    return DEFAULT_PEDAL if division.role == "pedal" else DEFAULT_COMPASS


def stop_range(division: Division, stop: Stop) -> tuple[Key, Key]:
    """First and last key of a stop on its division's keys."""
    low, high = compass_of(division)
    first, last = stop.compass
    low = low if first is None else first
    high = high if last is None else last
    if stop.half is Half.TREBLE:
        low = max(low, SPLIT)
    elif stop.half is Half.BASS:
        high = min(high, SPLIT - 1)
    return low, high


def speaks(division: Division, stop: Stop, key: Key) -> bool:
    """Whether a stop has a pipe for a key of its division."""
    low, high = stop_range(division, stop)
    return low <= key <= high and key not in stop.missing and stop.in_use


def ratios_of(stop: Stop, key: Key) -> tuple[Fraction, ...]:
    """Sounding frequencies of a stop's pipes at a key, as multiples of the key's 8 ft frequency."""
    if stop.composition:
        feet: tuple[Fraction, ...] = ()
        for section in stop.composition:
            if section.key <= key or not feet:
                feet = section.feet
        return tuple(Fraction(8) / f for f in feet)
    return (Fraction(8) / stop.pitch,) if stop.pitch else ()


@lru_cache(maxsize=2048)
def pipes_of(organ: Organ, registration: Registration, division: str, key: Key) -> tuple[Pipe, ...]:
    """All pipes that a key played on a division makes speak; each pipe once."""
    drawn = set(registration.drawn)
    found: dict[tuple[str, int], Pipe] = {}
    for way in ways(organ, registration, division):
        target = organ.division(way.division)
        shifted = key + way.shift
        if not _carried(way, key):
            continue
        for stop in target.stops:
            if stop.id in drawn and speaks(target, stop, shifted):
                number = shifted + stop.rank_shift
                ratios = tuple(r * Fraction(2) ** (way.shift // 12) for r in ratios_of(stop, shifted))
                pipe = Pipe(target.id, stop.id, stop.rank or stop.id, number, shifted, ratios)
                found.setdefault((pipe.rank, number), pipe)
    return tuple(found.values())


def _carried(way: Way, key: Key) -> bool:
    if way.half is Half.TREBLE:
        return key >= SPLIT
    return key < SPLIT if way.half is Half.BASS else True


@lru_cache(maxsize=4096)
def reachable_stops(organ: Organ, registration: Registration, division: str) -> tuple[tuple[Division, Stop], ...]:
    """The drawn stops that a division's keys reach, with the divisions they stand in."""
    drawn = set(registration.drawn)
    reached = {way.division for way in ways(organ, registration, division)}
    return tuple((d, s) for d in organ.divisions if d.id in reached for s in d.stops if s.id in drawn)
