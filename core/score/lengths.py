"""Odd lengths of notes: missing, decimal, or rounded in tuplets. The walk itself reads the plain ones."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from lxml import etree

from core.score.gathering import FinerTicksError
from core.score.quantities import QUARTERS, read_fraction

if TYPE_CHECKING:
    from core.score.timeline import PartWalk

Element = etree._Element
Kids = dict[str, Element]

JUNK = "{count} notes whose pitch or duration is no number were passed over (first in bar {bar})."
_NO_DURATION = "{count} notes have no duration (first in bar {bar}); their printed shape was taken."
_UNEVEN = "{count} tuplet notes are rounded in the file (first in bar {bar}); their exact length was taken."


def odd_length(walk: PartWalk, kids: Kids) -> int | None:
    """Ticks of a duration that is missing or no plain whole number; None for a note to be passed over.

    A note that is passed over still takes its time, as far as its shape tells it.
    """
    text = (kids["duration"].text or "").strip() if "duration" in kids else ""
    number = read_fraction(text)
    if number is not None and number >= 0:
        return whole_ticks(number * walk.found.ticks / walk.divisions)
    shape = printed_length(kids)
    if not text and shape is not None:
        walk.found.trouble(_NO_DURATION, walk.number)
        return whole_ticks(shape * walk.found.ticks)
    walk.found.trouble(JUNK, walk.number)
    if shape is not None and "chord" not in kids:
        walk.advance(whole_ticks(shape * walk.found.ticks))
    return None


def whole_ticks(ticks: Fraction) -> int:
    """A length that must be a whole number of ticks. Raises FinerTicksError, which starts the walk again."""
    if ticks.denominator != 1:
        raise FinerTicksError(ticks.denominator)
    return ticks.numerator


def printed_length(kids: Kids) -> Fraction | None:
    """Quarters of a note's printed shape: its type, dots and tuplet; None where it shows none."""
    kind = kids.get("type")
    quarters = QUARTERS.get((kind.text or "").strip()) if kind is not None else None
    if kind is None or quarters is None:
        return None
    note = kind.getparent()
    dots = sum(1 for _ in note.iterchildren("dot")) if note is not None and "dot" in kids else 0
    quarters *= 2 - Fraction(1, 2 ** min(dots, 8))
    tuplet = kids.get("time-modification")
    if tuplet is None:
        return quarters
    try:
        return quarters * Fraction(
            int(tuplet.findtext("normal-notes") or "1"), int(tuplet.findtext("actual-notes") or "1")
        )
    except (ValueError, ZeroDivisionError):
        return None


class Tuplets:
    """Exact places and lengths of tuplet notes that the file rounds to whole divisions.

    The file's own rounded durations still move the walk, so that `backup` fits; only what is told of the note
    is exact. `drift` is how far the exact place has come from the rounded one.
    """

    __slots__ = ("drift", "of_chord")

    def __init__(self) -> None:
        self.drift = 0
        self.of_chord = 0

    def exact(self, walk: PartWalk, kids: Kids, onset: int, duration: int) -> tuple[int, int]:
        """Onset and duration of a tuplet note, which the file says at `onset` for `duration`."""
        shape = printed_length(kids)
        length = duration
        if shape is not None:
            ticks = shape * walk.found.ticks
            if ticks.denominator == 1 and ticks != duration and abs(ticks - duration) < walk.factor:
                length = ticks.numerator
                walk.found.trouble(_UNEVEN, walk.number)
        if "chord" in kids:
            return onset + self.of_chord, length
        self.of_chord = self.drift
        self.drift += length - duration
        if abs(self.drift) >= walk.factor:  # no rounding any more: the file means what it says
            self.drift = 0
        return onset + self.of_chord, length
