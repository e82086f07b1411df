"""Places as they stand on paper: page and system by the file's own breaks."""

from __future__ import annotations

from dataclasses import dataclass

from core.score.model import Score


@dataclass(frozen=True, slots=True)
class PrintedPlace:
    """A page, and a system on it, both from 1."""

    page: int
    system: int


def printed_places(score: Score) -> tuple[PrintedPlace, ...]:
    """For each bar, where the file's own breaks put it; () where the file has none."""
    if not any(bar.new_page or bar.new_system for bar in score.bars[1:]):
        return ()
    found = []
    page = system = 1
    for bar in score.bars:
        if bar.index and bar.new_page:
            page, system = page + 1, 1
        elif bar.index and bar.new_system:
            system += 1
        found.append(PrintedPlace(page, system))
    return tuple(found)
