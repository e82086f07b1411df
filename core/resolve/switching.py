"""Couplers, tremulants, boxes, aids: what is on or off, one instruction at a time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from fractions import Fraction

from core.findings import Level
from core.markings.model import Action, CouplerRequest, Instruction
from core.organ.model import AidKind, Division, Role
from core.organ.spelling import coupler_label
from core.resolve.couplers import (
    chief_manual,
    find_coupler,
    manual_couplers,
    octave_couplers,
    pedal_couplers,
    unison_off,
    wanted_label,
)
from core.resolve.desk import Work, answer_of, tell_missing_division
from core.resolve.keyboards import role_name
from core.resolve.model import Sure
from core.resolve.recipes import Recipe
from core.texts import Said, say


def couple(work: Work, instruction: Instruction) -> None:
    """Couplers on or off; one the organ lacks is a finding."""
    if instruction.coupler is None:
        _customary(work, instruction)
        return
    asked = instruction.coupler
    if asked.source is None or asked.target is None:
        _octave_of_hand(work, instruction, asked)
        return
    ends = _ends(work, asked)
    if ends is None:
        return
    source, target, stand_in = ends
    label = wanted_label(source.name, target.name, asked.pitch)
    if source.id == target.id and asked.source != asked.target:
        work.say(label, target.id, (), say("both are the {division} here: nothing to couple", division=target.name),
                 substitute=True)  # fmt: skip
        return
    found = find_coupler(work.organ, source.id, target.id, asked.pitch)
    if not found:
        _missing(work, label, source, target, off=instruction.action is Action.UNCOUPLE)
        return
    _switch(
        work,
        instruction,
        found,
        label,
        say("{coupler}: the coupler named", coupler=label),
        substitute=stand_in,
    )


def _ends(work: Work, asked: CouplerRequest) -> tuple[Division, Division, bool] | None:
    ends = []
    stands_in = False
    for role in (asked.source, asked.target):
        assert role is not None
        division, stand_in = answer_of(work, role)
        if division is None or stand_in:
            tell_missing_division(work, role, division)
        if division is None:
            work.say(f"{role_name(asked.source or '')} to {role_name(asked.target or '')}", None, (),
                     say("the organ has no {role}", role=role_name(role)))  # fmt: skip
            return None
        stands_in = stands_in or stand_in
        ends.append(division)
    return ends[0], ends[1], stands_in


def _missing(work: Work, label: str, source: Division, target: Division, *, off: bool) -> None:
    if off:
        work.say(f"{label} off", target.id, (), say("the organ has no such coupler, so none is on"))
        return
    work.find(
        "missing-coupler",
        Level.ERROR,
        say("{coupler} is not on this organ", coupler=label),
        _way_round(work, source, target),
        division=target.id,
        cause=f"coupler:{label}",
    )
    work.say(label, target.id, (), say("the organ has no such coupler; nothing is coupled"))


def _way_round(work: Work, source: Division, target: Division) -> Said:
    """Whether another coupler leads there by way of a third keyboard."""
    for middle in work.organ.manuals:
        first = find_coupler(work.organ, source.id, middle.id, _EIGHT)
        second = find_coupler(work.organ, middle.id, target.id, _EIGHT)
        if first and second and work.organ.couplers_carry_on is not False:
            return say(
                "{first} with {second} leads there where couplers carry on into one another",
                first=coupler_label(work.organ, work.organ.couplers[first[0]]),
                second=coupler_label(work.organ, work.organ.couplers[second[0]]),
            )
    return say("the {source} cannot be brought to the {target}", source=source.name, target=target.name)


def _switch(
    work: Work,
    instruction: Instruction,
    found: Iterable[int],
    label: str,
    why: Said,
    *,
    substitute: bool = False,
    sure: Sure = Sure.STATED,
) -> None:
    indexes = set(found)
    before = work.registration.couplers
    if instruction.action is Action.UNCOUPLE:
        permanent = {i for i in indexes if work.organ.couplers[i].permanent}
        after = before - (indexes - permanent)
        label = f"{label} off"
        if not indexes & before:
            work.find(
                "not-drawn",
                Level.ADVICE,
                say("{coupler} is to go off, but it is not on", coupler=label.removesuffix(" off")),
                say("either it was to be on before, or the marking only makes sure"),
                cause=label,
            )
    else:
        after = before | indexes
    work.registration = replace(work.registration, couplers=frozenset(after))
    work.say(label, None, (), why, substitute=substitute, sure=sure)


def _customary(work: Work, instruction: Instruction) -> None:
    """ "Coupled", "Tirasses", "Claviers séparés": the context decides which."""
    off = instruction.action is Action.UNCOUPLE
    if instruction.division == Role.PEDAL:
        found = _to_pedal(work, off=off)
        label = "pedal couplers"
    else:
        found = _between_manuals(work, instruction.division, off=off)
        label = "manual couplers"
    if off:
        found = [i for i in found if i in work.registration.couplers]
    if not found:
        _none_of(work, label, off=off)
        return
    names = ", ".join(coupler_label(work.organ, work.organ.couplers[i]) for i in found)
    why = say("{couplers}: customary where the marking names none", couplers=names)
    _switch(work, instruction, found, label, why, sure=Sure.CUSTOMARY)


def _none_of(work: Work, label: str, *, off: bool) -> None:
    if off:
        work.say(f"{label} off", None, (), say("none is on"))
        return
    work.find(
        "missing-coupler",
        Level.ERROR,
        say("the organ has no {couplers}", couplers=label),
        say("what should sound together cannot be brought to one keyboard"),
        cause=f"coupler:{label}",
    )
    work.say(label, None, (), say("the organ has none"))


def _to_pedal(work: Work, *, off: bool) -> list[int]:
    every = pedal_couplers(work.organ)
    if off:
        return every
    if "tirasses" in work.text.casefold():
        return every
    drawn = {work.organ.division_of(s).id for s in work.registration.drawn}
    chief = chief_manual(work.organ)
    wanted = [work.staff_division, chief.id if chief else None, *drawn]
    for division in wanted:
        found = [i for i in every if work.organ.couplers[i].source == division]
        if found:
            return found
    return every[:1]


def _between_manuals(work: Work, role: str | None, *, off: bool) -> list[int]:
    if off:
        return manual_couplers(work.organ)
    target = answer_of(work, role)[0] if role else chief_manual(work.organ)
    if target is None:
        return []
    into = manual_couplers(work.organ, [target.id])
    if work.tradition == "french-classical":
        positive = [
            i for i in into if work.organ.division(work.organ.couplers[i].source).role == Role.POSITIVE
        ]
        into = positive or into
    if into:
        return into
    return [] if role is None else [
        i for i in manual_couplers(work.organ) if work.organ.couplers[i].source == target.id
    ][:1]  # fmt: skip


def _octave_of_hand(work: Work, instruction: Instruction, asked: CouplerRequest) -> None:
    """ "Sub Octave" without a keyboard: that of the hand's division, else the only one."""
    label = {4: "Octave Coupler", 16: "Sub Octave Coupler"}.get(int(asked.pitch), "coupler")
    mine = work.staff_division or work.current
    found = octave_couplers(work.organ, asked.pitch, mine) if mine else []
    if not found:
        every = octave_couplers(work.organ, asked.pitch, None)
        sources = {work.organ.couplers[i].source for i in every}
        found = every if len(sources) == 1 else every[:1]
    if not found:
        work.find(
            "missing-coupler",
            Level.ERROR,
            say("the organ has no {coupler}", coupler=label),
            say("play the notes an octave off, or leave it"),
            cause=f"coupler:{label}",
        )
        work.say(label, None, (), say("the organ has none"))
        return
    name = coupler_label(work.organ, work.organ.couplers[found[0]])
    _switch(work, instruction, found, name, say("{coupler}: the octave coupler at hand", coupler=name))


def silence_unison(work: Work, instruction: Instruction) -> None:
    """Unison off of a division."""
    division = answer_of(work, instruction.division)[0] if instruction.division else None
    wanted = division.id if division else work.staff_division or work.current
    found = unison_off(work.organ, wanted)
    if not found:
        name = work.organ.division(wanted).name if wanted else "organ"
        work.find(
            "missing-coupler",
            Level.ERROR,
            say("the {division} has no Unison Off", division=name),
            say("its unison sounds on beside the octave couplers"),
            division=wanted,
            cause="coupler:unison-off",
        )
        work.say("unison off", wanted, (), say("the organ has none"))
        return
    work.registration = replace(work.registration, couplers=work.registration.couplers | set(found))
    work.say("unison off", wanted, (), say("the unison of the keyboard is silent"))


def couple_by_recipe(work: Work, found: Recipe) -> None:
    """The couplers that custom brings with a recipe; those the organ lacks are not missed."""
    if isinstance(found.couple, str):
        chief = chief_manual(work.organ)
        pedal = [i for i in pedal_couplers(work.organ)]
        indexes = [*manual_couplers(work.organ, [chief.id] if chief else None), *pedal]
    else:
        indexes = []
        for source, target in found.couple:
            a, b = work.organ.with_role(source), work.organ.with_role(target)
            if a is not None and b is not None:
                indexes += find_coupler(work.organ, a.id, b.id, _EIGHT)
    new = [i for i in indexes if i not in work.registration.couplers]
    if not new:
        return
    work.registration = replace(work.registration, couplers=work.registration.couplers | set(new))
    names = ", ".join(coupler_label(work.organ, work.organ.couplers[i]) for i in new)
    work.say(
        "couplers",
        None,
        (),
        say("{couplers}: custom brings them with it", couplers=names),
        sure=Sure.CUSTOMARY,
    )


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
    why = (
        say("the tremulant of the whole organ: there is none of its own")
        if whole
        else say("the tremulant there")
    )
    work.say("tremulant", where, (), why)


def _tremulants(work: Work, instruction: Instruction) -> tuple[set[str | None], str | None]:
    have = {t.division for t in work.organ.tremulants}
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
    if instruction.division is None and where is None and len(have) == 1:
        return set(have), next(iter(have))
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
        if division.enclosed is False:
            continue
        boxes[division.id] = state
        work.say(f"box {state}", division.id, (), say("the {division}'s box", division=division.name))
    if not divisions or all(d.enclosed is False for d in divisions):
        work.find(
            "no-box",
            Level.WARNING,
            say("box {state}: this stands in no box here", state=state),
            say("the loudness stays as it is; only other stops change it"),
            cause="box",
        )
    work.registration = replace(work.registration, boxes=tuple(boxes.items()))


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
        say(
            "a setting belongs to one organ and one player; write the stops out, or note what the piston draws"
        ),
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
    work.say(
        "crescendo pedal", None, (), say("it adds stops without moving a knob; its order is the builder's")
    )


_EIGHT = Fraction(8)
