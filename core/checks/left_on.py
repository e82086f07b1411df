"""Rules about what was left on: a tremulant after its solo, a pedal coupler after its manual."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.markings.model import Action
from core.organ.model import Organ, Stop
from core.organ.strength import strength
from core.resolve.model import Registration, Step
from core.score.model import Ticks
from core.sounding.couplers import ways
from core.sounding.pipes import reachable_stops
from core.texts import Said, say

_HANDS = ("right", "left")
_CLEARLY = 3  # steps of loudness by the stops' names


@rule("tremulant-left-on", level=Level.ADVICE)
def tremulant_left_on(context: Context) -> Iterator[Finding]:
    """A tremulant is still on when its division is given other stops.

    What: A division's registration is set anew, or full, while its tremulant stays on.
    Why: A tremulant belongs to a solo, not to a chorus or a full combination.
    Example: "Full Sw." after a solo with "Trem.", which nobody took off.
    Remedy: Write "Trem. off" where the solo ends.
    """
    before = Registration()
    for step in context.steps:
        for division in sorted(before.tremulants & step.registration.tremulants, key=str):
            reason = _out_of_place(context, step, before, division)
            if division is None or reason is None:
                continue
            yield Finding(
                rule="tremulant-left-on",
                level=Level.ADVICE,
                message=say(
                    "the tremulant of the {division} is still on",
                    division=context.the_organ.division(division).name,
                ),
                why=reason,
                at=step.at,
                staff=step.staff,
                division=division,
                cause="tremulant",
            )
        before = step.registration


def _out_of_place(context: Context, step: Step, before: Registration, division: str | None) -> Said | None:
    """Why a tremulant that stays on no longer fits: other stops, or both hands come to its pipes."""
    for instruction in step.instructions:
        named = instruction.action in (Action.DRAW, Action.FULL) and instruction.division
        if named and context.keyboards.answers.get(instruction.division or "") == division:
            return say("no marking has taken it off, and the division is given other stops here")
    if division is None or not any(before.hand(h) for h in _HANDS):
        return None
    if _by_both(context, step.registration, division) and not _by_both(context, before, division):
        return say("no marking has taken it off, and both hands play its pipes from here")
    return None


def _by_both(context: Context, registration: Registration, division: str) -> bool:
    """Whether both hands reach a division, at their own manual or through couplers."""
    for hand in _HANDS:
        at = registration.hand(hand)
        if at is None or division not in {w.division for w in ways(context.the_organ, registration, at)}:
            return False
    return True


@rule("coupler-left-on", level=Level.ADVICE)
def coupler_left_on(context: Context) -> Iterator[Finding]:
    """A pedal coupler stays on after the hands have left the manual it brings.

    What: The feet still sound the stops of a manual that no hand plays any more, louder than what the hands play.
    Why: The bass no longer fits the hands; most often "off" was forgotten.
    Example: "Sw." for both hands after a passage on the Great, with "Gt. to Ped." still on.
    Remedy: Write "Gt. to Ped. off" where the hands leave the manual.
    """
    before = Registration()
    told: set[int] = set()
    for step in context.steps:
        for index in _left_on(context, step, before):
            if index in told or not _feet_play(context, step):
                continue
            told.add(index)
            source = context.the_organ.division(context.the_organ.couplers[index].source).name
            yield Finding(
                rule="coupler-left-on",
                level=Level.ADVICE,
                message=say(
                    "the coupler from the {division} to the Pedal is still on, and no hand plays the {division}",
                    division=source,
                ),
                why=say("the feet sound its stops, louder than what the hands play now"),
                at=step.at,
                staff=step.staff,
                marking=step.markings[0] if step.markings else None,
                cause=f"left-on:{index}",
            )
        before = step.registration


def _left_on(context: Context, step: Step, before: Registration) -> list[int]:
    """Couplers to the pedal from a manual that the hands have just left for a softer one."""
    organ, now = context.the_organ, step.registration
    feet = now.hand("feet")
    hands = {d for h in _HANDS if (d := now.hand(h)) is not None}
    were = {d for h in _HANDS if (d := before.hand(h)) is not None}
    if feet is None or not hands or step.at.nth > 1:
        return []
    reached = {way.division for d in hands for way in ways(organ, now, d)}
    heard = max((strength([s for _, s in reachable_stops(organ, now, d)]) for d in hands), default=0)
    found = []
    for index in sorted(now.couplers & before.couplers):
        coupler = organ.couplers[index]
        if coupler.target != feet or coupler.source not in were or coupler.source in reached:
            continue
        if strength(_own(organ, now, coupler.source)) > heard:
            found.append(index)
    return found


@rule("coupled-louder-than-drawn", level=Level.ADVICE)
def coupled_louder_than_drawn(context: Context) -> Iterator[Finding]:
    """A manual is given soft stops while a coupler still brings it much louder ones.

    What: A division that a hand plays is drawn anew, clearly softer than what is still coupled to it.
    Why: The coupled stops cover the new ones; most often "off" was forgotten.
    Example: "Gt. Dulciana" while "Full Sw." is still coupled to the Great.
    Remedy: Write the coupler off there, or reduce what is coupled.
    """
    organ = context.the_organ
    before = Registration()
    for step in context.steps:
        drawn = {context.keyboards.answers.get(i.division or "") for i in step.instructions if i.action is Action.DRAW}
        played = {step.registration.hand(hand) for hand in _HANDS}
        coupling = any(i.action in (Action.COUPLE, Action.UNCOUPLE) for i in step.instructions)
        for index in sorted(before.couplers & step.registration.couplers):
            coupler = organ.couplers[index]
            target, source = coupler.target, coupler.source
            if coupling or step.at.nth > 1 or target not in drawn & played or source in drawn | played:
                continue
            soft = strength(_own(organ, step.registration, target))
            if strength(_own(organ, step.registration, source)) < soft + _CLEARLY:
                continue
            yield Finding(
                rule="coupled-louder-than-drawn",
                level=Level.ADVICE,
                message=say(
                    "the coupler from the {source} to the {target} is still on and covers the stops drawn here",
                    source=organ.division(source).name,
                    target=organ.division(target).name,
                ),
                why=say("what is coupled is much louder than what is drawn"),
                at=step.at,
                staff=step.staff,
                marking=step.markings[0] if step.markings else None,
                cause=f"left-on:{index}",
            )
        before = step.registration


def _own(organ: Organ, registration: Registration, division: str) -> list[Stop]:
    return [organ.stop(s) for s in registration.drawn if organ.division_of(s).id == division]


def _feet_play(context: Context, step: Step) -> bool:
    onset = int(step.at.onset * context.score.ticks)
    bar: Ticks = context.score.bars[step.at.bar].length
    return bool(context.lines["feet"].between(onset, onset + 2 * bar))
