"""Piston plans: every step is simulated; the number of combinations is compared with an exhaustive search.

How many stops hands move in the time: one to four in about a second (Wisconsin Alliance of Composers, "A
Composer's-Eye View of Writing for the Organ"); the rest is arithmetic.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.organ.model import Organ
from core.pistons.choosing import choose
from core.pistons.model import Control, ControlKind, Demand, Free, Slot, SlotKind, slot_label
from core.pistons.planning import Former, place_of, plan_pistons
from core.pistons.simulating import simulate
from core.position import Position
from fault_set import organ_named

STOPS = [s.id for d in organ_named("large").divisions for s in d.stops]
GENERALS = Free(generals=tuple(range(1, 9)))


@pytest.fixture(scope="module")
def organ() -> Organ:
    return organ_named("large")


def on(*stops: int) -> frozenset[Control]:
    return frozenset(Control(ControlKind.STOP, STOPS[i]) for i in stops)


def demand(bar: int, want: frozenset[Control], by_hand: int | None = 2, piece: int = 0) -> Demand:
    at = Position(onset=Fraction(4 * bar), bar=bar, measure=str(bar + 1), beat=Fraction(1))
    return Demand(piece=piece, at=at, marking=None, text="", staff=1, want=want, by_hand=by_hand)


def programme(*wants: frozenset[Control], by_hand: int = 2) -> list[Demand]:
    return [demand(i, want, None if i == 0 else by_hand) for i, want in enumerate(wants)]


A, B, C = on(0, 1, 2, 3), on(10, 11, 12, 13), on(5, 6, 7, 20, 21)


def test_the_same_registration_needs_one_combination(organ: Organ) -> None:
    plan = plan_pistons(organ, programme(A, B, A, B, A), GENERALS)
    assert [c.sets for c in plan.combinations] == [A, B]
    assert [u.press[0].number for u in plan.uses] == [1, 2, 1, 2, 1]
    assert all(u.moves == 0 for u in plan.uses)
    assert plan.optimal
    assert not simulate(organ, plan)


def test_a_small_change_is_left_to_a_hand(organ: Organ) -> None:
    plan = plan_pistons(organ, programme(A, A | on(4), B), GENERALS)
    assert [len(u.press) for u in plan.uses] == [0, 0, 1]
    assert [c.id for c in plan.uses[1].draw] == [STOPS[4]]


def test_nothing_by_hand_gives_every_change_a_piston(organ: Organ) -> None:
    plan = plan_pistons(organ, programme(A, A | on(4), B, by_hand=0), GENERALS)
    assert [len(u.press) for u in plan.uses[1:]] == [1, 1]


def test_more_changes_than_pistons_are_said_to_be_impossible(organ: Organ) -> None:
    plan = plan_pistons(organ, programme(A, B, C, on(25, 26, 27)), Free(generals=(3, 7)))
    assert {c.slot.number for c in plan.combinations} == {3, 7}
    assert len(plan.impossible) == 1
    assert any("cannot be made" in str(s) for s in plan.explained)
    assert not simulate(organ, plan)


def test_a_divisional_sets_one_division_and_leaves_the_others(organ: Organ) -> None:
    swell = [i for i, s in enumerate(STOPS) if s.startswith("swell/")]
    pedal = [i for i, s in enumerate(STOPS) if s.startswith("pedal/")][:2]
    first, second = on(*swell[:4], *pedal), on(*swell[4:8], *pedal)
    plan = plan_pistons(organ, programme(first, second, first), Free(divisionals={"swell": (1, 2)}))
    assert {(c.slot.kind, c.slot.division) for c in plan.combinations} == {(SlotKind.DIVISIONAL, "swell")}
    assert all(c.id.startswith("swell/") for combination in plan.combinations for c in combination.sets)
    assert not simulate(organ, plan)


def test_numbers_stay_when_a_change_is_put_in(organ: Organ) -> None:
    before = plan_pistons(organ, programme(A, B, A, C), GENERALS)
    wants = [A, on(25, 26, 27, 28), B, A, C]
    later = [demand(i, want, None if i == 0 else 2) for i, want in enumerate(wants)]
    former = Former({(c.slot.kind, c.slot.division, c.sets): c.slot for c in before.combinations})
    after = plan_pistons(organ, later, GENERALS, former=former)
    kept = {c.sets: c.slot for c in before.combinations}
    assert all(c.slot == kept[c.sets] for c in after.combinations if c.sets in kept)
    assert [c.slot.number for c in after.combinations if c.sets not in kept] == [4]


def test_a_changed_registration_keeps_its_pistons_number(organ: Organ) -> None:
    demands = programme(A, B, C)
    before = plan_pistons(organ, demands, GENERALS)
    former = Former(
        {(c.slot.kind, c.slot.division, c.sets): c.slot for c in before.combinations},
        {place_of(u.demand): u.press for u in before.uses if u.press},
    )
    after = plan_pistons(organ, programme(A, B | on(22), C), GENERALS, former=former)
    assert [u.press for u in after.uses] == [u.press for u in before.uses]


def test_a_stepper_counts_on_and_puts_new_steps_between(organ: Organ) -> None:
    free = Free(steps=(1, 20))
    before = plan_pistons(organ, programme(A, B, A, C), free)
    assert [u.press[0].number for u in before.uses if u.press] == [1, 2, 3]
    former = Former({}, {place_of(u.demand): u.press for u in before.uses if u.press})
    wants = [(0, A), (1, B), (1.5, on(25, 26, 27, 28)), (2, A), (3, C)]
    later = [
        Demand(
            piece=0,
            at=Position(onset=Fraction(4 * i), bar=int(i), measure=str(int(i) + 1), beat=Fraction(1 + int(2 * i) % 2)),
            marking=None,
            text="",
            staff=1,
            want=want,
            by_hand=None if i == 0 else 2,
        )
        for i, want in wants
    ]
    after = plan_pistons(organ, later, free, former=former)
    assert [(u.press[0].number, u.press[0].inserted) for u in after.uses if u.press] == [(1, 0), (1, 1), (2, 0), (3, 0)]
    assert not simulate(organ, after)


def test_each_piece_stays_on_one_level(organ: Organ) -> None:
    states = [on(*range(i, i + 4)) for i in range(0, 28, 4)]
    demands = []
    for piece in range(3):
        for bar in range(3):
            opening = None if bar == 0 else 1
            demands.append(demand(bar, states[(2 * piece + bar) % len(states)], opening, piece))
    plan = plan_pistons(organ, demands, Free(generals=(1, 2, 3), levels=(4, 5, 6)))
    by_piece = [{s.level for u in plan.uses if u.demand.piece == p for s in u.press} for p in range(3)]
    assert all(len(levels) <= 1 for levels in by_piece)
    assert [levels for levels in by_piece if levels] == [{4}, {5}, {6}]
    assert not plan.impossible
    assert not simulate(organ, plan)


WANTS = st.lists(st.frozensets(st.integers(0, 7), min_size=1, max_size=5), min_size=2, max_size=6)


@settings(max_examples=60, deadline=None)
@given(WANTS, st.integers(0, 2), st.integers(1, 4))
def test_the_plan_is_right_and_the_number_the_least(wants: list[frozenset[int]], by_hand: int, pistons: int) -> None:
    organ = organ_named("large")
    demands = programme(*(on(*w) for w in wants), by_hand=by_hand)
    plan = plan_pistons(organ, demands, Free(generals=tuple(range(1, pistons + 1))))
    assert not simulate(organ, plan)
    assert len(plan.combinations) <= pistons
    failed, least = fewest(demands, pistons)
    assert (len(plan.impossible), len(plan.combinations)) == (failed, least)


def fewest(demands: list[Demand], pistons: int) -> tuple[int, int]:
    """By trying every set of registrations: the changes left undone, and the combinations needed for that."""
    states = list(dict.fromkeys(d.want for d in demands))
    best = (len(demands) + 1, 0)
    for count in range(pistons + 1):
        for chosen in combinations(states, count):
            undone = sum(not _can(demands, i, chosen) for i in range(len(demands)))
            best = min(best, (undone, count))
    return best


def _can(demands: list[Demand], index: int, chosen: tuple[frozenset[Control], ...]) -> bool:
    one = demands[index]
    before = demands[index - 1].want if index else frozenset()
    limit = one.by_hand
    if limit is None or len(before ^ one.want) <= limit:
        return True
    return any(len(state ^ one.want) <= min(limit, 4) for state in chosen)


def test_a_short_time_still_gives_a_plan(organ: Organ) -> None:
    states = [on(*((i * 7 + k * 3) % len(STOPS) for k in range(5))) for i in range(24)]
    choice = choose(organ, programme(*states), Free(generals=tuple(range(1, 21))), seconds=0.01)
    assert len(choice.ways) == 24


def test_a_slot_is_named_as_written_in_a_part(organ: Organ) -> None:
    assert slot_label(organ, Slot(SlotKind.GENERAL, 3)) == "Gen. 3"
    assert slot_label(organ, Slot(SlotKind.DIVISIONAL, 2, "swell", 4)).endswith(" 2 (level 4)")
    assert slot_label(organ, Slot(SlotKind.STEP, 5, inserted=1)) == "Step 5.1"
