"""Which thumb or toe is free for a piston at a change: a thumb under its own keys, a toe beside a slow pedal line."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence

from core.knowledge.loader import load
from core.organ.model import Aid, AidKind, Organ, Reach, Role
from core.practice.changes import seconds_between
from core.resolve.model import Registration
from core.score.held import Grip
from core.score.lines import HandLine
from core.score.model import Score, Ticks

PRESSED = frozenset(
    {AidKind.GENERAL, AidKind.DIVISIONAL, AidKind.STEPPER, AidKind.FIXED, AidKind.VENTIL, AidKind.TUTTI}
)
_WHOLE = frozenset({AidKind.REVERSIBLE, AidKind.GENERAL, AidKind.STEPPER, AidKind.TUTTI, AidKind.FIXED, AidKind.VENTIL})
HANDS = ("right", "left")


def free_thumbs(lines: Mapping[str, HandLine], held: Mapping[str, Sequence[Grip]], onset: Ticks) -> tuple[str, ...]:
    """The hands whose thumb is free at a change: those that rest, or hold few keys before it or after it."""
    most = int(load("practice")["thumb_free_keys"])
    return tuple(h for h in HANDS if _rests(lines[h], onset) or _keys_round(held[h], onset) <= most)


def free_toe(score: Score, feet: HandLine, onset: Ticks) -> bool:
    """Whether a foot is free at a change: the pedal rests, or a single note of it lasts long enough."""
    if not feet.moments or _rests(feet, onset):
        return True
    index = feet.from_(onset)
    before = feet.moments[index - 1] if index else None
    here = feet.moments[index] if index < len(feet.moments) else None
    least = load("practice")["toe_free_seconds"]
    return any(
        m is not None and len(m.keys) == 1 and seconds_between(score, m.onset, m.end) >= least for m in (before, here)
    )


def reachable(
    organ: Organ, aid: Aid, moved: frozenset[str], thumbs: Sequence[str], before: Registration, *, toe: bool
) -> bool:
    """Whether an aid that could make a change is within reach of a free thumb or toe.

    Args:
        organ: the organ.
        aid: the aid.
        moved: ids of the divisions in which stops move.
        thumbs: the hands whose thumb is free.
        before: where the hands are.
        toe: a foot is free.
    """
    by = aid.reach or tuple(Reach)
    if toe and Reach.TOE in by:
        return True
    if not thumbs or not {Reach.THUMB, Reach.HAND} & {*by}:
        return False
    if aid.kind in _WHOLE:
        return True
    under = {organ.division(d).keyboard for d in (before.hand(h) for h in thumbs) if d}
    needed = {organ.division(d).keyboard for d in moved if organ.division(d).role != Role.PEDAL}
    return needed <= under


def _rests(line: HandLine, onset: Ticks) -> bool:
    """Whether nothing sounds just before an onset."""
    index = line.from_(onset) - 1
    return index < 0 or line.moments[index].end < onset


def _keys_round(grips: Sequence[Grip], onset: Ticks) -> int:
    """The fewer of the keys held just before and at an onset."""
    index = bisect_left(grips, onset, key=lambda g: g.onset)
    near = [*grips[max(index - 1, 0) : index], *(g for g in grips[index : index + 1] if g.onset == onset)]
    return min((len(g.keys) for g in near), default=0)
