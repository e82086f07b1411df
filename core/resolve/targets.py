"""Which divisions an instruction without one is for: the hand's, else the only one that can, else a guess."""

from __future__ import annotations

from collections.abc import Sequence

from core.findings import Level
from core.knowledge.loader import load
from core.markings.model import Instruction, StopRequest
from core.organ.model import Division, Role
from core.resolve.choosing import choose
from core.resolve.couplers import chief_manual
from core.resolve.desk import Work, answer_of, half_of, worst
from core.resolve.names import wanted_kind
from core.resolve.recipes import Recipe, lacking, part_of, recipe_of
from core.resolve.traits import voices
from core.texts import say

_GOOD = 3
_FAIR = 25
_MUCH = 4


def of_recipe(work: Work, found: Recipe) -> list[tuple[Division, bool]]:
    """The divisions that a recipe without a division is drawn on, with whether it is named for them."""
    if found.scope == "organ":
        return [(d, True) for d in work.organ.divisions if d.stops and d.role != Role.ECHO]
    if found.scope == "one":
        homes = [answer_of(work, role)[0] for role in found.home]
        present = [d for d in homes if d is not None] or list(work.organ.manuals[:1])
        staff = _staff(work)
        return [(staff or _whole_home(found, present, work), True)]
    chief = chief_manual(work.organ)
    divisions = [(chief, True)] if chief else []
    for role in found.parts:
        own = work.organ.with_role(role) if role not in ("*", "great") else None
        if own is not None and own is not chief:
            divisions.append((own, False))
    return [(d, named) for d, named in divisions if part_of(found, d.role, named=named)]


def _whole_home(found: Recipe, homes: Sequence[Division], work: Work) -> Division:
    """The first home of a recipe that has all it picks; else any manual that has; else the first home."""
    manuals = [*homes, *(d for d in work.organ.manuals if d not in homes)]
    for division in manuals:
        part = part_of(found, division.role, named=True)
        if part is not None and not lacking(part, voices(work.organ, division)):
            return division
    return homes[0]


def _staff(work: Work) -> Division | None:
    return work.organ.division(work.staff_division) if work.staff_division else None


def guess_division(work: Work, instruction: Instruction, *, adding: bool) -> Division | None:
    """The division for stops without one."""
    requests = instruction.stops
    staff = _staff(work)
    elsewhere = _only_home(work, instruction, staff) if staff is not None and adding else None
    if elsewhere is not None:
        return elsewhere
    if staff is not None and (adding or _quality(work, instruction, staff, adding=adding) <= _GOOD):
        return staff
    ranked = sorted(
        (
            (_quality(work, instruction, d, adding=adding), i, d)
            for i, d in enumerate(_in_order(work, requests, adding))
        ),
        key=lambda row: row[:2],
    )
    if not ranked:
        return None
    best = ranked[0]
    able = [d for quality, _, d in ranked if quality <= _GOOD]
    if len(able) == 1:
        return able[0]
    chosen = staff if staff is not None and best[0] > _GOOD else best[2]
    where = ", ".join(d.name for d in able[:4])
    if able:
        work.find(
            "division-not-stated",
            Level.WARNING,
            say("{text}: no division is named; taken for the {division}", text=work.text or say("the marking"),
                division=chosen.name),
            say("these could answer it: {divisions}", divisions=where),
            division=chosen.id,
            cause="division-not-stated",
        )  # fmt: skip
    return chosen


def _only_home(work: Work, instruction: Instruction, staff: Division) -> Division | None:
    """Where a stop to be added by name stands, if the hand's own division lacks it and one other has it ("+ Tuba")."""
    if not all(r.name for r in instruction.stops) or _quality(work, instruction, staff, adding=True) <= _GOOD:
        return None
    others = [d for d in work.organ.manuals if d is not staff and d.stops]
    having = [d for d in others if _quality(work, instruction, d, adding=True) <= _GOOD]
    return having[0] if len(having) == 1 else None


def _quality(work: Work, instruction: Instruction, division: Division, *, adding: bool = False) -> int:
    choices = [
        choose(request, work.desk(division, half=half_of(instruction, request), adding=adding))
        for request in instruction.stops
        if not (recipe_of(request, work.tradition) and division.role == Role.PEDAL)
    ]
    return worst(choices) if choices else 100


def _in_order(work: Work, requests: Sequence[StopRequest], adding: bool) -> list[Division]:
    """Where one looks first: what is already drawn when adding, then the chief manual, last the pedal."""
    chief = chief_manual(work.organ)
    on = {work.organ.division_of(s).id for s in work.registration.drawn}
    divisions = [d for d in work.organ.divisions if d.stops]

    homes = _homes(work, requests)

    def order(division: Division) -> tuple[bool, bool, int, bool]:
        pedal = division.role == Role.PEDAL
        home = homes.index(division.role) if division.role in homes else len(homes)
        return (adding and division.id not in on, pedal, home, division is not chief)

    return sorted(divisions, key=order)


def _homes(work: Work, requests: Sequence[StopRequest]) -> list[str]:
    """The roles where a stop named is at home: by the words of a title, else by custom."""
    printed = work.text.casefold()
    for words, homes in load("recipes")["title_homes"].items():
        if words in printed and (work.tradition or "").startswith("french"):
            return list(homes)
    for request in requests:
        if not request.name:
            continue
        wanted = wanted_kind(request, pedal=False, language=work.language, tradition=work.tradition)
        for entry in load("recipes")["solo_homes"]:
            if wanted is not None and (wanted.id in entry["kinds"] or wanted.group in entry["kinds"]):
                return list(entry["homes"])
    return []


def nearest_able(work: Work, role_division: Division, instruction: Instruction) -> Division:
    """For a division the organ lacks: its stand-in, or another manual that has the very stop asked for."""
    requests = instruction.stops
    if not requests:
        return role_division
    own = _quality(work, instruction, role_division)
    if own <= _GOOD:
        return role_division
    others = [
        (_quality(work, instruction, d), i, d)
        for i, d in enumerate(work.organ.manuals)
        if d.id != role_division.id and d.stops
    ]
    best = min(others, key=lambda row: row[:2], default=None)
    least = own if own > _FAIR else own - _MUCH
    return best[2] if best is not None and best[0] < least and best[0] <= _FAIR else role_division
