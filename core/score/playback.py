"""The order in which the bars are played: repeats, endings, da capo, dal segno, coda and fine.

After the MusicXML 4.0 standard: a jump is taken when its bar's repeats are done; after a da capo or dal segno
repeats are not taken again (but for `after-jump`) and the last ending is; a jump binds all parts.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from core.score.gathering import BarSigns, Jump
from core.score.jumps import Jumps, find_jumps, target_of
from core.score.model import Bar, PlayedBar
from core.score.repeats import Section, find_sections
from core.texts import Said, say

MAX_PLAYED = 20_000
"""More bars than any performance has; a score that asks for more is played straight through."""


def played_order(
    bars: tuple[Bar, ...], signs: list[BarSigns], movements: tuple[int, ...]
) -> tuple[tuple[PlayedBar, ...], tuple[Said, ...]]:
    """The bars in played order, and what had to be assumed."""
    notes: list[Said] = []
    order: list[int] = []
    for first, end in pairwise([*movements, len(bars)]):
        player = _Player(bars, signs, first, end, notes)
        stretch = player.play()
        if stretch is None or len(order) + len(stretch) > MAX_PLAYED:
            notes.append(say("The repeats make more than {count} bars; read straight through.", count=MAX_PLAYED))
            stretch = list(range(first, end))
        order += stretch
    times: Counter[int] = Counter()
    played = []
    now = 0
    for index in order:
        times[index] += 1
        played.append(PlayedBar(index, times[index], now))
        now += bars[index].length
    return tuple(played), tuple(dict.fromkeys(notes))


class _Player:
    """Plays one movement through, bar by bar."""

    def __init__(self, bars: tuple[Bar, ...], signs: list[BarSigns], first: int, end: int, notes: list[Said]) -> None:
        self.bars, self.first, self.end, self.notes = bars, first, end, notes
        self.jumps: Jumps = find_jumps(bars, signs, first, end, notes)
        self.sections = find_sections(bars, signs, first, end, notes)
        self.backward: dict[int, Section] = {}
        self.endings: dict[int, Section] = {}
        for section in self.sections:
            self.endings.update({ending.first: section for ending in section.endings})
            ends = [ending.last for ending in section.endings] or [section.end]
            self.backward.update({last: section for last in ends if signs[last].backward})
        self.nth: dict[Section, int] = {}
        self.times: Counter[int] = Counter()
        self.taken: set[tuple[int, Jump]] = set()
        self.after_jump = False
        self.goal = ""

    def play(self) -> list[int] | None:
        """The bars in played order; None where there is no end to them."""
        order: list[int] = []
        index = self._entry(self.first)
        while index < self.end:
            if len(order) >= MAX_PLAYED:
                return None
            order.append(index)
            self.times[index] += 1
            following = self._repeat(index)
            if following is None and self._is_fine(index):
                break
            index = self._entry(self._next(index) if following is None else following)
        return order

    def _entry(self, index: int) -> int:
        """The bar to play on coming to a bar: endings of other passes are left out."""
        while index in self.endings:
            section = self.endings[index]
            ending = section.ending_for(self._pass(section))
            if ending is not None and ending.first == index:
                break
            index = section.end + 1 if ending is None else ending.first
            if ending is not None:
                break
            self.nth.pop(section, None)
        return index

    def _pass(self, section: Section) -> int:
        if self.after_jump and not section.after_jump:
            return section.passes
        return self.nth.get(section, 1)

    def _repeat(self, index: int) -> int | None:
        """Where a repeat that is due after this bar goes back to."""
        section = self.backward.get(index)
        if section is not None and self._pass(section) < section.passes:
            self.nth[section] = self._pass(section) + 1
            for inner in self.sections:
                if inner is not section and section.start <= inner.start and inner.end <= section.end:
                    self.nth.pop(inner, None)
            return section.start
        return None

    def _next(self, index: int) -> int:
        """The bar after this one, where no repeat is due: a jump's target or the next."""
        for done in self.sections:
            if done.end == index:
                self.nth.pop(done, None)
        target = self._jump(index)
        return index + 1 if target is None else target

    def _is_fine(self, index: int) -> bool:
        """Whether the piece ends with this bar: a fine at a bar's start, too, means its end."""
        for jump in self.jumps.get(index, ()):
            if jump.kind == "fine" and self._holds(jump, index) and self.after_jump and self.goal != "coda":
                return True
        return False

    def _holds(self, jump: Jump, index: int) -> bool:
        return not jump.passes or self.times[index] in jump.passes

    def _jump(self, index: int) -> int | None:
        for jump in self.jumps.get(index, ()):
            if not self._holds(jump, index) or (index, jump) in self.taken:
                continue
            if jump.kind == "tocoda" and self.after_jump and self.goal != "fine":
                return self._to_coda(index, jump)
            if jump.kind in ("dacapo", "dalsegno"):
                self.taken.add((index, jump))
                target = self._back(index, jump)
                if target is not None:
                    self.after_jump, self.goal = True, jump.goal
                    self.nth.clear()
                    return target
        return None

    def _to_coda(self, index: int, jump: Jump) -> int | None:
        coda = target_of(self.jumps, "coda", jump.label, index)
        if coda is None:
            self.notes.append(say("The jump in bar {bar} finds no coda.", bar=self.bars[index].number))
            return None
        self.after_jump, self.goal = False, ""
        return coda

    def _back(self, index: int, jump: Jump) -> int | None:
        number = self.bars[index].number
        kinds = {j.kind for jumps in self.jumps.values() for j in jumps}
        if jump.goal and not kinds.intersection({"fine"} if jump.goal == "fine" else {"coda", "tocoda"}):
            self.notes.append(
                say(
                    "The jump in bar {bar} goes to a {goal} that is not there; passed over.",
                    bar=number,
                    goal=jump.goal,
                )
            )
            return None
        if jump.kind == "dacapo":
            return self.first
        segno = target_of(self.jumps, "segno", jump.label, index)
        if segno is None:
            self.notes.append(say("The dal segno in bar {bar} finds no segno; passed over.", bar=number))
        return segno
