"""The words of stop lists, read from ``core/knowledge/lists``: divisions, sections, couplers, aids, remarks."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache

from core.knowledge.loader import load

_LETTERS = str.maketrans(
    {"ß": "ss", "ſ": "s", "ø": "o", "œ": "oe", "æ": "ae", "ł": "l", "đ": "d", "ı": "i", "’": "'", "‘": "'"}
)


@lru_cache(maxsize=16384)
def fold(text: str) -> str:
    """Small letters without accents, spaces levelled; punctuation stays."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    return " ".join("".join(sign for sign in plain if not unicodedata.combining(sign)).split())


@dataclass(frozen=True, slots=True, kw_only=True)
class DivisionWord:
    """What a word for a division tells.

    Attributes:
        role: as in the machine interface's table.
        name: the word written out.
        language: of the word.
        enclosed: the word itself says that the division stands in a box.
        weak: gives way where another division has the same role.
        recit: a Récit, in a box by custom of its time alone.
        stop: also the name of a stop.
        exact: no other division of the same role is meant by it.
    """

    role: str
    name: str
    language: str
    enclosed: bool = False
    weak: bool = False
    recit: bool = False
    stop: bool = False
    exact: bool = False


@cache
def division_words() -> dict[str, tuple[DivisionWord, ...]]:
    """Folded word → its meanings, the first entry of the data first."""
    return _table("words")


@cache
def short_words() -> dict[str, tuple[DivisionWord, ...]]:
    """Folded abbreviation, without stops → its meanings."""
    return _table("short")


def _table(field: str) -> dict[str, tuple[DivisionWord, ...]]:
    found: dict[str, tuple[DivisionWord, ...]] = {}
    for entry in load("lists/divisions"):
        flags = {key: entry.get(key, False) for key in ("enclosed", "weak", "recit", "stop", "exact")}
        word = DivisionWord(role=entry["role"], name=entry["name"], language=entry["language"], **flags)
        for text in entry.get(field, []):
            key = fold(str(text)).replace(".", "").strip()
            key = key.replace(" ", "") if field == "short" else key
            if word not in found.get(key, ()):
                found[key] = (*found.get(key, ()), word)
    return found


@cache
def words(*path: str) -> frozenset[str]:
    """The folded words of a list of the data, e.g. ``words("sections", "couplers")``."""
    node = load("lists/words")
    for step in path:
        node = node[step]
    return frozenset(fold(str(word)) for word in node)


@cache
def branches(name: str) -> tuple[str, ...]:
    """The keys under a mapping of the data, in its order."""
    return tuple(str(key) for key in load("lists/words")[name])


@cache
def pattern(*path: str) -> re.Pattern[str]:
    """A pattern for any of the folded words, the longest first, as whole words of a folded text."""
    longest = sorted(words(*path), key=lambda word: (-len(word), word))
    return re.compile(r"(?<![\w'])(?:" + "|".join(re.escape(word) for word in longest) + r")(?!\w)")


@cache
def ordinal_values() -> dict[str, int]:
    """Folded ordinal → number of the keyboard."""
    data = load("lists/words")["ordinals"]
    return {fold(str(word)).strip("."): int(number) for number, ws in data.items() for word in ws}
