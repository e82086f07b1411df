"""Answer one marking on an organ: a pure fold of its instructions over the registration before.

What a marking draws depends on nothing but its instructions, the organ, the keyboards and what was on.
Hands are not moved here (``play``, ``solo``): `core.resolve.playthrough` does that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import chain

from core.markings.model import Action, Instruction
from core.organ.model import Organ, Role
from core.position import Position
from core.resolve import aids, drawing, retiring, switching
from core.resolve.accessories import settled
from core.resolve.desk import Work
from core.resolve.model import Keyboards, Registration, Resolution
from core.resolve.suiting import suiting_pedal
from core.resolve.traditions import tradition_of, usage_language
from core.resolve.traits import REEDS, voice
from core.score.model import MarkingId

_DOES: dict[Action, Callable[[Work, Instruction], None]] = {
    Action.DRAW: drawing.draw,
    Action.ADD: drawing.draw,
    Action.TAKE_OFF: retiring.take_off,
    Action.PREPARE: drawing.prepare,
    Action.FULL: drawing.full,
    Action.REDUCE: retiring.reduce,
    Action.COUPLE: switching.couple,
    Action.UNCOUPLE: switching.couple,
    Action.UNISON_OFF: switching.silence_unison,
    Action.TREMULANT_ON: aids.tremulant,
    Action.TREMULANT_OFF: aids.tremulant,
    Action.BOX: aids.box,
    Action.CANCEL: aids.cancel,
    Action.PISTON: aids.piston,
    Action.CRESCENDO_PEDAL: aids.crescendo_pedal,
}


def resolve(
    instructions: tuple[Instruction, ...],
    organ: Organ,
    before: Registration,
    *,
    keyboards: Keyboards,
    staff_division: str | None = None,
    language: str | None = None,
    pins: Mapping[str, tuple[str, ...]] | None = None,
    nth: int = 1,
    marking: MarkingId | None = None,
    at: Position | None = None,
    staff: int | None = None,
    text: str = "",
    all_coupled: bool = False,
    tradition: str | None = None,
) -> Resolution:
    """What one marking does: the registration after it, with reasons and findings.

    Args:
        instructions: the marking's, in order.
        organ: the organ.
        before: what is on before it.
        keyboards: which division answers each of the piece's.
        staff_division: id of the division where the hand of the marking's staff is.
        language: of the marking; decides whose usage holds.
        pins: the player's own choices, request to stop ids.
        nth: which time through.
        marking: its id, for findings.
        at: its place, for findings.
        staff: its staff, for findings.
        text: as printed.
        all_coupled: a marking beside it couples all manuals ("Claviers accouplés").
        tradition: whose custom holds, as the user says; None: by language and organ.
    """
    work = Work(
        organ=organ,
        keyboards=keyboards,
        tradition=tradition or tradition_of(organ, usage_language(text, language)),
        language=language,
        staff_division=staff_division,
        pins=pins or {},
        registration=before,
        text=text,
        marking=marking,
        at=at,
        staff=staff,
        all_coupled=all_coupled,
    )
    for instruction in chain.from_iterable(settled(work, one, instructions) for one in instructions):
        if instruction.passes is None or nth in instruction.passes:
            _carry_out(work, instruction)
    work.registration = _with_what_is_on(work.registration)
    return Resolution(registration=work.registration, because=tuple(work.because), findings=tuple(work.findings))


def _carry_out(work: Work, instruction: Instruction) -> None:
    if instruction.action is Action.PLAY and instruction.division == Role.PEDAL:
        instruction = suiting_pedal(work, instruction) or instruction
    does = _DOES.get(instruction.action)
    if does is not None:
        does(work, instruction)
    elif instruction.action is Action.CRESCENDO and instruction.stops:
        drawing.draw(work, replace(instruction, action=Action.ADD))


def _with_what_is_on(registration: Registration) -> Registration:
    """The registration without stand-ins that are on no longer."""
    on = {*registration.drawn, *registration.prepared}
    kept = tuple(pair for pair in registration.stands_for if pair[1] in on)
    return replace(registration, stands_for=kept)


def call_prepared(organ: Organ, registration: Registration, division: str | None = None) -> Registration:
    """What was prepared sounds: all of it, or that of one division, as when a hand goes there.

    Reeds prepared beside flues come to what is on; any other preparation is the division's registration.
    """
    ready = [s for s in registration.prepared if division in (None, organ.division_of(s).id)]
    if not ready:
        return registration
    drawn = list(registration.drawn)
    for home in dict.fromkeys(organ.division_of(s).id for s in ready):
        mine = [s for s in ready if organ.division_of(s).id == home]
        reeds = all(voice(organ.stop(s), organ.division(home)).sort in REEDS or organ.stop(s).on_ventil for s in mine)
        if not reeds:
            drawn = [s for s in drawn if organ.division_of(s).id != home]
        drawn += [s for s in mine if s not in drawn]
    return replace(registration, drawn=tuple(drawn), prepared=tuple(s for s in registration.prepared if s not in ready))
