"""Hairpins against boxes: only pipes in a box can swell."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.organ.model import Organ, Role, is_enclosed
from core.resolve.hands import LEFT, RIGHT
from core.resolve.model import Registration
from core.score.model import Ticks, Wedge
from core.sounding.pipes import reachable_stops
from core.texts import say

# common practice (from memory): not in a box unless the specification says so
_OPEN_BY_NAME = frozenset({Role.GREAT, Role.PEDAL, Role.BOMBARDE})


@rule("hairpin-without-box", level=Level.WARNING)
def hairpin_without_box(context: Context) -> Iterator[Finding]:
    """A hairpin stands over pipes that no box encloses.

    What: The keyboards played under a crescendo or diminuendo reach no enclosed stop.
    Why: Pipes outside a box cannot swell; stops would have to be added, or nothing happens.
    Example: A diminuendo while both hands play on an unenclosed Great, uncoupled.
    Remedy: Move the passage to an enclosed division, couple one, or write the stops to add.
    """
    parts = set(context.score.organ_parts)
    told: set[tuple[tuple[str, ...], Ticks]] = set()
    for wedge in context.score.wedges:
        stretch = context.stretch_at(wedge.onset)
        if wedge.part not in parts or stretch is None:
            continue
        divisions = _divisions_under(context, wedge, stretch.registration)
        if not divisions or any(_swells(context.the_organ, stretch.registration, d) for d in divisions):
            continue
        fault = (divisions, stretch.start)
        if fault in told:
            continue
        told.add(fault)
        sure = all(_known_open(context.the_organ, stretch.registration, d) for d in divisions)
        names = ", ".join(context.the_organ.division(d).name for d in divisions)
        yield Finding(
            rule="hairpin-without-box",
            level=Level.WARNING if sure else Level.ADVICE,
            message=say(
                "{kind} hairpin on the {division}: no box there"
                if sure
                else "{kind} hairpin on the {division}: the specification does not say that it is enclosed",
                kind="crescendo" if wedge.growing else "diminuendo",
                division=names,
            ),
            why=say("pipes outside a swell box swell only by adding stops, and nothing enclosed is coupled"),
            at=context.position(wedge.onset, wedge.bar),
            until=context.position(wedge.end),
            staff=wedge.staff,
            division=divisions[0],
        )


def _divisions_under(context: Context, wedge: Wedge, registration: Registration) -> tuple[str, ...]:
    """Divisions of the hands that a hairpin is meant for: those that play under it, by its place."""
    staff_hand = context.layout.hands.get((wedge.part, wedge.staff))
    hands = (RIGHT, LEFT) if staff_hand in (RIGHT, LEFT, None) else (staff_hand,)
    found = []
    for hand in hands:
        division = registration.hand(hand)
        sounds = context.lines[hand].between(wedge.onset, max(wedge.end, wedge.onset + 1))
        held = context.lines[hand].held_over(wedge.onset)
        if division is not None and (sounds or held):
            found.append(division)
    return tuple(dict.fromkeys(found))


def _swells(organ: Organ, registration: Registration, division: str) -> bool:
    return any(is_enclosed(d, s) for d, s in reachable_stops(organ, registration, division))


def _known_open(organ: Organ, registration: Registration, division: str) -> bool:
    """Whether all pipes reached are said, or by custom known, to stand outside a box."""
    return all(
        is_enclosed(d, s) is False or (is_enclosed(d, s) is None and d.role in _OPEN_BY_NAME)
        for d, s in reachable_stops(organ, registration, division)
    )
