"""How many controls move at each step, and how long the limb that must move them is free."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise

from core.knowledge.loader import load
from core.resolve.model import Registration, Step
from core.score.lines import HandLine
from core.score.model import Score, Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What a step asks of the player.

    Attributes:
        movements: stops, couplers, tremulants and boxes that move.
        seconds_free: longest time a hand is free up to the step; None at the start of a movement.
        tempo_guessed: no metronome mark stands in force; the tempo word's customary range was taken.
    """

    movements: int
    seconds_free: Fraction | None
    tempo_guessed: bool


def changes_of(score: Score, steps: Sequence[Step], lines: dict[str, HandLine]) -> tuple[Change, ...]:
    """The change of each step, in order."""
    found = []
    before = Registration()
    for step in steps:
        onset = int(step.at.onset * score.ticks)
        found.append(
            Change(
                movements=movements_between(before, step.registration),
                seconds_free=_free(score, lines, onset),
                tempo_guessed=tempo_at(score, onset)[1],
            )
        )
        before = step.registration
    return tuple(found)


def movements_between(before: Registration, after: Registration) -> int:
    """Controls that differ between two registrations (hands that move keyboards are not counted)."""
    count = len(set(before.drawn) ^ set(after.drawn))
    count += len(before.couplers ^ after.couplers) + len(before.tremulants ^ after.tremulants)
    boxes = set(before.boxes) ^ set(after.boxes)
    return count + len({division for division, _ in boxes})


def _free(score: Score, lines: dict[str, HandLine], onset: Ticks) -> Fraction | None:
    """Seconds for which the freer hand has rested when the step comes; None at the start of a movement."""
    if onset == 0 or any(score.bars[bar].onset == onset for bar in score.movements):
        return None
    gaps = []
    for hand in ("right", "left"):
        line = lines[hand]
        index = line.from_(onset) - 1
        ended = line.moments[index].end if index >= 0 else 0
        gaps.append(max(onset - ended, 0))
    return seconds_between(score, onset - max(gaps), onset)


def seconds_between(score: Score, start: Ticks, end: Ticks) -> Fraction:
    """Seconds that a written stretch lasts at the tempos in force."""
    if start == end:
        return Fraction(0)
    first = bisect_right(score.tempos, start, key=lambda t: t.onset)
    last = bisect_left(score.tempos, end, key=lambda t: t.onset)
    cuts = [start, *(t.onset for t in score.tempos[first:last]), end]
    total = Fraction(0)
    for low, high in pairwise(cuts):
        pace, _ = tempo_at(score, low)
        total += score.quarters(high - low) * 60 / pace
    return total


def tempo_at(score: Score, onset: Ticks) -> tuple[Fraction, bool]:
    """Quarters a minute in force at an onset, and whether that is a guess."""
    index = bisect_right(score.tempos, onset, key=lambda t: t.onset)
    guess: Fraction | None = None
    for tempo in reversed(score.tempos[:index]):
        if tempo.quarters_a_minute is not None:
            return tempo.quarters_a_minute, False
        guess = guess or _customary(tempo.text)
    return guess or _otherwise(), True


@cache
def _otherwise() -> Fraction:
    """Where nothing tells a tempo."""
    return Fraction(load("tempo")["otherwise"])


@lru_cache(maxsize=1024)
def _customary(text: str) -> Fraction | None:
    words = text.lower()
    for entry in load("tempo")["words"]:
        if any(word in words for word in entry["words"]):
            return Fraction(entry["quarters"])
    return None
