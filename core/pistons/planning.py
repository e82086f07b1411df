"""Makes the plan: levels filled piece by piece, numbers given in the order of use, former numbers kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from core.organ.model import Organ
from core.pistons.choosing import Choice, Setting, Way, choose
from core.pistons.model import (
    Combination,
    Control,
    Demand,
    Drawn,
    Free,
    PistonPlan,
    Slot,
    SlotKind,
    Use,
)
from core.texts import Said, say

Place = tuple[int, str, str, int]
"""Where a change stands: piece, measure, beat, the how-manieth time."""


@dataclass(frozen=True, slots=True)
class Former:
    """What a former plan gave: a slot for each setting, and what was pressed at each place."""

    settings: Mapping[Setting, Slot] = field(default_factory=dict)
    pressed: Mapping[Place, tuple[Slot, ...]] = field(default_factory=dict)


def plan_pistons(
    organ: Organ,
    demands: Sequence[Demand],
    free: Free,
    *,
    titles: Sequence[str] = (),
    former: Former | None = None,
    seconds: float = 10,
) -> PistonPlan:
    """The plan for a programme. With `free.steps` for a stepper, else for pistons.

    Args:
        organ: where it is played.
        demands: the changes of all pieces in order.
        free: the slots that may be set.
        titles: of the pieces.
        former: a plan whose numbers stay where they can.
        seconds: how long to seek the fewest combinations.
    """
    known = former or Former()
    if free.steps is not None:
        combinations, uses, optimal = _stepped(demands, free.steps, known)
    else:
        combinations, uses, optimal = _with_pistons(organ, demands, free, known, seconds)
    return PistonPlan(
        titles=tuple(titles),
        free=free,
        combinations=tuple(combinations),
        uses=tuple(uses),
        optimal=optimal,
        explained=(*_explained(free, combinations, uses, optimal), *free.assumed),
    )


# ---------------------------------------------------------------- pistons
def _with_pistons(
    organ: Organ, demands: Sequence[Demand], free: Free, former: Former, seconds: float
) -> tuple[list[Combination], list[Use], bool]:
    combinations: list[Combination] = []
    uses: list[Use] = []
    optimal = True
    before: Drawn = frozenset()
    for level, group in _levels(organ, demands, free, former, seconds):
        choice = choose(organ, group, replace(free, levels=()), kept=_kept_in(former, level), seconds=seconds)
        optimal = optimal and choice.optimal
        slots = _numbered(group, choice, free, level, former)
        combinations += [Combination(slot=slot, sets=setting[2]) for setting, slot in slots.items()]
        for demand, way in zip(group, choice.ways, strict=True):
            uses.append(_use(demand, way, before, slots))
            before = demand.want
    order = {slot: index for index, slot in enumerate(dict.fromkeys(s for u in uses for s in u.press))}
    return sorted(combinations, key=lambda c: order[c.slot]), uses, optimal


def _levels(
    organ: Organ, demands: Sequence[Demand], free: Free, former: Former, seconds: float
) -> Iterator[tuple[int | None, list[Demand]]]:
    """The pieces in groups, each played on one memory level; a level is changed between pieces only."""
    if len(free.levels) < 2:
        yield (free.levels[0] if free.levels else None), list(demands)
        return
    one = replace(free, levels=())
    waiting = list(free.levels)
    group: list[Demand] = []
    for _, piece in groupby(demands, key=lambda d: d.piece):
        more = list(piece)
        tried = [*group, *more]
        if (
            group
            and len(waiting) > 1
            and _fails(choose(organ, tried, one, seconds=seconds)) > _fails(choose(organ, group, one, seconds=seconds))
        ):
            yield waiting.pop(0), group
            group = more
        else:
            group = tried
    if group:
        yield waiting[0], group


def _fails(choice: Choice) -> int:
    return sum(way is None for way in choice.ways)


def _kept_in(former: Former, level: int | None) -> frozenset[Setting]:
    return frozenset(setting for setting, slot in former.settings.items() if slot.level == level)


def _numbered(
    demands: Sequence[Demand], choice: Choice, free: Free, level: int | None, former: Former
) -> dict[Setting, Slot]:
    """A slot for every setting: its former one, else that of what was pressed at its first place, else a new."""
    slots = {s: former.settings[s] for s in choice.settings if s in _kept_in(former, level)}
    taken = set(slots.values())
    for demand, way in zip(demands, choice.ways, strict=True):
        for setting in way.press if way else ():
            if setting in slots:
                continue
            kind, division, _ = setting
            before = [
                s
                for s in former.pressed.get(place_of(demand), ())
                if (s.kind, s.division, s.level) == (kind, division, level)
            ]
            numbers = free.generals if kind is SlotKind.GENERAL else free.divisionals[division]
            offers = [*before, *(Slot(kind, n, division, level) for n in numbers)]
            fresh = [s for s in offers if s not in taken and s not in former.settings.values()]
            slot = next(iter([*(s for s in before if s not in taken), *fresh, *(s for s in offers if s not in taken)]))
            slots[setting] = slot
            taken.add(slot)
    return slots


def place_of(demand: Demand) -> Place:
    """Where a change stands, as a former plan names it."""
    return demand.piece, demand.at.measure, str(demand.at.beat), demand.at.nth


def _use(demand: Demand, way: Way | None, before: Drawn, slots: Mapping[Setting, Slot]) -> Use:
    if way is None:
        return _moved(demand, before ^ demand.want, (), possible=False)
    return _moved(demand, way.moves, tuple(slots[s] for s in way.press))


def _moved(demand: Demand, moves: frozenset[Control], press: tuple[Slot, ...], *, possible: bool = True) -> Use:
    ordered = sorted(moves)
    return Use(
        demand=demand,
        press=press,
        draw=tuple(c for c in ordered if c in demand.want),
        retire=tuple(c for c in ordered if c not in demand.want),
        possible=possible,
    )


# ---------------------------------------------------------------- stepper
def _stepped(
    demands: Sequence[Demand], steps: tuple[int, int], former: Former
) -> tuple[list[Combination], list[Use], bool]:
    """A step for each change that hands cannot make, in the order of play; the others are made by hand."""
    combinations: list[Combination] = []
    uses: list[Use] = []
    before: Drawn = frozenset()
    last: Slot | None = None
    for demand in demands:
        moves = before ^ demand.want
        if demand.by_hand is not None and len(moves) > demand.by_hand:
            slot = _next_step(former.pressed.get(place_of(demand), ()), last, steps, former)
            if slot is None:
                uses.append(_moved(demand, moves, (), possible=False))
            else:
                last = slot
                combinations.append(Combination(slot=slot, sets=demand.want))
                uses.append(_moved(demand, frozenset(), (slot,)))
        else:
            uses.append(_moved(demand, moves, ()))
        before = demand.want
    return combinations, uses, True


def _next_step(before: Sequence[Slot], last: Slot | None, steps: tuple[int, int], former: Former) -> Slot | None:
    """The former step of this place; else one put in behind the last; else the next number."""
    kept = [s for s in before if s.kind is SlotKind.STEP and (last is None or _order(s) > _order(last))]
    if kept:
        return kept[0]
    numbers = {s.number for pressed in former.pressed.values() for s in pressed if s.kind is SlotKind.STEP}
    following = last.number + 1 if last else steps[0]
    if following in numbers or any(n > following for n in numbers):
        number, inserted = (last.number, last.inserted + 1) if last else (steps[0] - 1, 1)
        return Slot(SlotKind.STEP, number, inserted=inserted)
    return Slot(SlotKind.STEP, following) if following <= steps[1] else None


def _order(slot: Slot) -> tuple[int, int]:
    return slot.number, slot.inserted


# ---------------------------------------------------------------- in words
def _explained(free: Free, combinations: Sequence[Combination], uses: Sequence[Use], optimal: bool) -> list[Said]:
    failed = sum(not use.possible for use in uses)
    found = []
    if free.steps is not None:
        found.append(
            say(
                "Steps: {count}, one for each change that is too large or too quick for hands; the rest by hand.",
                count=len(combinations),
            )
        )
    else:
        found.append(
            say("Combinations: {count}, the fewest with which every change can be made.", count=len(combinations))
            if optimal and not failed
            else say("Combinations: {count}; fewer may do, the time for seeking was up.", count=len(combinations))
            if not optimal
            else say("Combinations: {count}, as far as the free pistons go.", count=len(combinations))
        )
        found.append(
            say(
                "Sought in this order: no change left undone, few combinations, little to do at each change. "
                "A general holds a whole registration of the programme, a divisional what its division has in one."
            )
        )
    if failed:
        found.append(
            say(
                "Changes that cannot be made so: {count}. More pistons, an assistant or a rest is needed.", count=failed
            )
        )
    found.append(say("Boxes and the crescendo pedal are left to the feet: no piston moves them."))
    return found
