"""The stop names that markings may hold, from the table of stops, with what a name alone says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache, lru_cache
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
        family: as the machine interface names families; None where unknown.
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


class _Bare(NamedTuple):
    """What makes a spelling more than a bare name (core/knowledge/bare_names.yaml)."""

    parts: tuple[str, ...]
    articles: tuple[str, ...]
    leads: tuple[str, ...]
    titles: tuple[str, ...]
    after: tuple[str, ...]


@cache
def _bare() -> _Bare:
    data = load("bare_names")
    leads = (*data["places"], *(f"{word} " for words in data["sizes"].values() for word in words))
    return _Bare(
        (*data["footage"], *data["lists"]), tuple(data["articles"]), leads, tuple(data["titles"]), tuple(data["after"])
    )


@cache
def _sizes() -> dict[str, str]:
    return {word: quality for quality, words in load("bare_names")["sizes"].items() for word in words}


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
    bare = _bare()
    if low.startswith(bare.articles) or any(word in low for word in bare.parts):
        return False
    if low.startswith(bare.leads) and low.split(" ", 1)[1].removeprefix("de ") in known:
        return False
    if low.startswith(bare.titles) or low.endswith(bare.after) or _ROMAN_END.search(name):
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
    quality = _sizes().get(first.casefold())
    if (
        quality is None
        or not rest
        or (" " not in rest and rest.casefold() == "open")
        or not is_known_name(rest, language)
    ):
        return name, None
    return rest, quality


@lru_cache(maxsize=2048)
def half_in_name(name: str, language: str) -> tuple[str, str] | None:
    """``Trompet bas``, ``Fagotto bassi``: the stop and the half of it, where the half is the name's last word."""
    rest, _, last = name.rpartition(" ")
    half = load("bare_names")["halves"].get(language, {}).get(last.casefold())
    return (rest, half) if half and rest and is_known_name(rest, language) else None


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
    "half_in_name",
    "is_known_name",
    "is_mixture",
    "join_word",
    "know",
    "stop_words",
    "without_size",
]
