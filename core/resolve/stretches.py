"""Stretches of the written score in which one registration holds: what most rules walk over."""

from __future__ import annotations

from bisect import bisect_right
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
    found: list[Stretch] = []
    for played in score.played:
        bar = score.bars[played.bar]
        cuts = [played.onset]
        cuts += times[bisect_right(times, played.onset) : bisect_right(times, played.onset + bar.length - 1)]
        for cut, after in zip(cuts, [*cuts[1:], played.onset + bar.length], strict=True):
            index = bisect_right(times, cut) - 1
            if index < 0 or after <= cut:
                continue
            written = bar.onset + cut - played.onset
            _append(
                found,
                Stretch(
                    step=steps[index],
                    start=written,
                    end=written + after - cut,
                    nth=played.nth,
                    played=cut,
                ),
            )
    return tuple(found)


def _append(found: list[Stretch], stretch: Stretch) -> None:
    last = found[-1] if found else None
    if last and last.step is stretch.step and last.end == stretch.start and last.nth == stretch.nth:
        found[-1] = Stretch(step=last.step, start=last.start, end=stretch.end, nth=last.nth, played=last.played)
    else:
        found.append(stretch)


def stretch_at(stretches: Sequence[Stretch], onset: Ticks, nth: int = 1) -> Stretch | None:
    """The stretch that holds a written onset the n-th time through."""
    return next((s for s in stretches if s.nth == nth and s.start <= onset < s.end), None)
