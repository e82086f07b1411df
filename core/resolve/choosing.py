"""Answer one request in one division: a pin, a recipe, the stop itself, or what comes nearest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.model import Feet
from core.organ.normal import key_of
from core.organ.spelling import write_feet
from core.resolve.candidates import OFF_PITCH, Choice, Desk, by_name, labels, request_label
from core.resolve.families import by_family, by_pitch, by_quality
from core.resolve.model import Sure
from core.resolve.recipes import PLENUM, Recipe, lacking, part_of, recipe_in_words, recipe_of, take
from core.resolve.substitutes import nothing, substitute
from core.resolve.traits import FLUES, Sort, Voice
from core.texts import Said, say


def choose(request: StopRequest, desk: Desk, pins: Mapping[str, tuple[str, ...]] | None = None) -> Choice:
    """What answers a request in a division."""
    pinned = (pins or {}).get(request_label(request))
    if pinned is not None:
        return _pinned(request, pinned, desk)
    found = recipe_of(request, desk.tradition) or recipe_in_words(request, desk.tradition, desk.text)
    itself = _stop_called_so(desk) if found is not None and found.id == PLENUM else None
    if itself is not None:
        return itself
    if found is not None:
        return by_recipe(found, request_label(request), desk)
    return _plain(request, desk)


def _stop_called_so(desk: Desk) -> Choice | None:
    """A stop that bears the plenum's own name ("Plein jeu", "Lleno"), where the stop is meant.

    It is in a list of stops, where it is added to what is on, and in a division without a chorus of its own.
    """
    printed = key_of(desk.text)
    mixtures = [v for v in desk.voices() if v.sort is Sort.MIXTURE]
    called = [v for v in mixtures if len(v.stop.name) > 3 and key_of(v.stop.name) in printed]
    if not called:
        return None
    chorus = {v.feet / v.unison for v in desk.voices() if v.sort is Sort.PRINCIPAL}
    if not desk.adding and len(desk.companions) < 2 and {Fraction(1), Fraction(1, 2)} <= chorus:
        return None
    why = say("{stops}: the stop of that name", stops=labels(called))
    return Choice(request=labels(called), chosen=tuple(called), why=why)


def _pinned(request: StopRequest, pinned: tuple[str, ...], desk: Desk) -> Choice:
    here = {v.id: v for v in desk.voices()}
    chosen = tuple(here[i] for i in pinned if i in here)
    return Choice(request=request_label(request), chosen=chosen, why=say("chosen by the player"), sure=Sure.USER)


def _plain(request: StopRequest, desk: Desk) -> Choice:
    if request.name:
        found = by_name(request, desk)
        if found is None and _is_aid(request, desk):
            why = say("{name} has a knob of its own and belongs to no division", name=request.name)
            return Choice(request=request_label(request), why=why)
        if found is None:
            return _each_pitch(request, desk) or substitute(request, desk)
        if found.quality < OFF_PITCH:
            return found
        other = substitute(request, desk)
        return other if other.quality < found.quality else found
    if request.family:
        return by_family(request, desk) or _family_elsewhere(request, desk)
    if request.pitches:
        return by_pitch(request, desk) or nothing(request, desk)
    return _by_quality_alone(request, desk)


def _is_aid(request: StopRequest, desk: Desk) -> bool:
    """Whether the organ has it among its aids and effects: a Zimbelstern, a Nightingale."""
    key = key_of(request.name or "")
    return len(key) > 4 and any(key in key_of(aid.text) for aid in desk.organ.aids)


def _each_pitch(request: StopRequest, desk: Desk) -> Choice | None:
    """A name with several pitches, some of them lacking: what is there."""
    if len(request.pitches) < 2:
        return None
    parts = [_plain(_at(request, p), desk) for p in request.pitches]
    chosen = tuple(dict.fromkeys(v for part in parts for v in part.chosen))
    missing = [p for part, p in zip(parts, request.pitches, strict=True) if part.missing]
    if not chosen:
        return None
    told = say(
        "{request} at {pitches} ft is not on this organ's {division}",
        request=request.name or request_label(request),
        pitches=", ".join(write_feet(p) for p in missing),
        division=desk.division.name,
    )
    return Choice(
        request=request_label(request),
        chosen=chosen,
        substitute=any(p.substitute for p in parts) or bool(missing),
        missing=told if missing else None,
        why=say("{stops}: what the {division} has of it", stops=labels(chosen), division=desk.division.name),
        sure=Sure.CUSTOMARY,
        quality=max(p.quality for p in parts if p.chosen),
    )


def _at(request: StopRequest, pitch: Feet) -> StopRequest:
    return replace(request, pitches=(pitch,))


def _family_elsewhere(request: StopRequest, desk: Desk) -> Choice:
    """A family the division has nothing of at that pitch."""
    single = StopRequest(
        name=None,
        family=request.family,
        pitches=request.pitches[:1],
        qualities=request.qualities,
        half=request.half,
    )
    return substitute(single, desk)


def _by_quality_alone(request: StopRequest, desk: Desk) -> Choice:
    """A colour and no stop named: "with soft stops", "dunkel", "mit hellen Stimmen"."""
    asked = set(request.qualities)
    pool = [v for v in desk.voices() if v.sort in FLUES]
    unison = [v for v in pool if v.feet == desk.unison]
    label = request_label(request)
    if not pool:
        return nothing(request, desk)
    if "bright" in asked or {"loud", "large"} & asked:
        chorus = [v for v in pool if v.sort is Sort.PRINCIPAL and v.feet <= desk.unison]
        chosen = chorus or by_quality(pool, ["loud"], lambda v: v.feet)
        why = say("{stops}: the principals, which are the {division}'s clear and strong stops")
    elif any(words in desk.text.casefold() for words in load("recipes")["softest_words"]) and unison:
        chosen = sorted((v for v in unison if not v.short), key=lambda v: v.loudness)[:1] or unison[:1]
        why = say("{stops}: the softest flue at the unison of the {division}, by its name")
    elif {"dark", "soft", "small"} & asked:
        flutes = [v for v in unison if v.sort is Sort.FLUTE and not v.short] or unison
        chosen = sorted(flutes, key=lambda v: v.loudness)[: 2 if "dark" in asked or "two" in asked else 1]
        why = say("{stops}: soft flues at the unison, nothing above them")
    else:
        chosen = unison[:1]
        why = say("{stops}: the first unison flue of the {division}; the marking names no stop")
    why = say(why.template, stops=labels(chosen), division=desk.division.name)
    return Choice(request=label, chosen=tuple(chosen), why=why, sure=Sure.GUESS, quality=3)


def by_recipe(found: Recipe, label: str, desk: Desk, *, named: bool = True) -> Choice:
    """What a recipe draws in a division; where it has none of it, nothing."""
    part = part_of(found, desk.division.role, named=named)
    voices = [v for v in desk.voices()]
    chosen = take(part, voices) if part else []
    absent = lacking(part, voices) if part else []
    if not chosen:
        return Choice(
            request=label,
            why=say("the {division} has nothing of it", division=desk.division.name),
            missing=say("{request} is not to be had on the {division}", request=label, division=desk.division.name),
            quality=100,
        )
    missing = _without_crown(found, chosen, label, desk)
    if absent:
        missing = say(
            "{request}: the {division} has none of {pitches} ft",
            request=label,
            division=desk.division.name,
            pitches=", ".join(write_feet(p) for p in absent),
        )
    return Choice(
        request=label,
        chosen=tuple(chosen),
        substitute=missing is not None,
        missing=missing,
        why=say(found.why, division=desk.division.name),
        sure=Sure.CUSTOMARY,
        quality=1 + 20 * bool(absent),
    )


def _without_crown(found: Recipe, chosen: Sequence[Voice], label: str, desk: Desk) -> Said | None:
    """A plenum on a manual that has neither mixtures nor ranks above the 2 ft: told."""
    crowned = any(v.sort is Sort.MIXTURE or (v.feet and v.feet < v.unison / 4) for v in chosen)
    if found.id != PLENUM or crowned or desk.pedal:
        return None
    template = "{request}: the {division} has no mixture to crown it"
    return say(template, request=label, division=desk.division.name)
