"""Stops drawn: draw, add, prepare, full, one instruction at a time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from core.findings import Finding, Level
from core.knowledge.loader import load
from core.markings.model import Action, Instruction, StopRequest
from core.organ.model import Division, Half, Role
from core.organ.normal import key_of
from core.organ.spelling import stop_label
from core.resolve.candidates import Choice, asked_as, labels, request_label
from core.resolve.chains import up_to
from core.resolve.choosing import by_recipe, choose
from core.resolve.desk import Work, answer_of, half_of, tell_missing_division, worst
from core.resolve.matching import matching
from core.resolve.model import Sure
from core.resolve.names import generic_family
from core.resolve.recipes import FULL_DIVISION, FULL_ORGAN, Recipe, for_a_hand, full_recipe, recipe, recipe_of
from core.resolve.substitutes import celeste_partner
from core.resolve.switching import couple_by_recipe
from core.resolve.targets import guess_division, nearest_able, of_recipe
from core.resolve.traits import FLUES, Sort, Voice, voices
from core.texts import say

_AT_HAND = 3
_FAIR = 18  # a stop of that name at another pitch still is one


def draw(work: Work, instruction: Instruction) -> None:
    """The division's registration becomes this; with ``add`` the stops come to what is on."""
    everywhere = _every_manual(work, instruction)
    if everywhere:
        told = len(work.findings)
        for division in everywhere:
            draw(work, replace(instruction, division=division.role.value))
        _told_of_all(work, told, len(everywhere))
        return
    instruction = _come_to_foundations(work, instruction)
    adding = instruction.action is Action.ADD
    instruction = _first_at_hand(work, instruction, adding=adding)
    if instruction.hand is not None and len(instruction.stops) == 1:
        only = for_a_hand(instruction.stops[0], work.tradition, work.text)
        instruction = replace(instruction, stops=(only,))
    if len(instruction.stops) > 1 and _first_is_plenum(work, instruction):
        draw(work, replace(instruction, stops=instruction.stops[:1]))
        draw(work, replace(instruction, stops=instruction.stops[1:], action=Action.ADD))
        return
    whole = _recipe_without_division(work, instruction)
    if whole is not None and (work.staff_division is None or whole.scope != "one"):
        _draw_recipe(work, whole, instruction, adding)
        return
    found = _division_for(work, instruction, adding=adding)
    if found is None:
        return
    division, stand_in = found
    choices = choices_in(work, instruction, division, adding=adding)
    _apply(work, instruction, division, choices, stand_in=stand_in, adding=adding)


def _every_manual(work: Work, instruction: Instruction) -> list[Division]:
    """The manuals, where words send one list of stops to all of them; else none."""
    if instruction.division is not None:
        return []
    printed = work.text.casefold()
    families = all(r.family and not r.name for r in instruction.stops) and instruction.action is Action.DRAW
    french = (work.tradition or "").startswith("french")
    coupled = work.all_coupled and french and families and not _recipe_without_division(work, instruction)
    if not coupled and not any(words in printed for words in load("recipes")["every_manual"]):
        return []
    return [d for d in work.organ.manuals if d.stops and d.role != Role.ECHO]


def _told_of_all(work: Work, since: int, manuals: int) -> None:
    """Of what was found missing on every manual the first finding; what one of them has is not missing."""
    new = work.findings[since:]
    missing = Counter(f.cause for f in new if f.rule == "missing-stop")
    kept: dict[str, Finding] = {}
    for found in new:
        if found.rule != "missing-stop":
            kept[f"{len(kept)}"] = found
        elif missing[found.cause] >= manuals:
            kept.setdefault(f"missing:{found.cause}", found)
    work.findings[since:] = kept.values()


def _come_to_foundations(work: Work, instruction: Instruction) -> Instruction:
    """French symphonic "R. Anches" calls what stands on the reeds' wind; the foundations that are on stay on."""
    division = answer_of(work, instruction.division)[0] if instruction.division else None
    if instruction.action is not Action.DRAW or division is None or division.id in work.drawn_here:
        return instruction
    called = all(r.family in ("reed", "mixture") and not r.name and not r.qualities for r in instruction.stops)
    if work.tradition != "french-symphonic" or not called or not instruction.stops or instruction.up_to:
        return instruction
    drawn = [v for v in voices(work.organ, division) if v.id in work.registration.drawn]
    return replace(instruction, action=Action.ADD) if any(v.sort in FLUES for v in drawn) else instruction


def remember(work: Work, choice: Choice, kept: Sequence[Voice]) -> None:
    """Note for which request a substitute is on, so that the printed name's "off" retires it."""
    ids = {v.id for v in kept}
    told = [pair for pair in work.registration.stands_for if pair[1] not in ids]
    if choice.asked is not None and choice.missing is not None:
        told += [(asked_as(choice.asked), v.id) for v in kept]
    work.registration = replace(work.registration, stands_for=tuple(told))


def _first_at_hand(work: Work, instruction: Instruction, *, adding: bool) -> Instruction:
    """Of "Solo Tuba or Gt. Reeds" the first that this organ has as it is asked; else the first of all."""
    for one in (instruction, *instruction.alternatives):
        if one.division is None:
            continue
        division, stand_in = answer_of(work, one.division)
        if division is None or stand_in:
            continue
        if worst(_choices(work, one, division, adding=adding)) <= _AT_HAND:
            return replace(one, action=instruction.action, hand=one.hand or instruction.hand)
    return instruction


def _first_is_plenum(work: Work, instruction: Instruction) -> bool:
    """Whether "gran lleno con contras" begins with a recipe over several divisions and goes on with stops."""
    if instruction.division is not None or instruction.up_to or work.staff_division is not None:
        return False
    found = recipe_of(instruction.stops[0], work.tradition)
    return found is not None and found.scope == "plenum"


def _recipe_without_division(work: Work, instruction: Instruction) -> Recipe | None:
    if instruction.division is not None or len(instruction.stops) != 1:
        return None
    found = recipe_of(instruction.stops[0], work.tradition)
    if instruction.stops[0].family == "all":
        found = recipe(FULL_ORGAN, work.tradition)
    if found is None or found.scope == "division":
        return None
    added = instruction.action is Action.ADD and bool(work.registration.drawn)
    return None if added and found.scope == "plenum" else found


def _division_for(work: Work, instruction: Instruction, *, adding: bool) -> tuple[Division, bool] | None:
    if instruction.division is None:
        guessed = guess_division(work, instruction, adding=adding)
        return (guessed, False) if guessed else None
    division, stand_in = answer_of(work, instruction.division)
    if division is None:
        tell_missing_division(work, instruction.division, None)
        for request in instruction.stops:
            work.say(request_label(request), None, (), say("the organ has no such division"))
        return None
    if stand_in:
        division = nearest_able(work, division, instruction)
        tell_missing_division(work, instruction.division, division)
    return division, stand_in


def choices_in(work: Work, instruction: Instruction, division: Division, *, adding: bool) -> list[Choice]:
    """What answers each request of an instruction in a division, its "or" taken where that is at hand."""
    made = _choices(work, instruction, division, adding=adding)
    if worst(made) <= _AT_HAND or not instruction.alternatives:
        return made
    for other in instruction.alternatives:
        if other.division not in (None, instruction.division):
            continue
        second = _choices(work, other, division, adding=adding)
        if second and worst(second) <= _AT_HAND:
            return second
    return made


def _choices(work: Work, instruction: Instruction, division: Division, *, adding: bool) -> list[Choice]:
    made = []
    for request in instruction.stops:
        desk = work.desk(division, half=half_of(instruction, request), adding=adding, companions=instruction.stops)
        choice = up_to(request, desk) if instruction.up_to else choose(request, desk, work.pins)
        made.append(replace(choice, asked=request))
    return _each_its_own(work, instruction, division, made, adding=adding)


def _each_its_own(
    work: Work, instruction: Instruction, division: Division, made: list[Choice], *, adding: bool
) -> list[Choice]:
    """Of "Copel & Flöte" the Flöte is another than the Copel, though that is a flute too."""
    for index, choice in enumerate(made):
        request = choice.asked
        others = frozenset(v.id for k, c in enumerate(made) if k != index for v in c.chosen)
        if request is None or not request.name or generic_family(request.name) is None or instruction.up_to:
            continue
        if not choice.chosen or not all(v.id in others for v in choice.chosen):
            continue
        desk = work.desk(division, half=half_of(instruction, request), adding=adding, companions=instruction.stops)
        desk = replace(desk, taken=others)
        called = [v for v in desk.voices() if key_of(v.stop.name) == key_of(request.name)]
        asked = replace(request, pitches=(called[0].feet,)) if called and called[0].feet else request
        other = choose(asked, desk, work.pins)
        if other.chosen and other.quality <= _FAIR:
            made[index] = replace(other, asked=request, request=request_label(request))
    return made


def _apply(
    work: Work,
    instruction: Instruction,
    division: Division,
    choices: Sequence[Choice],
    *,
    stand_in: bool,
    adding: bool,
) -> None:
    """Put the chosen stops on, with reasons and findings."""
    barred = excepted(work, instruction, division)
    chosen: list[Voice] = []
    for choice in choices:
        kept = [v for v in choice.chosen if v not in barred]
        chosen += [v for v in kept if v not in chosen]
        work.say(
            choice.request,
            division.id,
            (v.id for v in kept),
            choice.why,
            alternatives=(v.id for v in choice.alternatives),
            substitute=choice.substitute or (stand_in and bool(kept)),
            sure=choice.sure,
            octaves=choice.octaves,
        )
        tell_missing(work, choice, division, optional=instruction.optional)
        remember(work, choice, kept)
    chosen += _partners(work, instruction, division, chosen, adding=adding)
    if adding:
        _tell_already_on(work, division, choices, chosen)
        on(work, chosen)
    elif division.id in work.drawn_here:
        on(work, chosen)
    else:
        become(work, division, chosen, _half_drawn(instruction))
    if not adding:
        work.drawn_here.add(division.id)
    work.current = division.id


def _half_drawn(instruction: Instruction) -> Half | None:
    """The half of a divided manual that alone is spoken of."""
    halves = {half_of(instruction, request) for request in instruction.stops}
    return halves.pop() if len(halves) == 1 else None


def _partners(
    work: Work, instruction: Instruction, division: Division, chosen: list[Voice], *, adding: bool
) -> list[Voice]:
    """The unison stop a celeste needs beside it."""
    celestes = [v for v in chosen if v.sort is Sort.CELESTE]
    alone = any("alone" in request.qualities for request in instruction.stops)
    if not celestes or alone or instruction.up_to:
        return []
    on_before = [v for v in voices(work.organ, division) if adding and v.id in work.registration.drawn]
    desk = work.desk(division, half=_half_drawn(instruction))
    partners = celeste_partner(celestes, [*chosen, *on_before], desk)
    for partner in partners:
        work.say(
            stop_label(partner.stop),
            division.id,
            (partner.id,),
            say("{stop}: {celeste} beats only against a stop in tune", stop=stop_label(partner.stop),
                celeste=labels(celestes)),
            sure=Sure.CUSTOMARY,
        )  # fmt: skip
    return partners


def excepted(work: Work, instruction: Instruction, division: Division) -> list[Voice]:
    """The stops of a division that an instruction leaves out."""
    desk = work.desk(division)
    here = voices(work.organ, division)
    return [v for request in instruction.exceptions for v in matching(request, here, desk)]


def tell_missing(work: Work, choice: Choice, division: Division, *, optional: bool = False) -> None:
    """A finding for what cannot be had; none for what was only asked for if present."""
    if choice.missing is None or optional:
        return
    if choice.chosen:
        why = say("something else is drawn in its place; choose another or write it out")
        work.find("missing-stop", Level.WARNING, choice.missing, why, division=division.id, cause=choice.request)
        return
    why = say("nothing in this division comes near enough; what is on stays on")
    work.find("missing-stop", Level.ERROR, choice.missing, why, division=division.id, cause=choice.request)


def _tell_already_on(work: Work, division: Division, choices: Sequence[Choice], chosen: Sequence[Voice]) -> None:
    if not chosen or division.id in work.drawn_here or not all(v.id in work.registration.drawn for v in chosen):
        return
    request = ", ".join(c.request for c in choices)
    work.find(
        "already-drawn",
        Level.ADVICE,
        say("{request} is to be added on the {division}, but it is drawn already", request=request,
            division=division.name),
        say("either a stop was to go off before, or the marking only reminds"),
        division=division.id,
        cause=request,
    )  # fmt: skip


def on(work: Work, chosen: Sequence[Voice]) -> None:
    """Stops come to what is on; what was prepared among them is so no longer."""
    before = work.registration.drawn
    new = [v.id for v in chosen if v.id not in before]
    prepared = tuple(s for s in work.registration.prepared if s not in new)
    work.registration = replace(work.registration, drawn=(*before, *dict.fromkeys(new)), prepared=prepared)


def become(work: Work, division: Division, chosen: Sequence[Voice], half: Half | None = None) -> None:
    """A division's registration becomes these stops; of one half alone, the other half stays as it is."""
    keep = {v.id for v in chosen}
    halves = half is not None and any(v.stop.half is half for v in chosen)
    here = {s.id for s in division.stops if not halves or s.half in (None, half)}
    gone = [s for s in work.registration.drawn if s in here and s not in keep]
    work.registration = replace(work.registration, drawn=tuple(s for s in work.registration.drawn if s not in gone))
    on(work, chosen)


def _draw_recipe(work: Work, found: Recipe, instruction: Instruction, adding: bool) -> None:
    """A recipe over several divisions (plein jeu, full organ), with the couplers that custom brings."""
    label = request_label(instruction.stops[0]) if instruction.stops else _full_label(instruction)
    for division, named in of_recipe(work, found):
        desk = work.desk(division, adding=adding)
        choice = by_recipe(found, label, desk, named=named)
        if not choice.chosen:
            if named and found.scope != "organ":
                tell_missing(work, choice, division, optional=instruction.optional)
            continue
        if not named:  # it only joins the chief division, which has the chorus
            choice = replace(choice, missing=None)
        _apply(work, replace(instruction, stops=()), division, [choice], stand_in=False, adding=adding)
    couple_by_recipe(work, found)


def _full_label(instruction: Instruction) -> str:
    return "full organ" if instruction.division is None else "full"


def full(work: Work, instruction: Instruction) -> None:
    """Full division, or with none named full organ; a plenum where the marking says so."""
    if instruction.up_to and instruction.stops:
        draw(work, replace(instruction, action=Action.DRAW))
        return
    plenum = next((r for r in instruction.stops if recipe_of(r, work.tradition)), None)
    extra = tuple(r for r in instruction.stops if r is not plenum)
    if instruction.division is None:
        found = recipe_of(plenum, work.tradition) if plenum else full_recipe(work.tradition, work.text)
        assert found is not None
        _draw_recipe(work, found, instruction, adding=False)
    else:
        _full_division(work, instruction, plenum)
    if extra and instruction.division is not None:
        draw(work, replace(instruction, action=Action.ADD, stops=extra))


def _full_division(work: Work, instruction: Instruction, plenum: StopRequest | None) -> None:
    assert instruction.division is not None
    division, stand_in = answer_of(work, instruction.division)
    if division is None or stand_in:
        tell_missing_division(work, instruction.division, division)
    if division is None:
        return
    found = recipe_of(plenum, work.tradition) if plenum else recipe(FULL_DIVISION, work.tradition)
    assert found is not None
    label = f"full {division.name}" if plenum is None else request_label(plenum)
    choice = by_recipe(found, label, work.desk(division))
    _apply(work, replace(instruction, stops=()), division, [choice], stand_in=stand_in, adding=False)


def prepare(work: Work, instruction: Instruction) -> None:
    """Stops are made ready, not yet sounding; what was on stays as it is."""
    found = _division_for(work, instruction, adding=True)
    if found is None:
        return
    division, stand_in = found
    choices = choices_in(work, instruction, division, adding=True)
    barred = excepted(work, instruction, division)
    ready: list[Voice] = []
    for choice in choices:
        kept = [v for v in choice.chosen if v not in barred]
        ready += kept
        work.say(choice.request, division.id, (v.id for v in kept), say("{why}; made ready, not yet sounding",
                 why=choice.why), substitute=choice.substitute or stand_in, sure=choice.sure)  # fmt: skip
        tell_missing(work, choice, division, optional=instruction.optional)
        remember(work, choice, kept)
    ready += _partners(work, instruction, division, ready, adding=True)
    new = [v.id for v in ready if v.id not in work.registration.drawn]
    work.registration = replace(work.registration, prepared=tuple(dict.fromkeys((*work.registration.prepared, *new))))
    work.current = division.id
