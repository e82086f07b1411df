"""Write out abbreviated stop names: "Lieb. Ged." → "Lieblich Gedackt", in the language of the text."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import NamedTuple

from core.knowledge.loader import load

_WORD = re.compile(r"[^\s.,;()/\-=]+\.?|[.,;()/\-=]")


class _Phrase(NamedTuple):
    words: tuple[str, ...]
    dotted: tuple[bool, ...]
    full: str
    language: str | None


@lru_cache(maxsize=8192)
def expand(name: str, language: str | None = None) -> str:
    """The name with its abbreviations written out; anything else is left as printed."""
    words = [(found.group(), found.start(), found.end()) for found in _WORD.finditer(name)]
    pieces: list[str] = []
    at, done = 0, 0
    while at < len(words):
        phrase = _longest(words, at, language)
        if phrase is None:
            at += 1
            continue
        pieces.append(name[done : words[at][1]] + phrase.full)
        at += len(phrase.words)
        done = words[at - 1][2]
        if at < len(words) and words[at][1] == done and words[at][0] not in ".,;()/-=":
            pieces.append(" ")
    pieces.append(name[done:])
    return "".join(pieces)


def _longest(words: list[tuple[str, int, int]], at: int, language: str | None) -> _Phrase | None:
    for phrase in _phrases().get(words[at][0].rstrip(".").casefold(), ()):
        there = words[at : at + len(phrase.words)]
        if len(there) < len(phrase.words) or (phrase.language and language and phrase.language != language):
            continue
        if all(
            word.rstrip(".").casefold() == wanted and (not dot or word.endswith("."))
            for (word, _, _), wanted, dot in zip(there, phrase.words, phrase.dotted, strict=True)
        ):
            return phrase
    return None


@cache
def _phrases() -> dict[str, list[_Phrase]]:
    """First word → phrases, the longest first, and those of a language before those of all."""
    found: dict[str, list[_Phrase]] = {}
    for language, entries in load("stops/abbreviations").items():
        for short, full in entries.items():
            words = short.split()
            phrase = _Phrase(
                tuple(word.rstrip(".").casefold() for word in words),
                tuple(word.endswith(".") for word in words),
                full,
                None if language == "any" else language,
            )
            found.setdefault(phrase.words[0], []).append(phrase)
    for phrases in found.values():
        phrases.sort(key=lambda phrase: (-len(phrase.words), phrase.language is None))
    return found
