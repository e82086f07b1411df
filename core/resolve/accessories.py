"""What a marking names like a stop and this organ has as a coupler or tremulant: "Sw. Octave", "mit Schwebung"."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from core.knowledge.loader import load
from core.markings.model import Action, CouplerRequest, Instruction
from core.organ.model import Role
from core.organ.normal import key_of
from core.resolve.couplers import octave_couplers
from core.resolve.desk import Work, answer_of

_DRAWS = (Action.DRAW, Action.ADD, Action.TAKE_OFF)
_LISTED = re.compile(r"\bbomb(?:arde)?\.?\s*(?:,|&|\+|\d|and\b|et\b)", re.IGNORECASE)  # a stop among stops
_OFF = re.compile(r"\b(?:off|in|ab|weg|via|af|fort|ôtez|retirez|togliere|quitar|uit)\b", re.IGNORECASE)


def settled(work: Work, one: Instruction, every: tuple[Instruction, ...]) -> tuple[Instruction, ...]:
    """The instruction as this organ means it; none for a sign that only belongs to what follows ("- Sw. Trem.")."""
    if _is_only_a_sign(work, one, every):
        return ()
    if one.action not in _DRAWS or not one.stops:
        return (one,)
    one = _of_the_bombarde(work, one)
    coupler = _octave_coupler(work, one)
    return (coupler,) if coupler else _without_tremulants(work, one)


def _of_the_bombarde(work: Work, one: Instruction) -> Instruction:
    """Of "Bombarde Tubas 8" the first word names the division, where the organ has a Bombarde."""
    first, rest = one.stops[0], one.stops[1:]
    bare = key_of(first.name or "") in ("bombarde", "bomb") and not first.pitches and not first.qualities
    if not bare or not rest or one.division not in (None, Role.BOMBARDE.value):
        return one
    if work.organ.with_role(Role.BOMBARDE) is None or _LISTED.search(work.text):
        return one
    return replace(one, division=Role.BOMBARDE.value, stops=rest)


def _is_only_a_sign(work: Work, one: Instruction, every: tuple[Instruction, ...]) -> bool:
    """A bare minus before a tremulant or coupler was read as all of the division off."""
    if one.action is not Action.TAKE_OFF or one.stops or one.division is None or _OFF.search(work.text):
        return False
    after = every[every.index(one) + 1 :]
    return any(other.action is Action.TREMULANT_OFF and other.division == one.division for other in after)


def _octave_coupler(work: Work, one: Instruction) -> Instruction | None:
    """For "Sw. Octave" where the Swell has no stop of that name but an octave coupler."""
    if len(one.stops) != 1 or not one.stops[0].name or one.hand is not None:
        return None
    request = one.stops[0]
    words = load("recipes")["octave_coupler_words"]
    asked_as = key_of(request.name or "")
    pitch = next((Fraction(feet) for feet, names in words.items() if asked_as in map(key_of, names)), None)
    if pitch is None or one.division is None or request.qualities:
        return None
    division, _ = answer_of(work, one.division)
    if division is None or any(asked_as in key_of(s.name) for s in division.stops):
        return None
    if not octave_couplers(work.organ, pitch, division.id):
        return None
    action = Action.UNCOUPLE if one.action is Action.TAKE_OFF else Action.COUPLE
    asked = CouplerRequest(source=one.division, target=one.division, pitch=pitch)
    return replace(one, action=action, stops=(), division=None, coupler=asked)


def _without_tremulants(work: Work, one: Instruction) -> tuple[Instruction, ...]:
    """Requests by the very name of a tremulant are for that."""
    names = {key_of(t.name) for t in work.organ.tremulants}
    asked = [r for r in one.stops if r.name and key_of(r.name) in names]
    if not asked:
        return (one,)
    action = Action.TREMULANT_OFF if one.action is Action.TAKE_OFF else Action.TREMULANT_ON
    rest = tuple(r for r in one.stops if r not in asked)
    shakes = replace(one, action=action, stops=())
    return (replace(one, stops=rest), shakes) if rest else (shakes,)
