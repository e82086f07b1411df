"""Da capo, dal segno, coda and fine: as the file says for playing, else from words and drawn signs."""

from __future__ import annotations

from functools import lru_cache

from core.score.gathering import BarSigns, Jump
from core.score.model import Bar
from core.score.words import folded, score_words
from core.texts import Said, say

Jumps = dict[int, list[Jump]]
_BACK = ("dacapo", "dalsegno")


def find_jumps(bars: tuple[Bar, ...], signs: list[BarSigns], first: int, end: int, notes: list[Said]) -> Jumps:
    """Jumps and their targets by bar; none at all where nothing goes back.

    A kind that some `sound` element states is taken from there alone; else words and drawn signs count. A
    target at the end of a bar is the next bar.
    """
    stated = {jump.kind for i in range(first, end) for jump in signs[i].jumps if not jump.spoken}
    found: Jumps = {}
    for index in range(first, end):
        for jump in _of_bar(signs[index], stated):
            late = jump.kind in ("segno", "coda") and 0 < bars[index].length <= jump.in_bar and index + 1 < end
            found.setdefault(index + 1 if late else index, []).append(jump)
    kinds = {jump.kind for jumps in found.values() for jump in jumps}
    if not kinds.intersection(_BACK):
        return {}
    if not stated.intersection(_BACK):
        notes.append(say("The jumps back were read from the words alone."))
    _name_first_coda(found, kinds)
    return found


def _of_bar(sign: BarSigns, stated: set[str]) -> list[Jump]:
    spoken = [
        Jump(kind, in_bar, spoken=True, goal=goal)
        for in_bar, text in dict.fromkeys(sign.words)
        for kind, goal in said_jump(text)
    ]
    goals = {jump.kind: jump.goal for jump in spoken if jump.goal}
    jumps = [
        jump._replace(goal=goals.get(jump.kind, "")) if not jump.spoken else jump for jump in dict.fromkeys(sign.jumps)
    ]
    return [jump for jump in [*jumps, *spoken] if not jump.spoken or jump.kind not in stated]


@lru_cache(maxsize=4096)
def said_jump(text: str) -> tuple[tuple[str, str], ...]:
    """The jump that a text says, with its goal: ("dacapo", "fine"); none for other words."""
    plain = folded(text)
    if len(plain) > 60:
        return ()
    for kind, pattern in score_words().jumps:
        if pattern.search(plain):
            name, _, goal = kind.partition("-")
            return ((name, goal),)
    return ()


def _name_first_coda(found: Jumps, kinds: set[str]) -> None:
    """Where only coda signs are drawn, the first one stands where the jump to the other leaves."""
    places = sorted(i for i, jumps in found.items() if any(j.kind == "coda" for j in jumps))
    if "tocoda" in kinds or len(places) < 2:
        return
    first = places[0]
    found[first] = [j._replace(kind="tocoda") if j.kind == "coda" else j for j in found[first]]


def target_of(jumps: Jumps, kind: str, label: str, bar: int) -> int | None:
    """Where a jump goes: to its own label's sign, else the last segno before it, the last coda after."""
    places = [(i, j) for i, found in sorted(jumps.items()) for j in found if j.kind == kind]
    labelled = [i for i, jump in places if label and jump.label == label]
    if labelled:
        return labelled[-1]
    fitting = [i for i, _ in places if (i <= bar if kind == "segno" else i > bar)]
    return fitting[-1] if fitting else None
