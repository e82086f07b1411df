"""Stretches of the written score in which one registration holds: what most rules walk over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.resolve.model import Registration, Step
from core.score.model import Score, Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """From `start` up to `end` (ticks as written) the registration of `step` holds, the `nth` time through.

    Attributes:
        played: ticks from the start as played at which it begins.
    """

    step: Step
    start: Ticks
    end: Ticks
    nth: int
    played: Ticks

    @property
    def registration(self) -> Registration:
        """What is on."""
        return self.step.registration


def read_stretches(score: Score, steps: Sequence[Step]) -> tuple[Stretch, ...]:
    """All stretches in played order; neighbouring bars under one step are one stretch."""
    times = [step.played for step in steps]
    count = len(steps)
    found: list[Stretch] = []
    index = -1  # of the step in force
    open_: tuple[Step, Ticks, int, Ticks] | None = None  # step, written start, which time, played start
    until = 0  # written end of what is open
    for bar_index, nth, onset in score.played:
        bar = score.bars[bar_index]
        at, end = onset, onset + bar.length
        while at < end:
            while index + 1 < count and times[index + 1] <= at:
                index += 1
            after = min(times[index + 1], end) if index + 1 < count else end
            if index >= 0:
                step, written = steps[index], bar.onset + at - onset
                if open_ is None or open_[0] is not step or until != written or open_[2] != nth:
                    if open_ is not None:
                        found.append(_stretch(open_, until))
                    open_ = (step, written, nth, at)
                until = written + after - at
            at = after
    if open_ is not None:
        found.append(_stretch(open_, until))
    return tuple(found)


def _stretch(open_: tuple[Step, Ticks, int, Ticks], until: Ticks) -> Stretch:
    step, start, nth, played = open_
    return Stretch(step=step, start=start, end=until, nth=nth, played=played)


def stretch_at(stretches: Sequence[Stretch], onset: Ticks, nth: int = 1) -> Stretch | None:
    """The stretch that holds a written onset the n-th time through."""
    return next((s for s in stretches if s.nth == nth and s.start <= onset < s.end), None)
