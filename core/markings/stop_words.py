"""The stop names that markings may hold, from the table of stops, with what a name alone says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from core.knowledge.loader import load
from core.organ.abbreviations import expand
from core.organ.kinds import kinds
from core.organ.model import Family
from core.organ.names import Match, find_kind, know_stop


class StopWord(NamedTuple):
    """What a language's own table adds about a stop's name.

    Attributes:
        name: the name in full.
        family: as CONTRACT names families; None where unknown.
        feet: the pitch the name alone fixes in the manuals; None where it fixes none.
        kind: id of the kind of stop.
        language: whose name it is, where it is one language's only.
        expands_to: for an abbreviation, the name in full.
        pedal_family: the family in the Pedal, where it differs there.
    """

    name: str
    family: str | None = None
    feet: Fraction | None = None
    kind: str | None = None
    language: str = ""
    expands_to: str | None = None
    pedal_family: str | None = None


def stop_words() -> Iterator[tuple[str, StopWord]]:
    """Every spelling of every stop, and every abbreviation with what it stands for."""
    known = {name.casefold() for one in kinds() for names in one.languages.values() for name in names}
    for one in kinds():
        for language, names in one.languages.items():
            for name in names:
                if _plain(name, known):
                    yield name, StopWord(name=name, kind=one.id, language=_language(language))
    for language, entries in load("stops/abbreviations").items():
        for short, full in entries.items():
            yield short, StopWord(name=full, language=_language(language), expands_to=full)


_ARTICLES = (
    "le ",
    "la ",
    "les ",
    "the ",
    "el ",
    "il ",
    "lo ",
    "los ",
    "las ",
    "de ",
    "het ",
    "l'",
    "der ",
    "die ",
    "das ",
)
SIZES = {
    "soft": "soft", "quiet": "soft", "small": "small", "little": "small", "petit": "small", "petite": "small",
    "petits": "small", "petites": "small", "large": "large", "big": "large", "gros": "large", "grosse": "large",
    "loud": "loud", "zachte": "soft", "zacht": "soft", "sanfte": "soft", "sanft": "soft", "zarte": "soft", "leise": "soft",
}  # fmt: skip
_QUALITIES = (
    "soft ",
    "small ",
    "large ",
    "loud ",
    "big ",
    "quiet ",
    "petit ",
    "petite ",
    "gros ",
    "grosse ",
    "little ",
    "zachte ",
    "sanfte ",
    "zarte ",
    "leise ",
)
_FEET = ("pieds", "fuss", "fuß", "palmos", "voet", "piedi", "feet", "veinti", "trece")


_PLACES = (
    "solo ", "swell ", "great ", "choir ", "pedal ", "dessus de ", "dessus d'", "basse de ", "basse d'", "récit de ", "recit de ",
    "positif ", "grand plein", "petit plein",
)  # fmt: skip
_PLACES_AFTER = (" du récit", " de récit", " du recit", " de recit", " de pédale", " de pedale", " du positif", " bassi", " soprani", " soprano", " discant", " diskant", " discanto", " disc",
    " tiple", " bajo", " solo", " treble")  # fmt: skip
_LISTS = (" e ", " et ", " y ", " und ", " and ", " con ", " & ")
_PARTS = (*_FEET, *_LISTS)
_LEADS = (*_PLACES, *_QUALITIES)
_ORDINAL = re.compile(r"\d+(?:st|nd|rd|th)")
_ROMAN_END = re.compile(r"(?<! in) [IVX]+(?:-[IVX]+)?$")


def _plain(name: str, known: set[str]) -> bool:
    """Whether a spelling is a bare name.

    Articles, footage, sizes, ranks, places and lists are read by themselves, so a spelling that holds
    them is left out where it would hide them.
    """
    low = name.casefold().replace("(", "").replace(")", "")
    if " " not in low and "'" not in low:
        return not any(map(str.isdigit, low)) or _ORDINAL.fullmatch(low) is not None
    if low.startswith(_ARTICLES) or any(word in low for word in _PARTS):
        return False
    if low.startswith(_LEADS) and low.split(" ", 1)[1].removeprefix("de ") in known:
        return False
    if low.startswith(_PLACES[5:]) or low.endswith(_PLACES_AFTER) or _ROMAN_END.search(name):
        return False
    return not any(map(str.isdigit, low))


def _language(language: str) -> str:
    return language if language in ("en", "fr", "de", "it", "es", "nl", "la") else ""


@lru_cache(maxsize=8192)
def is_known_name(name: str, language: str) -> bool:
    """Whether the table of stops knows the whole name, not just its parts."""
    return _find(name, language) is not None


@lru_cache(maxsize=8192)
def _find(name: str, language: str, pedal: bool = False, pitch: Fraction | None = None) -> Match | None:
    return find_kind(name, language=language, pedal=pedal, pitch=pitch)


@lru_cache(maxsize=8192)
def is_mixture(name: str, language: str) -> bool:
    """Whether a number after the name counts ranks."""
    found = _find(name, language)
    return found is not None and found.kind.family in (Family.MIXTURE, Family.COMPOUND)


@lru_cache(maxsize=2048)
def without_size(name: str, language: str) -> tuple[str, str | None]:
    """The name without a word of size or strength before it, and that quality: petit Bourdon is a small Bourdon."""
    first, _, rest = name.partition(" ")
    quality = SIZES.get(first.casefold())
    if (
        quality is None
        or not rest
        or (" " not in rest and rest.casefold() == "open")
        or not is_known_name(rest, language)
    ):
        return name, None
    return rest, quality


def join_word(first: str, second: str, between: str) -> str:
    """Two printed words as one name, keeping a hyphen or apostrophe between them."""
    sign = next((c for c in between if c in "-'’"), "")
    return f"{first}{sign}{second}" if sign else f"{first} {second}"


class Known(NamedTuple):
    """What a request's name says of itself."""

    family: str | None
    feet: Fraction | None
    kind: str | None
    guess: bool


@lru_cache(maxsize=8192)
def know(name: str, language: str, pedal: bool, pitch: Fraction | None) -> Known:
    """Family, fixed pitch and kind of a name in its place."""
    found = _find(name, language, pedal, pitch)
    if found is None:
        found = know_stop(name, language=language, pedal=pedal, pitch=pitch)
    if found is None:
        return Known(None, None, None, True)
    feet = None if pedal else found.fixed_feet
    return Known(str(found.family.value), feet, found.kind.id, found.guess)


__all__ = [
    "Known",
    "StopWord",
    "expand",
    "is_known_name",
    "is_mixture",
    "join_word",
    "know",
    "stop_words",
    "without_size",
]
