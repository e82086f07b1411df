"""Places: in a score, in a text, and what holds from one place to the next."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, NamedTuple, TypeVar

from core.texts import Said, say

T = TypeVar("T")


class Span(NamedTuple):
    """A stretch of a text: characters from `start` up to, not including, `end`."""

    start: int
    end: int


@dataclass(frozen=True, slots=True, order=True)
class Position:
    """A place in a score, as written and for people.

    Attributes:
        onset: quarter notes from the start as written.
        bar: index of the bar in the file, from 0 (the key; printed numbers may repeat).
        measure: the printed measure number.
        beat: beat within the bar from 1, in units of the time signature's lower figure.
        nth: which time through (pass), from 1.
    """

    onset: Fraction
    bar: int
    measure: str
    beat: Fraction
    nth: int = 1

    def to_json(self) -> dict[str, object]:
        """The position as the machine interface's notation has it."""
        return {
            "measure": self.measure,
            "beat": str(self.beat),
            "onset": str(self.onset),
            "pass": self.nth,
        }

    def __str__(self) -> str:
        return str(self.said)

    @property
    def said(self) -> Said:
        """The place in words, as part of a message."""
        return say("bar {bar}, beat {beat}", bar=self.measure, beat=self.beat)


class Timeline(Generic[T]):
    """Values that hold from one time until the next: ``timeline.at(time)``.

    Times may be any ordered numbers (integer ticks, fractions), given in rising order.
    """

    __slots__ = ("_times", "_values", "before")

    def __init__(self, points: list[tuple[int, T]], before: T) -> None:
        self._times = [time for time, _ in points]
        self._values = [value for _, value in points]
        self.before = before

    def at(self, time: int) -> T:
        """The value in force at a time: the last one set at or before it."""
        index = bisect_right(self._times, time) - 1
        return self._values[index] if index >= 0 else self.before

    def items(self) -> list[tuple[int, T]]:
        """All (time, value) pairs in order."""
        return list(zip(self._times, self._values, strict=True))
