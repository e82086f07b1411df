"""The registration in force over the composed set of layouts, languages, repeats and jumps."""

from __future__ import annotations

import pytest

from core.analysis import Analysis
from core.organ.spelling import stop_label
from core.resolve.model import Registration
from fault_set import organ_named
from state_set import CASES, State, StateCase
from walking import walk


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_registration_in_force(case: StateCase) -> None:
    analysis = walk(case.make(), organ_named(case.organ))
    wrong = [fault for state in case.states for fault in faults(analysis, state)]
    assert not wrong, "\n".join(wrong)


def faults(analysis: Analysis, state: State) -> list[str]:
    """What differs from the state that is asked for."""
    registration = registration_at(analysis, state)
    organ = analysis.organ
    assert organ is not None
    roles = {d.id: d.role.value.replace("manual-1", "great").replace("manual-2", "swell") for d in organ.divisions}
    drawn = {(roles[organ.division_of(s).id], stop_label(organ.stop(s))) for s in registration.drawn}
    coupled = {f"{roles[organ.couplers[i].source]}-{roles[organ.couplers[i].target]}" for i in registration.couplers}
    hands = tuple(roles.get(registration.hand(h) or "") for h in ("right", "left"))
    checks = {
        "hands": (state.hands is None or hands == state.hands, hands),
        "need": (set(state.need) <= drawn, drawn),
        "out": (not set(state.out) & drawn, drawn),
        "on": (set(state.on) <= coupled, coupled),
        "off": (not set(state.off) & coupled, coupled),
        "tremulant": (
            state.tremulant is None or state.tremulant == bool(registration.tremulants),
            registration.tremulants,
        ),
        "box": (state.box is None or state.box in dict(registration.boxes).values(), registration.boxes),
        "nothing": (not state.nothing or not drawn, drawn),
    }
    return [f"bar {state.at}, time {state.nth}: {what}: {found}" for what, (ok, found) in checks.items() if not ok]


def registration_at(analysis: Analysis, state: State) -> Registration:
    score = analysis.score
    movement, _, place = state.at.rpartition(":")
    bar, _, beat = place.partition(".")
    index = int(bar) - 1 if not movement else score.movements[int(movement[1:]) - 1] + int(bar) - 1
    onset = score.bars[index].onset + (int(beat or 1) - 1) * score.ticks * 4 // score.bars[index].beat_type
    step = analysis.at(onset, state.nth)
    assert step is not None
    return step.registration
