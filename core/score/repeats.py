"""Repeated stretches and their endings, from the bars' signs."""

from __future__ import annotations

from dataclasses import dataclass

from core.score.gathering import BarSigns
from core.score.model import Bar
from core.texts import Said, say

_DOUBLE = ("light-light", "light-heavy", "heavy-light", "heavy-heavy")


@dataclass(frozen=True, slots=True)
class Ending:
    """An ending: the passes it is for, its first and last bar."""

    numbers: frozenset[int]
    first: int
    last: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A repeated stretch.

    Attributes:
        start: the bar it goes back to.
        end: its last bar, endings included.
        passes: how often it is played in all.
        after_jump: repeated even after a da capo or dal segno.
    """

    start: int
    end: int
    passes: int
    endings: tuple[Ending, ...] = ()
    after_jump: bool = False

    def ending_for(self, nth: int) -> Ending | None:
        """The ending of a pass; None where it goes on after all of them."""
        found = next((ending for ending in self.endings if nth in ending.numbers), None)
        if found is None and len(self.endings) > 1:
            return self.endings[-1]
        return found


def find_sections(
    bars: tuple[Bar, ...], signs: list[BarSigns], first: int, end: int, notes: list[Said]
) -> list[Section]:
    """The repeated stretches between two bars; what had to be assumed is added to `notes`."""
    _open_lone_endings(bars, signs, first, end, notes)
    sections: list[Section] = []
    opened: list[int] = []
    floor, by_double_bar = first, False
    index = first
    while index < end:
        sign = signs[index]
        if index > floor and bars[index - 1].barline in _DOUBLE and not bars[index].key_changes:
            floor, by_double_bar = index, True
        if sign.forward:
            opened.append(index)
        if sign.mid_bar:
            notes.append(say("A repeat stands inside bar {bar}; whole bars are played.", bar=bars[index].number))
        endings = _endings(signs, index, end) if sign.ending_starts else ()
        last = endings[-1].last if endings else index
        backward = [i for i in range(index, last + 1) if signs[i].backward]
        if backward:
            if not opened and by_double_bar:
                notes.append(
                    say(
                        "The repeat in bar {bar} has no start; it goes back to bar {to}, after a double bar.",
                        bar=bars[backward[0]].number,
                        to=bars[floor].number,
                    )
                )
            start = opened.pop() if opened else floor
            sections.append(_section(signs, start, last, endings, backward))
            floor, by_double_bar = last + 1, False
        index = last + 1
    return sections


def _open_lone_endings(bars: tuple[Bar, ...], signs: list[BarSigns], first: int, end: int, notes: list[Said]) -> None:
    """A first ending of which the file has only the close, before a second one: taken for its last bar."""
    is_open = False
    for index in range(first, end - 1):
        sign, after = signs[index], signs[index + 1]
        is_open = is_open or bool(sign.ending_starts)
        if sign.ending_stops and not is_open and sign.backward and after.ending_starts - {1}:
            sign.ending_starts = frozenset({1})
            notes.append(say("The first ending that closes in bar {bar} has no start.", bar=bars[index].number))
        is_open = is_open and not sign.ending_stops


def _section(signs: list[BarSigns], start: int, last: int, endings: tuple[Ending, ...], backward: list[int]) -> Section:
    times = max(signs[i].backward for i in backward)
    if endings:
        highest = max(max(ending.numbers) for ending in endings)
        passes = highest + 1 if len(endings) == 1 else highest
        passes = max(passes, times if times > 2 else 0)
    else:
        passes = times
    return Section(
        start=start,
        end=last,
        passes=passes,
        endings=endings,
        after_jump=any(signs[i].after_jump for i in backward),
    )


def _endings(signs: list[BarSigns], first: int, end: int) -> tuple[Ending, ...]:
    """The endings that stand one after the other from a bar on."""
    endings: list[Ending] = []
    taken: set[int] = set()
    index = first
    while index < end and signs[index].ending_starts and not (endings and signs[index].forward):
        last = _last_bar(signs, index, end)
        numbers = signs[index].ending_starts - taken or frozenset({max(taken, default=0) + 1})
        taken |= numbers
        endings.append(Ending(numbers, index, last))
        if not signs[last].backward:
            return tuple(endings)  # whoever plays it goes on from there
        index = last + 1
    return tuple(endings)


def _last_bar(signs: list[BarSigns], first: int, end: int) -> int:
    for index in range(first, end):
        if signs[index].ending_stops or signs[index].backward:
            return index
        if index + 1 < end and signs[index + 1].ending_starts:
            return index
    return first
