"""Which slots a player may set: as told, else what the specification's aids say, with what was assumed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from core.errors import UsageError
from core.organ.model import AidKind, Organ
from core.pistons.model import Free
from core.texts import Said, say

_SOME = 999  # steps of a stepper whose number nobody says
_RANGE = "Write numbers and ranges, for example 1-4,7."


def free_slots(
    organ: Organ,
    *,
    generals: Sequence[int] | None = None,
    divisionals: Mapping[str, Sequence[int]] | None = None,
    levels: Sequence[int] = (),
    steps: tuple[int, int] | None = None,
    stepper: bool = False,
) -> Free:
    """What may be set. What is not told (None) is taken from the organ's aids, all of it, and said to be assumed.

    Raises:
        UsageError: the organ has no combination aids, and none were told.
    """
    if stepper or steps is not None:
        return _stepper(organ, steps)
    assumed: list[Said] = []
    counts = {a.division or "": a.count for a in organ.aids if a.kind in (AidKind.GENERAL, AidKind.DIVISIONAL)}
    if generals is None and divisionals is None:
        if not counts:
            raise UsageError(
                f"{organ.name} has no adjustable pistons in its specification",
                remedy="Say which are free, for example --generals 1-8, or --steps 1-50 for a stepper.",
            )
        assumed.append(
            say("Nobody said which pistons are free: all were taken to be. Say which, and the house's own stay.")
        )
        generals = _numbers(sum(a.count or 0 for a in organ.aids if a.kind is AidKind.GENERAL))
        divisionals = {
            a.division: _numbers(a.count or 0)
            for a in organ.aids
            if a.kind is AidKind.DIVISIONAL and a.division and a.count
        }
    if divisionals:
        assumed.append(say("Divisional pistons were taken to set stops only, no couplers."))
    return Free(
        generals=tuple(generals or ()),
        divisionals={division: tuple(numbers) for division, numbers in (divisionals or {}).items()},
        levels=tuple(levels),
        assumed=tuple(assumed),
    )


def _stepper(organ: Organ, steps: tuple[int, int] | None) -> Free:
    if steps is not None:
        return Free(steps=steps)
    aid = next((a for a in organ.aids if a.kind is AidKind.STEPPER), None)
    why = (
        say("Nobody said which steps are free: they were counted from 1.")
        if aid
        else say("The specification names no stepper; one was taken to be there.")
    )
    return Free(steps=(1, (aid.count if aid else None) or _SOME), assumed=(why,))


def _numbers(count: int) -> tuple[int, ...]:
    return tuple(range(1, count + 1))


def read_numbers(text: str, what: str) -> tuple[int, ...]:
    """``1-4,7`` as numbers; ``0`` as none.

    Raises:
        UsageError: it is not understood; `what` names where it was written.
    """
    found: list[int] = []
    for piece in text.replace(" ", "").replace("–", "-").split(","):
        low, dash, high = piece.partition("-")
        if not low.isdecimal() or (dash and not high.isdecimal()):
            raise UsageError(f"{what} {text!r} is not understood", remedy=_RANGE)
        first, last = int(low), int(high or low)
        if last < first or last - first > 999:
            raise UsageError(f"{what} {text!r} is not understood", remedy=_RANGE)
        found += range(first, last + 1)
    return tuple(dict.fromkeys(n for n in found if n > 0))
