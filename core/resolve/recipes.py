"""Recipes of the trade: plein jeu, grand jeu, ripieno, full Swell … and what each draws of a division.

The recipes are data (``knowledge/recipes.yaml``), per tradition, each with its source; this module only
reads them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.model import Feet
from core.organ.normal import key_of, loose_key
from core.organ.spelling import read_feet_exact
from core.resolve.names import SMALL, number_of
from core.resolve.traits import FLUES, Sort, Voice, ground_order, whole

FULL_DIVISION = "full-division"
FULL_ORGAN = "full-organ"
PLENUM = "plenum"
HALF_PLENUM = "half-plenum"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """One recipe as a tradition has it.

    Attributes:
        scope: what it is drawn on where no division is named: ``organ`` (all), ``plenum`` (the roles of
            `parts`), ``one`` (the first of `home`), ``division`` (needs one).
        parts: role, or ``*``, to what is drawn there.
        couple: pairs of roles, from and to; ``unison`` for all manuals to the chief one.
        why: template with {division}.
    """

    id: str
    scope: str
    parts: Mapping[str, Mapping[str, Any]]
    couple: tuple[tuple[str, str], ...] | str = ()
    home: tuple[str, ...] = ()
    why: str
    source: str


def recipe(recipe_id: str, tradition: str | None) -> Recipe:
    """The recipe as the tradition has it, or as any."""
    entry = _entries()[recipe_id]
    variants = entry["variants"]
    chosen = next((v for v in variants if tradition in v["traditions"]), None)
    if chosen is None:
        chosen = next((v for v in variants if "any" in v["traditions"]), variants[0])
    couple = chosen.get("couple", ())
    return Recipe(
        id=recipe_id,
        scope=entry.get("scope", "division"),
        parts=chosen["parts"],
        couple=couple if isinstance(couple, str) else tuple((a, b) for a, b in couple),
        home=tuple(entry.get("home", ())),
        why=chosen["why"],
        source=chosen["source"],
    )


def recipe_of(request: StopRequest, tradition: str | None) -> Recipe | None:
    """The recipe that a request asks for by name or family, or None for plain stops."""
    called = _by_name().get(loose_key(key_of(request.name))) if request.name and not request.pitches else None
    found = called or (request.recipe if request.recipe in _entries() else None)
    if found:
        return recipe(found, tradition)
    if request.name:
        return None
    if request.family == "plenum":
        return recipe(HALF_PLENUM if "half" in request.qualities else PLENUM, tradition)
    if request.family == "all":
        return recipe(FULL_DIVISION, tradition)
    return None


def recipe_in_words(request: StopRequest, tradition: str | None, text: str) -> Recipe | None:
    """A recipe whose name stands in the text while the request is by family: "Fond d'orgue"."""
    if request.name or request.pitches or not request.family:
        return None
    printed = key_of(text)
    for entry in _entries().values():
        words = entry.get("words", ())
        if request.family in entry.get("families", ()) and any(key_of(word) in printed for word in words):
            return recipe(str(entry["id"]), tradition)
    return None


def full_recipe(tradition: str | None, text: str) -> Recipe:
    """What "full organ" means in these words: a Grand Chœur is the grand jeu, else all of the chorus."""
    printed = key_of(text)
    for entry in _entries().values():
        if any(key_of(word) in printed for word in entry.get("full_words", ())):
            return recipe(str(entry["id"]), tradition)
    return recipe(FULL_ORGAN, tradition)


def for_a_hand(request: StopRequest, tradition: str | None, text: str) -> StopRequest:
    """In French classical titles a Tierce for one hand is the whole Jeu de Tierce; others are themselves."""
    if not (tradition or "").startswith("french") or not request.name:
        return request
    key = loose_key(key_of(request.name))
    for entry in load("recipes")["recipes"]:
        if key in {loose_key(key_of(name)) for name in entry.get("hand_names", ())}:
            by_text = [e for e in _entries().values() if e.get("text") and e["text"] in text.casefold()]
            return replace(request, recipe=str([*by_text, entry][0]["id"]))
    return request


@cache
def _entries() -> dict[str, Mapping[str, Any]]:
    return {entry["id"]: entry for entry in load("recipes")["recipes"]}


@cache
def _by_name() -> dict[str, str]:
    return {
        loose_key(key_of(name)): entry["id"] for entry in load("recipes")["recipes"] for name in entry.get("names", ())
    }


def part_of(found: Recipe, role: str, *, named: bool) -> Mapping[str, Any] | None:
    """What a recipe draws in a division of that role; None where it draws nothing there.

    Args:
        found: the recipe.
        role: the division's.
        named: the marking names this division, or it is the one chosen for it.
    """
    if role in found.parts:
        return found.parts[role]
    if "*" in found.parts and (named or found.scope == "organ"):
        return found.parts["*"]
    return None


def take(part: Mapping[str, Any], voices: Sequence[Voice]) -> list[Voice]:
    """The stops that a part of a recipe draws."""
    if "pick" in part:
        return _pick(part["pick"], voices)
    taken = [v for v in voices if any(v in _taken_by(rule, voices) for rule in part["take"])]
    left = [v for v in taken if not any(_is_left(v, rule, taken) for rule in part.get("leave", ()))]
    if not left and part.get("else"):
        left = [v for v in voices if any(_fits(v, rule) for rule in part["else"])]
    if part.get("ground") and voices:
        left = _grounded(left, voices)
    if not left:
        left = taken
    return left


def _taken_by(rule: Mapping[str, Any], voices: Sequence[Voice]) -> list[Voice]:
    """The stops that fit a rule; with `first` only so many, the numbered in their order, else the stronger before."""
    fitting = [v for v in voices if _fits(v, rule)]
    if "first" not in rule:
        return fitting
    full = [v for v in fitting if not v.short] or fitting
    ranked = sorted(full, key=lambda v: (number_of(v.stop.name) or SMALL, -v.loudness))
    return whole(ranked[: rule["first"]], fitting)


def _is_left(voice: Voice, rule: Mapping[str, Any], taken: Sequence[Voice]) -> bool:
    """Whether a stop is left out; with `beside` only where one of those sorts stands at its pitch."""
    if not _fits(voice, rule):
        return False
    if "beside" not in rule:
        return True
    return any(
        v.sort.value in rule["beside"] and (v.feet == voice.feet or v.sort is Sort.MIXTURE)
        for v in taken
        if v is not voice
    )


def _grounded(taken: list[Voice], voices: Sequence[Voice]) -> list[Voice]:
    """A chorus without a unison principal stands on the division's strongest unison flue."""
    if any(v.feet == v.unison and v.sort in FLUES for v in taken):
        return taken
    unison = [v for v in voices if v.feet == v.unison and v.sort in FLUES]
    full = [v for v in unison if not v.short] or unison
    order = [Sort.PRINCIPAL, Sort.FLUTE, Sort.ECHO_PRINCIPAL, Sort.STRING]
    full.sort(key=lambda v: (order.index(v.sort), -v.loudness))
    return [*whole(full[:1], unison), *taken]


def _pick(rules: Sequence[Mapping[str, Any]], voices: Sequence[Voice]) -> list[Voice]:
    """Of each rule one stop, the sorts in the rule's order."""
    chosen: list[Voice] = []
    for rule in rules:
        sorts = [Sort(name) for name in rule["sorts"]]
        hits = [v for v in voices if _fits(v, rule) and v not in chosen]
        hits.sort(key=lambda v: (sorts.index(v.sort), ground_order(v), v.loudness))
        if hits:
            chosen += whole(hits[:1], hits)
        else:
            chosen += [v for v in voices if _stands_for(v, rule) and v not in chosen][:1]
    return chosen


def _stands_for(voice: Voice, rule: Mapping[str, Any]) -> bool:
    """Whether a compound stop holds what a rule picks: a Sesquialtera both the Nasard and the Tierce."""
    return voice.stop.kind in rule.get("or_kinds", ())


def lacking(part: Mapping[str, Any], voices: Sequence[Voice]) -> list[Feet]:
    """The pitches of a recipe that picks one stop of each which the division has not."""
    absent: list[Feet] = []
    for rule in part.get("pick", ()):
        held = any(_fits(v, rule) or _stands_for(v, rule) for v in voices)
        if not rule.get("optional") and not held:
            absent += _feet_of(rule)[:1]
    return absent


def _fits(voice: Voice, rule: Mapping[str, Any]) -> bool:
    feet = _feet_of(rule)
    return (
        ("sorts" not in rule or voice.sort.value in rule["sorts"])
        and (not feet or voice.feet in feet)
        and ("kinds" not in rule or voice.stop.kind in rule["kinds"] or voice.group in rule["kinds"])
        and voice.loudness <= rule.get("most_loud", 10)
        and voice.loudness >= rule.get("least_loud", 0)
    )


def _feet_of(rule: Mapping[str, Any]) -> list[Feet]:
    return [read_feet_exact(str(feet)) for feet in rule.get("feet", ())]
