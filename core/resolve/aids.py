"""Tremulants, boxes, cancel, pistons, the crescendo pedal: one instruction at a time."""

from __future__ import annotations

from dataclasses import replace

from core.findings import Level
from core.markings.model import Action, Instruction
from core.organ.model import AidKind, Division, Organ, Role
from core.resolve.desk import Work, answer_of, tell_missing_division
from core.resolve.model import Sure
from core.texts import say


def tremulant(work: Work, instruction: Instruction) -> None:
    """A division's tremulant on or off; else the whole organ's."""
    wanted, where = _tremulants(work, instruction)
    on = instruction.action is Action.TREMULANT_ON
    if not on:
        chosen = wanted or (set(work.registration.tremulants) if instruction.division is None else set())
        work.registration = replace(work.registration, tremulants=work.registration.tremulants - chosen)
        work.say("tremulant off", where, (), say("the tremulant stops"))
        return
    if not wanted:
        name = work.organ.division(where).name if where else work.organ.name
        work.find(
            "missing-tremulant",
            Level.ERROR,
            say("{division} has no tremulant", division=name),
            say("the stops sound without it"),
            division=where,
            cause="tremulant",
        )
        work.say("tremulant", where, (), say("there is none to draw"))
        return
    work.registration = replace(work.registration, tremulants=work.registration.tremulants | wanted)
    whole = None in wanted and where is not None
    why = say("the tremulant of the whole organ: there is none of its own") if whole else say("the tremulant there")
    work.say("tremulant", where, (), why)


def _tremulants(work: Work, instruction: Instruction) -> tuple[set[str | None], str | None]:
    have = {t.division for t in work.organ.tremulants}
    pedal = work.organ.pedal.id if work.organ.pedal else None
    if pedal in have:
        # Pedals have no tremulant of their own: one listed after the pedal's stops is the whole organ's.
        have = (have - {pedal}) | {None}
    if instruction.division is not None:
        division, stand_in = answer_of(work, instruction.division)
        if division is None or stand_in:
            tell_missing_division(work, instruction.division, division)
        where = work.current if stand_in and work.current else division.id if division else None
    else:
        where = work.current or work.staff_division
    if where in have and where is not None:
        return {where}, where
    if None in have:
        return {None}, where
    if instruction.division is None and where is None and have:
        playing = {work.organ.division_of(s).id for s in work.registration.drawn}
        swell = {d.id for d in work.organ.divisions if d.role == Role.SWELL}
        likely = min(have, key=lambda d: (d not in playing, d not in swell, d or ""))
        return {likely}, likely
    playing_there = [d for _, d in work.registration.hands if d in have and d is not None]
    if instruction.division is None and work.current is None and playing_there:
        return {playing_there[0]}, playing_there[0]  # the other hand's manual has the tremulant
    return set(), where


def box(work: Work, instruction: Instruction) -> None:
    """A swell box; one that the organ has not is a finding."""
    state = instruction.box or "open"
    divisions: list[Division]
    if instruction.division is not None:
        division, _ = answer_of(work, instruction.division)
        divisions = [division] if division else []
    else:
        mine = work.organ.division(work.staff_division) if work.staff_division else None
        boxed = [d for d in work.organ.manuals if d.enclosed]
        divisions = [mine] if mine is not None and mine.enclosed else boxed
    boxes = dict(work.registration.boxes)
    for division in divisions:
        if _stands_open(work.organ, division):
            continue
        boxes[division.id] = state
        work.say(f"box {state}", division.id, (), say("the {division}'s box", division=division.name))
    if not divisions or all(_stands_open(work.organ, d) for d in divisions):
        work.find(
            "no-box",
            Level.WARNING,
            say("box {state}: this stands in no box here", state=say(state)),
            say("the loudness stays as it is; only other stops change it"),
            cause="box",
        )
    work.registration = replace(work.registration, boxes=tuple(boxes.items()))


def _stands_open(organ: Organ, division: Division) -> bool:
    """Whether a division has no box: as said, or by custom where others are said to be enclosed (from memory)."""
    if division.enclosed is not None or any(s.enclosed for s in division.stops):
        return division.enclosed is False
    by_custom = division.role in (Role.GREAT, Role.PEDAL, Role.BOMBARDE)
    return by_custom and any(d.enclosed for d in organ.divisions)


def cancel(work: Work, instruction: Instruction) -> None:
    """All off, or all of one division."""
    division = answer_of(work, instruction.division)[0] if instruction.division else None
    if division is None:
        permanent = frozenset(i for i in work.registration.couplers if work.organ.couplers[i].permanent)
        work.registration = replace(
            work.registration, drawn=(), prepared=(), couplers=permanent, tremulants=frozenset()
        )
        work.say("cancel", None, (), say("all stops, couplers and tremulants go in"))
        return
    here = {s.id for s in division.stops}
    work.registration = replace(
        work.registration,
        drawn=tuple(s for s in work.registration.drawn if s not in here),
        prepared=tuple(s for s in work.registration.prepared if s not in here),
        tremulants=work.registration.tremulants - {division.id},
    )
    work.say("cancel", division.id, (), say("all of the {division} goes in", division=division.name))


def piston(work: Work, instruction: Instruction) -> None:
    """A piston: what it is set to nobody has said."""
    number = instruction.number or ""
    name = f"piston {number}".strip()
    work.find(
        "piston-not-known",
        Level.ADVICE,
        say("{piston}: what it is set to is not known", piston=name),
        say("a setting belongs to one organ and one player; write the stops out, or say what it draws"),
        cause=name,
    )
    work.say(name, None, (), say("what it draws is not known, so nothing changes"), sure=Sure.GUESS)


def crescendo_pedal(work: Work, instruction: Instruction) -> None:
    """The crescendo pedal or Walze: it moves no knob."""
    has = any(aid.kind is AidKind.CRESCENDO for aid in work.organ.aids)
    if not has and instruction.to != "off":
        work.find(
            "missing-aid",
            Level.WARNING,
            say("this organ's specification names no crescendo pedal"),
            say("its steps must be drawn by hand, or by pistons"),
            cause="crescendo-pedal",
        )
    work.say("crescendo pedal", None, (), say("it adds stops without moving a knob; its order is the builder's"))
