"""The stop names that markings may hold, from the table of stops, with what a name alone says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from core.knowledge.loader import load
from core.organ.model import Family
from core.organ.abbreviations import expand as _expand
from core.organ.names import Match, find_kind, know_stop, spellings


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
    try:
        from core.organ.kinds import kinds
        for one in kinds():
            for language, names in one.languages.items():
                for name in names:
                    if not _plain(name):
                        continue
                    yield name, StopWord(name=name, kind=one.id, language=_language(language))
        for language, entries in load("stops/abbreviations").items():
            for short, full in entries.items():
                yield short, StopWord(name=full, language=_language(language), expands_to=full)
    except (FileNotFoundError, KeyError):
        return


_ARTICLES = ("le ", "la ", "les ", "the ", "el ", "il ", "lo ", "los ", "las ", "de ", "het ", "l'", "der ", "die ", "das ")
_QUALITIES = ("soft ", "small ", "large ", "loud ", "big ", "quiet ", "petit ", "petite ", "gros ", "grosse ", "little ")
_FEET = ("pieds", "fuss", "fuß", "palmos", "voet", "piedi", "feet", "veinti", "trece")


def _plain(name: str) -> bool:
    """Whether a spelling is a bare name: no article, no footage (these are read by themselves)."""
    low = name.casefold()
    if low.startswith(_ARTICLES) or (low.startswith(_QUALITIES) and not low.endswith(" open")) or any(word in low for word in _FEET):
        return False
    return not any(c.isdigit() for c in name) or re.fullmatch(r"\d+(?:st|nd|rd|th)", low) is not None


def _language(language: str) -> str:
    return language if language in ("en", "fr", "de", "it", "es", "nl", "la") else ""


def expand(name: str, language: str) -> str:
    """The name with its abbreviations written out."""
    try:
        return _expand(name, language)
    except FileNotFoundError:
        return name


@lru_cache(maxsize=8192)
def is_known_name(name: str, language: str) -> bool:
    """Whether the table of stops knows the whole name, not just its parts."""
    return _find(name, language) is not None


@lru_cache(maxsize=8192)
def _find(name: str, language: str, pedal: bool = False, pitch: Fraction | None = None) -> Match | None:
    try:
        return find_kind(name, language=language, pedal=pedal, pitch=pitch)
    except FileNotFoundError:
        return None


@lru_cache(maxsize=8192)
def is_mixture(name: str, language: str) -> bool:
    """Whether a number after the name counts ranks."""
    found = _find(name, language)
    return found is not None and found.kind.family in (Family.MIXTURE, Family.COMPOUND)


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
        try:
            found = know_stop(name, language=language, pedal=pedal, pitch=pitch)
        except FileNotFoundError:
            found = None
    if found is None:
        return Known(None, None, None, True)
    feet = None if pedal else found.fixed_feet
    return Known(str(found.family.value), feet, found.kind.id, found.guess)


__all__ = ["Known", "StopWord", "expand", "is_known_name", "is_mixture", "join_word", "know", "spellings", "stop_words"]
