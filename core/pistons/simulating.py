"""Plays a plan at an imagined console and compares what is on with what the piece asks."""

from __future__ import annotations

from dataclasses import dataclass

from core.organ.model import Organ
from core.pistons.model import Control, Drawn, PistonPlan, SlotKind, Use, division_of


@dataclass(frozen=True, slots=True)
class Mismatch:
    """A change after which the console does not have what the piece asks, or which takes too much by hand."""

    use: Use
    missing: Drawn
    too_much: Drawn
    by_hand: int


def simulate(organ: Organ, plan: PistonPlan) -> tuple[Mismatch, ...]:
    """Every change at which the plan fails; changes that it calls impossible are made by an assistant."""
    sets = {c.slot: c.sets for c in plan.combinations}
    on: frozenset[Control] = frozenset()
    found = []
    for use in plan.uses:
        for slot in use.press:
            if slot.kind is SlotKind.DIVISIONAL:
                on = frozenset(c for c in on if division_of(organ, c) != slot.division) | sets[slot]
            else:
                on = sets[slot]
        on = (on | set(use.draw)) - set(use.retire)
        limit = use.demand.by_hand
        slow = use.possible and limit is not None and use.moves > limit
        if on != use.demand.want or slow:
            found.append(Mismatch(use, use.demand.want - on, on - use.demand.want, use.moves))
        on = use.demand.want
    return tuple(found)
