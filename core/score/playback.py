"""The order in which the bars are played: repeats, endings, da capo, dal segno, coda and fine."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from core.score.gathering import BarSigns, Jump
from core.score.model import Bar, PlayedBar
from core.score.words import folded, score_words
from core.texts import Said, say

MAX_PLAYED = 20_000
"""More bars than any performance has; a score that asks for more is played straight through."""


@dataclass(slots=True)
class _Plan:
    """Repeats and jumps by bar, with what each needs to be followed."""

    start_of: dict[int, int]  # bar of a backward repeat -> bar it goes back to
    times: dict[int, int]
    endings: dict[int, tuple[frozenset[int], int, int]]  # first bar of an ending -> numbers, last bar, group
    group_of: dict[int, int]
    jumps: dict[int, list[Jump]]


def played_order(
    bars: tuple[Bar, ...], signs: list[BarSigns], movements: tuple[int, ...]
) -> tuple[tuple[PlayedBar, ...], tuple[Said, ...]]:
    """The bars in played order, and what had to be assumed."""
    notes: list[Said] = []
    order: list[int] = []
    starts = [*movements, len(bars)]
    for start, end in zip(starts, starts[1:], strict=False):
        stretch = _movement(bars, signs, start, end, notes)
        if len(order) + len(stretch) > MAX_PLAYED:
            notes.append(say("The repeats never come to an end; the piece was read straight through."))
            stretch = list(range(start, end))
        order += stretch
    times: Counter[int] = Counter()
    played = []
    now = 0
    for index in order:
        times[index] += 1
        played.append(PlayedBar(index, times[index], now))
        now += bars[index].length
    return tuple(played), tuple(notes)


def _movement(
    bars: tuple[Bar, ...], signs: list[BarSigns], start: int, end: int, notes: list[Said]
) -> list[int]:
    jumps = _jumps(bars, signs, start, end, notes)
    plan = _plan(bars, signs, start, end, notes)
    plan.jumps = jumps
    return _play(bars, plan, start, end, notes)


# -- what the signs say ---------------------------------------------------------------------------------------


def _jumps(
    bars: tuple[Bar, ...], signs: list[BarSigns], start: int, end: int, notes: list[Said]
) -> dict[int, list[Jump]]:
    """Jumps and targets by bar: those of sound attributes; a kind that has none, from words and drawn signs."""
    found: dict[int, list[Jump]] = {}
    said_by_sound = {jump.kind for bar in range(start, end) for jump in signs[bar].jumps if not jump.spoken}
    for index in range(start, end):
        for jump in dict.fromkeys(signs[index].jumps):
            if not jump.spoken or jump.kind not in said_by_sound:
                found.setdefault(index, []).append(jump)
        for in_bar, text in dict.fromkeys(signs[index].words):
            for kind in _spoken(text):
                if kind.partition("-")[0] not in said_by_sound or "-" in kind:
                    found.setdefault(index, []).append(Jump(kind, in_bar, spoken=True))
    kinds = {jump.kind.partition("-")[0] for jumps in found.values() for jump in jumps}
    if not kinds & {"dacapo", "dalsegno"}:
        return {}
    if any(
        jump.spoken
        for jumps in found.values()
        for jump in jumps
        if jump.kind.startswith(("dacapo", "dalsegno"))
    ) and not said_by_sound & {"dacapo", "dalsegno"}:
        notes.append(say("The jumps were read from the words alone."))
    return found


def _spoken(text: str) -> list[str]:
    plain = folded(text)
    for kind, pattern in score_words().jumps:
        if pattern.search(plain):
            return [kind]
    return []


def _plan(bars: tuple[Bar, ...], signs: list[BarSigns], start: int, end: int, notes: list[Said]) -> _Plan:
    plan = _Plan({}, {}, {}, {}, {})
    opened: list[int] = []
    floor = start
    group = 0
    index = start
    while index < end:
        sign = signs[index]
        if (
            index > start
            and bars[index - 1].barline in ("light-light", "light-heavy", "heavy-heavy")
            and not bars[index].key_changes
            and not opened
        ):
            floor = index if not sign.ending_starts else floor
        if sign.forward:
            opened.append(index)
        if sign.ending_starts and index not in plan.group_of:
            group += 1
            _read_endings(plan, signs, index, end, group)
        if sign.backward:
            if index in plan.group_of:
                target = opened[-1] if opened else floor
                last_of_group = _last_backward(plan, signs, index, end)
                if index == last_of_group and opened:
                    opened.pop()
            elif opened:
                target = opened.pop()
            else:
                target = floor
            plan.start_of[index] = target
            plan.times[index] = sign.backward
            if index not in plan.group_of or index == _last_backward(plan, signs, index, end):
                floor = _after_group(plan, index)
        index += 1
    return plan


def _read_endings(plan: _Plan, signs: list[BarSigns], first: int, end: int, group: int) -> None:
    """Follow the endings that stand one after the other from a bar on."""
    index = first
    while index < end and signs[index].ending_starts and index not in plan.endings:
        last = index
        while last < end - 1 and not signs[last].ending_stops and not signs[last + 1].ending_starts:
            if signs[last].backward:
                break
            last += 1
        if not any(signs[i].ending_stops for i in range(index, last + 1)) and not signs[last].backward:
            last = index
        plan.endings[index] = (signs[index].ending_starts, last, group)
        for each in range(index, last + 1):
            plan.group_of[each] = group
        index = last + 1
        if index < end and signs[index].forward:
            break


def _last_backward(plan: _Plan, signs: list[BarSigns], index: int, end: int) -> int:
    group = plan.group_of.get(index)
    return max(
        (i for i in range(index, end) if plan.group_of.get(i) == group and signs[i].backward), default=index
    )


def _after_group(plan: _Plan, index: int) -> int:
    group = plan.group_of.get(index)
    if group is None:
        return index + 1
    return max(i for i, g in plan.group_of.items() if g == group) + 1


# -- playing --------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Player:
    """Where we are while playing."""

    passes: dict[int, int]  # bar a repeat goes back to -> which pass we are in
    jumped: set[tuple[int, str]]
    until: str = ""  # "fine" or "coda" after a jump
    after_jump: bool = False


def _play(bars: tuple[Bar, ...], plan: _Plan, start: int, end: int, notes: list[Said]) -> list[int]:
    order: list[int] = []
    player = _Player({}, set())
    done: Counter[int] = Counter()
    index = start
    while start <= index < end:
        if len(order) > MAX_PLAYED:
            notes.append(say("The repeats never come to an end; the piece was read straight through."))
            return list(range(start, end))
        index = _right_ending(plan, done, index, player)
        if index >= end:
            break
        fine = _place(plan, index, "fine")
        if fine is not None and player.after_jump and player.until in ("", "fine") and fine == 0 and order:
            break
        order.append(index)
        if fine is not None and player.after_jump and player.until in ("", "fine"):
            break
        index = _next(bars, plan, done, index, player, start, end, notes)
    return order


def _place(plan: _Plan, index: int, kind: str) -> int | None:
    for jump in plan.jumps.get(index, ()):
        if jump.kind == kind:
            return jump.in_bar
    return None


def _right_ending(plan: _Plan, done: Counter[int], index: int, player: _Player) -> int:
    """Skip endings that are not this pass's; after a jump the last one is taken."""
    while index in plan.endings:
        numbers, last, group = plan.endings[index]
        members = [e for e in plan.endings.values() if e[2] == group]
        highest = max(max(numbers) for numbers, _, _ in members)
        nth = highest if player.after_jump else done[-group] + 1
        if nth in numbers:
            return index
        index = last + 1
    return index


def _next(
    bars: tuple[Bar, ...],
    plan: _Plan,
    done: Counter[int],
    index: int,
    player: _Player,
    start: int,
    end: int,
    notes: list[Said],
) -> int:
    if index in plan.start_of and not player.after_jump:
        group = plan.group_of.get(index)
        if group is not None:
            numbers = next(n for n, last, g in plan.endings.values() if g == group and last >= index)
            total = max(max(n) for n, _, g in plan.endings.values() if g == group)
            later = max((max(n) for n, last, g in plan.endings.values() if g == group), default=1)
            done[-group] += 1
            total = max(
                total, max(numbers) + 1 if later == max(numbers) and len(numbers) == 1 and later == 1 else 0
            )
            if done[-group] < max(total, plan.times[index] if later == max(numbers) else 0) or done[
                -group
            ] in range(1, total):
                return _back(plan, done, index)
            done[-group] = 0
        else:
            done[index] += 1
            if done[index] < plan.times[index]:
                return _back(plan, done, index)
            done[index] = 0
    target = _jump(plan, index, player, start, end, notes)
    return index + 1 if target is None else target


def _back(plan: _Plan, done: Counter[int], index: int) -> int:
    """Go back to the repeat's start; what is nested in it is played anew."""
    target = plan.start_of[index]
    for inner in plan.start_of:
        if target <= inner < index and inner not in plan.group_of:
            done[inner] = 0
    own = plan.group_of.get(index)
    for bar, group in plan.group_of.items():
        if target <= bar < index and group != own:
            done[-group] = 0
    return target


def _jump(plan: _Plan, index: int, player: _Player, start: int, end: int, notes: list[Said]) -> int | None:
    for jump in plan.jumps.get(index, ()):
        kind, _, goal = jump.kind.partition("-")
        if kind == "tocoda" and player.after_jump and player.until in ("", "coda"):
            coda = _find(plan, "coda", jump.label, index, end)
            if coda is not None:
                player.until = "none"
                return coda
        if kind in ("dacapo", "dalsegno") and (index, kind) not in player.jumped:
            player.jumped.add((index, kind))
            target = start if kind == "dacapo" else _find(plan, "segno", jump.label, start - 1, index + 1)
            if target is None:
                notes.append(say("A dal segno has no segno to go back to; it was passed over."))
                return None
            player.after_jump = True
            player.until = goal
            return target
    return None


def _find(plan: _Plan, kind: str, label: str, after: int, end: int) -> int | None:
    places = [
        i for i, jumps in sorted(plan.jumps.items()) if after < i < end for j in jumps if j.kind == kind
    ]
    labelled = [
        i
        for i, jumps in sorted(plan.jumps.items())
        if after < i < end
        for j in jumps
        if j.kind == kind and label and j.label == label
    ]
    return labelled[0] if labelled else (places[0] if places else None)
