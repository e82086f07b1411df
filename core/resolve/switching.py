"""Couplers on and off, one instruction at a time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from core.findings import Level
from core.knowledge.loader import load
from core.markings.model import Action, CouplerRequest, Instruction
from core.organ.model import Division, Role
from core.organ.spelling import coupler_label
from core.resolve.couplers import (
    chief_manual,
    couplers_at,
    find_coupler,
    manual_couplers,
    octave_couplers,
    pedal_couplers,
    unison_off,
    wanted_label,
)
from core.resolve.desk import Work, answer_of, tell_missing_division
from core.resolve.keyboards import named_role, role_name
from core.resolve.model import Sure
from core.resolve.recipes import Recipe
from core.texts import Said, say

_EIGHT = Fraction(8)


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
        work.say(label, target.id, (), say("both are the {division} here", division=target.name),
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
                     say("the organ has no {role}", role=named_role(role)))  # fmt: skip
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
    """Couplers not named ("coupled", "Tirasses", "Claviers séparés"): the context decides which."""
    off = instruction.action is Action.UNCOUPLE
    if instruction.division == Role.PEDAL:
        found = _to_pedal(work, off=off)
        label = "pedal couplers"
    else:
        found = _between_manuals(work, instruction.division, off=off)
        label = "manual couplers"
    if off:
        if instruction.division is None and _means_every_coupler(work.text):
            found, label = [*found, *pedal_couplers(work.organ)], "couplers"
        found = [i for i in found if i in work.registration.couplers]
    if not found:
        _none_of(work, label, off=off)
        return
    names = ", ".join(coupler_label(work.organ, work.organ.couplers[i]) for i in found)
    why = say("{couplers}: customary where the marking names none", couplers=names)
    _switch(work, instruction, found, label, why, sure=Sure.CUSTOMARY)


def _means_every_coupler(text: str) -> bool:
    """Whether words speak of the couplers at large ("couplers off"), not of those between manuals."""
    words = text.casefold().split()
    return (
        any(word.strip(".,;:") in load("couplers")["every-coupler"] for word in words)
        and "manual" not in text.casefold()
    )


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
    drawn = dict.fromkeys(work.organ.division_of(s).id for s in work.registration.drawn)
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
        positive = [i for i in into if work.organ.division(work.organ.couplers[i].source).role == Role.POSITIVE]
        into = positive or into
    if into:
        return into
    return [] if role is None else [
        i for i in manual_couplers(work.organ) if work.organ.couplers[i].source == target.id
    ][:1]  # fmt: skip


def _octave_of_hand(work: Work, instruction: Instruction, asked: CouplerRequest) -> None:
    """An octave coupler without a keyboard: that of the hand's division, else the only one."""
    label = {4: "Octave Coupler", 16: "Sub Octave Coupler"}.get(int(asked.pitch), "coupler")
    mine = work.staff_division or work.current
    found = octave_couplers(work.organ, asked.pitch, mine) if mine else []
    if not found:
        every = octave_couplers(work.organ, asked.pitch, None) or couplers_at(work.organ, asked.pitch)
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
