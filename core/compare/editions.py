"""What differs between two files of one piece: registration added, removed, moved, changed in meaning or in words only.

Bars are matched by their notes, markings by what they ask for, whatever their spelling: "Sw. Hautboy" and "Swell Oboe"
at the same note differ in words only.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from core.analysis import Analysis
from core.compare.bars import bars_of_one_side, later_bar_of, match_bars
from core.markings.gathering import MarkingRead
from core.markings.model import Instruction, StopRequest
from core.position import Position
from core.score.model import Score

_NEAR = Fraction(8)  # quarters within which the same request counts as moved, not as removed and added


class Difference(StrEnum):
    """How a marking of one file differs from the other's."""

    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"
    CHANGED = "changed"
    REWORDED = "reworded"


@dataclass(frozen=True, slots=True, kw_only=True)
class Differing:
    """One difference; what stands on one side only leaves the other None."""

    kind: Difference
    former: str | None = None
    later: str | None = None
    former_at: Position | None = None
    later_at: Position | None = None
    staff: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Editions:
    """Everything that differs, in the order of the later file.

    Attributes:
        bars_gone: places of bars that only the former file has.
        bars_new: places of bars that only the later file has.
    """

    differences: tuple[Differing, ...]
    bars_gone: tuple[Position, ...]
    bars_new: tuple[Position, ...]

    @property
    def is_empty(self) -> bool:
        """Whether nothing differs."""
        return not (self.differences or self.bars_gone or self.bars_new)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Mark:
    """A marking with its place on the later file's time line."""

    text: str
    meaning: Hashable
    subject: Hashable
    at: Position
    staff: int
    when: Fraction  # quarters in the later file


def compare_editions(former: Analysis, later: Analysis) -> Editions:
    """The differences between two files of one piece (both analysed with the same organ, or none)."""
    pairs = match_bars(former.score, later.score)
    gone, new = bars_of_one_side(pairs)
    answers = later_bar_of(pairs)
    old = [_mark(former.score, m, _shifted(former.score, later.score, answers, m)) for m in _marks(former)]
    fresh = [_mark(later.score, m, _quarters(later.score, m)) for m in _marks(later)]
    found = list(_differences(old, fresh))
    found.sort(key=lambda pair: pair[0])
    return Editions(
        differences=tuple(difference for _, difference in found),
        bars_gone=tuple(former.score.position(former.score.bars[bar].onset, bar) for bar in gone),
        bars_new=tuple(later.score.position(later.score.bars[bar].onset, bar) for bar in new),
    )


def _marks(analysis: Analysis) -> Iterable[MarkingRead]:
    return [m for m in analysis.markings.marks if m.instructions or m.reading.unread]


def _quarters(score: Score, mark: MarkingRead) -> Fraction:
    return score.quarters(mark.text.onset)


def _shifted(former: Score, later: Score, answers: dict[int, int], mark: MarkingRead) -> Fraction:
    """Where a marking of the former file stands in the later one; after the bar before it, where its bar is gone."""
    bar = mark.text.bar
    within = former.quarters(mark.text.onset - former.bars[bar].onset)
    if bar in answers:
        return later.quarters(later.bars[answers[bar]].onset) + within
    before = max((b for b in answers if b < bar), default=None)
    if before is None:
        return Fraction(0)
    following = later.bars[answers[before]]
    return later.quarters(following.onset + following.length)


def _mark(score: Score, mark: MarkingRead, when: Fraction) -> _Mark:
    return _Mark(
        text=mark.text.text,
        meaning=tuple(_meaning(i) for i in mark.instructions) or ("unread", mark.text.text),
        subject=tuple(sorted({(i.division or "", i.hand or "") for i in mark.instructions})),
        at=score.position(mark.text.onset, mark.text.bar),
        staff=mark.text.staff,
        when=when,
    )


def _meaning(instruction: Instruction) -> Hashable:
    """What an instruction asks for, whatever its spelling."""
    return (
        instruction.action,
        instruction.division,
        instruction.hand,
        frozenset(_request(s) for s in instruction.stops),
        frozenset(_request(s) for s in instruction.exceptions),
        instruction.up_to,
        instruction.coupler,
        instruction.passes,
        instruction.box,
        instruction.number,
        instruction.to,
        tuple(_meaning(a) for a in instruction.alternatives),
    )


def _request(stop: StopRequest) -> Hashable:
    name = stop.kind or (stop.name or "").casefold()
    return name, stop.family, stop.pitches, frozenset(stop.qualities), stop.half, stop.ranks, stop.recipe


# ---------------------------------------------------------------- pairing
def _differences(old: list[_Mark], fresh: list[_Mark]) -> Iterator[tuple[tuple[Fraction, int], Differing]]:
    """Pairs, nearest kinship first: same place and meaning; moved; same place; what is left on either side."""
    left, right = _Left(old), _Left(fresh)
    for one, two in _paired(left, right, lambda m: (m.when, m.staff, m.meaning)):
        if one.text.split() != two.text.split():
            yield _order(two), _differing(Difference.REWORDED, one, two)
    for one, two in _paired(left, right, lambda m: (m.when, m.meaning)):
        yield _order(two), _differing(Difference.MOVED, one, two)
    for one, two in _moved(left, right):
        yield _order(two), _differing(Difference.MOVED, one, two)
    for key in (_place_and_subject, _place):
        for one, two in _paired(left, right, key):
            yield _order(two), _differing(Difference.CHANGED, one, two)
    for one in left.marks:
        yield _order(one), _differing(Difference.REMOVED, one, None)
    for two in right.marks:
        yield _order(two), _differing(Difference.ADDED, None, two)


class _Left:
    """Markings that have found no answer yet, in order."""

    def __init__(self, marks: list[_Mark]) -> None:
        self.marks = list(marks)

    def take(self, mark: _Mark) -> None:
        """It has found its answer."""
        self.marks = [m for m in self.marks if m is not mark]


def _paired(left: _Left, right: _Left, key: Callable[[_Mark], Hashable]) -> Iterator[tuple[_Mark, _Mark]]:
    waiting: dict[Hashable, list[_Mark]] = defaultdict(list)
    for two in right.marks:
        waiting[key(two)].append(two)
    for one in list(left.marks):
        if waiting[key(one)]:
            two = waiting[key(one)].pop(0)
            left.take(one)
            right.take(two)
            yield one, two


def _moved(left: _Left, right: _Left) -> Iterator[tuple[_Mark, _Mark]]:
    """The same request a little earlier or later, the nearest first."""
    near = [
        (abs(one.when - two.when), index, number)
        for index, one in enumerate(left.marks)
        for number, two in enumerate(right.marks)
        if one.meaning == two.meaning and abs(one.when - two.when) <= _NEAR
    ]
    olds, news = list(left.marks), list(right.marks)
    used: tuple[set[int], set[int]] = (set(), set())
    for _, index, number in sorted(near):
        if index not in used[0] and number not in used[1]:
            used[0].add(index)
            used[1].add(number)
            left.take(olds[index])
            right.take(news[number])
            yield olds[index], news[number]


def _place_and_subject(mark: _Mark) -> Hashable:
    return mark.when, mark.subject


def _place(mark: _Mark) -> Hashable:
    return mark.when, mark.staff


def _order(mark: _Mark) -> tuple[Fraction, int]:
    return mark.when, mark.staff


def _differing(kind: Difference, former: _Mark | None, later: _Mark | None) -> Differing:
    shown = later or former
    return Differing(
        kind=kind,
        former=former.text if former else None,
        later=later.text if later else None,
        former_at=former.at if former else None,
        later_at=later.at if later else None,
        staff=shown.staff if shown else None,
    )
