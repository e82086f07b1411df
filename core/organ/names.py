"""Find out which kind of stop a printed name means.

`find_kind` only knows; `guess_kind` goes by a name's parts and says so; `know_stop` does the one, then
tries slips of print, then the other. A name that means several kinds ("Cornet", "Principal", "Violón")
is decided by its language, pitch, ranks and whether it stands in the pedal: ``stops/homonyms.yaml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any, NamedTuple

from core.knowledge.loader import load
from core.organ.abbreviations import expand
from core.organ.claims import Claim, index, loose_index
from core.organ.guessing import near_key, part_of
from core.organ.kinds import StopKind, kind, kinds, spellings
from core.organ.model import Family, Feet, Ranks
from core.organ.normal import key_of, loose_key
from core.organ.spelling import read_feet_exact
from core.texts import Said, say

__all__ = [
    "Context", "Match", "StopKind", "expand", "find_kind", "guess_kind", "kind", "kinds", "know_stop", "spellings",
]  # fmt: skip

_MUTABLE = (Family.PRINCIPAL, Family.FLUTE, Family.STRING)


class Context(NamedTuple):
    """What stands around a name and may decide its meaning."""

    language: str | None = None
    pedal: bool = False
    pitch: Fraction | None = None
    tradition: str | None = None
    ranks: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What a name was found to mean.

    Attributes:
        kind: the kind of stop.
        guess: by the name's parts or by a likely slip, not by the name itself.
        why: the reason, for people.
        family: the kind's, but mutation where the pitch asked for is no octave.
        feet: usual manual pitches of this very name (Contra Oboe: 16).
        pedal_feet: the same in the pedal.
        fixed_feet: what the name alone fixes here in a marking; None in the pedal.
        list_feet: what the name alone fixes here in a stop list.
        loudness: 1 to 10, of this very name (Echo Oboe: softer).
    """

    kind: StopKind
    guess: bool
    why: Said
    family: Family
    feet: tuple[Feet, ...]
    pedal_feet: tuple[Feet, ...]
    fixed_feet: Feet | None = None
    list_feet: Feet | None = None
    loudness: int = 5


class _Change(NamedTuple):
    """A word before or after a name that makes another size of it."""

    word: str
    octaves: int
    louder: int


def find_kind(
    name: str,
    *,
    language: str | None = None,
    pedal: bool = False,
    pitch: Fraction | None = None,
    tradition: str | None = None,
    ranks: Ranks | None = None,
) -> Match | None:
    """The kind that a name means by the trade's knowledge, or None. Never a guess."""
    return _find(name, Context(language, pedal, pitch, tradition, ranks.low if ranks else None))


def know_stop(
    name: str,
    *,
    language: str | None = None,
    pedal: bool = False,
    pitch: Fraction | None = None,
    tradition: str | None = None,
    ranks: Ranks | None = None,
) -> Match | None:
    """The kind that a name means, likely slips and guesses by its parts included; None for no idea."""
    context = Context(language, pedal, pitch, tradition, ranks.low if ranks else None)
    return _find(name, context) or _near_miss(name, context) or _guess(name, context)


def guess_kind(
    name: str,
    *,
    language: str | None = None,
    pedal: bool = False,
    pitch: Fraction | None = None,
    tradition: str | None = None,
    ranks: Ranks | None = None,
) -> Match | None:
    """A guess by the parts of the name ("…flöte", "Contra …"), or None."""
    return _guess(name, Context(language, pedal, pitch, tradition, ranks.low if ranks else None))


@lru_cache(maxsize=8192)
def _find(name: str, context: Context) -> Match | None:
    plain = key_of(name)
    if plain in index():
        return _decide(name, plain, index()[plain], context)
    for key in readings(name, context.language):
        claims = index().get(key)
        if claims:
            return _decide(name, key, claims, context)
    for key in readings(name, context.language):
        claims = loose_index().get(loose_key(key))
        if claims:
            return _decide(name, key, claims, context)
    return _changed(name, context)


_NUMBERING = re.compile(
    r"(?:\bnos?\.?\s*|\bnr\.?\s*|№\s*|#)?\b(?:[0-9]+(?:st|nd|rd|th|d|me|re|er|de|ª|º|°)?|[IVX]{1,4})\b\.?(?:\s*(?:and|&|et|und)\s*[0-9]+)?"
    r"|\b(?:first|second|third|fourth|small|large)\b(?=\s+(?:open|diap))",
    re.IGNORECASE,
)
_RANKED = re.compile(
    r"\b(?:de |a |di )?(?:[0-9]+|[IVX]+)(?:\s*[-–]\s*(?:[0-9]+|[IVX]+))?[\s-]*"
    r"(?:file|fila|hil(?:eras)?|ranks?|rks|fach|sterk|rangs?|chor)\b\.?",
    re.IGNORECASE,
)
_BRACKETED = re.compile(r"[(\[{][^)\]}]*[)\]}]?")
_MATERIAL = re.compile(
    r"\b(?:wood(?:en)?|(?:spotted )?metal|zinc|tin|bois|holz|hout|legno|madera|étain|metall|metaal|m|w|tc|t\.c\.)\b\.?",
    re.IGNORECASE,
)
_BETWEEN_WORDS = re.compile(r"[\s\-=,]+")
_SHORTEST_REST = 4
_SHORTEST_PART = 3
_PLURAL = re.compile(r"(?<=[a-z]{3})s$")


@lru_cache(maxsize=4096)
def readings(name: str, language: str | None = None) -> tuple[str, ...]:
    """Keys that a printed name may stand under, the likeliest first; each once."""
    keys: list[str] = []
    for text in _texts(name, language):
        key = key_of(text)
        keys += (key, _PLURAL.sub("", key), key_of(_singular(text)))
    return tuple(key for key in dict.fromkeys(keys) if key)


@lru_cache(maxsize=4096)
def _texts(name: str, language: str | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_shorter_texts(name, language)))


def _shorter_texts(name: str, language: str | None) -> Iterator[str]:
    yield name
    name = _RANKED.sub(" ", name)
    plain = _NUMBERING.sub(" ", name)
    yield plain
    yield expand(plain, language)
    bare = _NUMBERING.sub(" ", _BRACKETED.sub(" ", name))
    yield expand(bare, language)
    yield expand(_MATERIAL.sub(" ", bare), language)
    if "," in bare:
        first, rest = bare.split(",", 1)
        yield expand(f"{rest} {first}", language)
        yield expand(first, language)


def _singular(text: str) -> str:
    return " ".join(word[:-1] if len(word) > 4 and word[-1:] in "sS" else word for word in text.split())


def _decide(name: str, key: str, claims: tuple[Claim, ...], context: Context) -> Match | None:
    rules = homonyms().get(key)
    if rules is not None:
        return next((_homonym(name, rule, claims, context) for rule in rules if _holds(rule, context)), None)
    claim = claims[0]
    if len(claims) > 1 and context.language:
        claim = next((c for c in claims if context.language in c.languages), claim)
    found = kind(claim.kind_id)
    why = say("{name} is a known stop name", name=name)
    return _match(found, claim.languages, context, why, change=_spelt_change(key, found))


@lru_cache(maxsize=8192)
def _spelt_change(key: str, found: StopKind) -> _Change | None:
    """The octave that a known spelling ("Contra Gamba") has beyond its kind's head name."""
    head = key_of(found.name)
    for at in range(3, len(key) - _SHORTEST_REST + 1):
        change = _changes()[0].get(key[:at])
        if change and change.octaves and not head.startswith(key[:at]):
            return change if any(c.kind_id == found.id for c in index().get(key[at:], ())) else None
    return None


@cache
def homonyms() -> dict[str, list[Mapping[str, Any]]]:
    """Key of a spelling with several meanings → rules in order, the last of which always holds."""
    data = load("stops/homonyms")
    return {key_of(name): entry["choose"] for entry in data for name in entry["names"]}


def _holds(rule: Mapping[str, Any], context: Context) -> bool:
    """Whether each condition of a rule is known to be met."""
    feet = rule.get("pitch")
    return (
        ("language" not in rule or context.language in rule["language"].split())
        and ("tradition" not in rule or context.tradition in rule["tradition"].split())
        and ("pedal" not in rule or rule["pedal"] == context.pedal)
        and ("ranks" not in rule or rule["ranks"] == (context.ranks is not None and context.ranks > 1))
        and ("pitched" not in rule or rule["pitched"] == (context.pitch is not None))
        and (feet is None or context.pitch in [read_feet_exact(f.replace("+", " ")) for f in str(feet).split()])
    )


def _homonym(name: str, rule: Mapping[str, Any], claims: tuple[Claim, ...], context: Context) -> Match | None:
    if rule["kind"] is None:
        return None
    languages = next((c.languages for c in claims if c.kind_id == rule["kind"]), ())
    why = say("{name}: {reason}", name=name, reason=say(rule["why"]))
    return _match(kind(rule["kind"]), languages, context, why)


def _match(
    found: StopKind,
    languages: tuple[str, ...],
    context: Context,
    why: Said,
    *,
    guess: bool = False,
    change: _Change | None = None,
) -> Match:
    octave = Fraction(2) ** (change.octaves if change else 0)
    fixes = not context.pedal and not (change and change.octaves) and not guess
    fixed = found.fixed_feet if fixes and set(languages) & set(found.fixed_in) else None
    listed = found.listed_feet(pedal=context.pedal)
    return Match(
        kind=found,
        guess=guess,
        why=why,
        family=family_at(found, context.pitch),
        feet=tuple(f * octave for f in found.feet),
        pedal_feet=tuple(f * octave for f in found.pedal_feet),
        fixed_feet=fixed,
        list_feet=None if listed is None or guess else listed * octave,
        loudness=min(10, max(1, found.loudness + (change.louder if change else 0))),
    )


def family_at(found: StopKind, pitch: Fraction | None) -> Family:
    """The family of a kind at a pitch: a flue stop at a fifth or third is a mutation."""
    if pitch is None or found.family not in _MUTABLE:
        return found.family
    odd = pitch.numerator // (pitch.numerator & -pitch.numerator) * pitch.denominator
    return Family.MUTATION if odd & (odd - 1) else found.family


def _changed(name: str, context: Context) -> Match | None:
    """A known name with a word before or after it that makes another size of it."""
    for without in (_without_word(name, context.language), _without_part(name, context.language)):
        for change, rest in without:
            claims = index().get(rest) or loose_index().get(loose_key(rest))
            if not claims:
                continue
            found = _decide(name, rest, claims, context)
            if found:
                why = say("{name} is {kind} with “{word}”", name=name, kind=found.kind.name, word=change.word)
                return _match(found.kind, (), context, why, change=change)
    return None


def _without_word(name: str, language: str | None) -> Iterator[tuple[_Change, str]]:
    """Each change that stands as a word of its own (or two), with the key of the rest."""
    before, after = _changes()
    for text in _texts(name, language):
        words = [word for word in _BETWEEN_WORDS.split(text) if word]
        for count in range(1, min(4, len(words))):
            change = before.get(key_of(" ".join(words[:count])))
            if change:
                yield change, key_of(" ".join(words[count:]))
            change = after.get(key_of(" ".join(words[-count:])))
            if change:
                yield change, key_of(" ".join(words[:-count]))


def _without_part(name: str, language: str | None) -> Iterator[tuple[_Change, str]]:
    """Each change that is grown together with the name ("Kontrafagott", "Posaunenbaß")."""
    before, after = _changes()
    for key in readings(name, language):
        for at in range(len(key) - _SHORTEST_REST, _SHORTEST_PART - 1, -1):
            if key[:at] in before:
                yield before[key[:at]], key[at:]
            if key[-at:] in after:
                yield after[key[-at:]], key[:-at]


@cache
def _changes() -> tuple[dict[str, _Change], dict[str, _Change]]:
    data = load("stops/parts")
    return _changes_of(data["before"]), _changes_of(data["after"])


def _changes_of(entries: list[Mapping[str, Any]]) -> dict[str, _Change]:
    return {
        key_of(word): _Change(word, entry.get("octaves", 0), entry.get("louder", 0))
        for entry in entries
        for word in (w.strip() for w in entry["words"].split(";"))
    }


def _near_miss(name: str, context: Context) -> Match | None:
    for key in readings(name, context.language):
        near = near_key(key)
        if near is None:
            continue
        found = _decide(name, near, index()[near], context)
        if found:
            why = say("{name} is taken for {kind}: nearly the same letters", name=name, kind=found.kind.name)
            return _match(found.kind, (), context, why, guess=True)
    return None


def _guess(name: str, context: Context) -> Match | None:
    for key in readings(name, context.language):
        part = part_of(key)
        if part is not None:
            why = say(
                "{name} is not known; by “{part}” in it a guess: {kind}",
                name=name,
                part=part.word,
                kind=kind(part.kind_id).name,
            )
            return _match(kind(part.kind_id), (), context, why, guess=True)
    return None
