"""Stops that go in: take off, without, reduce, one instruction at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.findings import Level
from core.markings.model import Action, Instruction, StopRequest
from core.organ.model import Division, Role
from core.resolve.candidates import asked_as, labels, request_label
from core.resolve.desk import Work, answer_of, tell_missing_division
from core.resolve.drawing import draw, excepted
from core.resolve.matching import matching
from core.resolve.model import Sure
from core.resolve.traits import REEDS, Sort, Voice, voices
from core.texts import say

_WITHOUT_FEET = ("senza", "ohne", "sans", "without", "manual", "sin pedal", "zonder")


def take_off(work: Work, instruction: Instruction) -> None:
    """Stops go off, in the division named, else wherever they are drawn, the hand's division first."""
    divisions = _divisions_to_clear(work, instruction)
    if not instruction.stops:
        _clear(work, instruction, divisions)
        return
    for request in instruction.stops:
        hits: list[Voice] = []
        for division in divisions:
            mine = [v for v in voices(work.organ, division) if v.id in work.registration.drawn]
            hits += matching(request, mine, work.desk(division))
            if hits and work.staff_division == division.id and instruction.division is None:
                break
        kept = [v for v in hits if not _is_excepted(work, instruction, v)]
        instead = [] if kept else _standing_for(work, request, divisions)
        _take(work, request, kept or instead, divisions, instruction, stood_for=bool(instead))


def _standing_for(work: Work, request: StopRequest, divisions: Sequence[Division]) -> list[Voice]:
    """The stops that are on in place of what is to go off, which this organ has not."""
    asked = asked_as(request)
    ids = {stop for what, stop in work.registration.stands_for if what == asked}
    on = ids & {*work.registration.drawn, *work.registration.prepared}
    return [v for division in divisions for v in voices(work.organ, division) if v.id in on]


def _take(
    work: Work,
    request: StopRequest,
    hits: Sequence[Voice],
    divisions: Sequence[Division],
    instruction: Instruction,
    *,
    stood_for: bool = False,
) -> None:
    label = request_label(request)
    if hits:
        off(work, [v.id for v in hits])
        template = "{stops}: put in, for it stood for the {request}" if stood_for else "{stops}: put in"
        why = say(template, stops=labels(hits), request=request.name or label)
        work.say(f"{label} off", hits[0].division.id, (), why)
        return
    where = divisions[0] if len(divisions) == 1 else None
    if not instruction.optional:
        work.find(
            "not-drawn",
            Level.WARNING,
            say("{request} is to go off, but it is not drawn", request=label),
            say("either a stop was to be drawn before, or the marking says what must not be on anyway"),
            division=where.id if where else None,
            cause=label,
        )
    work.say(f"{label} off", where.id if where else None, (), say("nothing of it is drawn, so nothing goes in"))


def _is_excepted(work: Work, instruction: Instruction, voice: Voice) -> bool:
    return voice in excepted(work, instruction, voice.division)


def _divisions_to_clear(work: Work, instruction: Instruction) -> list[Division]:
    if instruction.division is not None:
        division, stand_in = answer_of(work, instruction.division)
        if division is None or stand_in:
            tell_missing_division(work, instruction.division, division)
        return [division] if division else []
    staff = work.staff_division
    return sorted(work.organ.divisions, key=lambda d: (d.id != work.current, d.id != staff))


def _clear(work: Work, instruction: Instruction, divisions: Sequence[Division]) -> None:
    """All of a division off; "senza Pedale" only rests the feet."""
    if instruction.division is None:
        return
    for division in divisions:
        if division.role == Role.PEDAL and any(w in work.text.casefold() for w in _WITHOUT_FEET):
            work.say("without pedal", division.id, (), say("the feet rest; no stop need go in"))
            continue
        gone = work.drawn_in(division.id)
        off(work, gone)
        work.say(
            f"{division.name} off",
            division.id,
            (),
            say("all of the {division} goes in", division=division.name),
        )


def reduce(work: Work, instruction: Instruction) -> None:
    """Draw what "reduce to" names; alone it puts in the loudest layer: reeds, then mixtures, then 2 ft."""
    if instruction.stops:
        draw(work, replace(instruction, action=Action.DRAW))
        return
    divisions = _divisions_to_clear(work, instruction)
    if instruction.division is None and work.staff_division:
        divisions = [work.organ.division(work.staff_division)]
    for division in divisions:
        mine = [v for v in voices(work.organ, division) if v.id in work.registration.drawn]
        layer = _loudest_layer(mine)
        if layer:
            off(work, [v.id for v in layer])
            work.say("reduce", division.id, (), say("{stops}: the loudest of what is drawn goes in first",
                     stops=labels(layer)), sure=Sure.GUESS)  # fmt: skip


def _loudest_layer(mine: Sequence[Voice]) -> list[Voice]:
    for layer in (
        [v for v in mine if v.sort in REEDS],
        [v for v in mine if v.sort in (Sort.MIXTURE, Sort.COMPOUND)],
        [v for v in mine if v.feet and v.feet <= v.unison / 3],
        [v for v in mine if v.feet == v.unison / 2],
    ):
        if layer and len(layer) < len(mine):
            return layer
    return []


def off(work: Work, stops: Sequence[str]) -> None:
    """Stops go off."""
    gone = set(stops)
    work.registration = replace(
        work.registration,
        stands_for=tuple(pair for pair in work.registration.stands_for if pair[1] not in gone),
        drawn=tuple(s for s in work.registration.drawn if s not in gone),
        prepared=tuple(s for s in work.registration.prepared if s not in gone),
    )
