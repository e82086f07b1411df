"""What a marking that is being typed may go on as: this organ's stops first, then the language's words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from unicodedata import combining, normalize

from core.knowledge.loader import load
from core.organ.model import Division, Organ
from core.organ.spelling import coupler_label, stop_label

_LANGUAGE_KINDS = ("division", "hand", "family", "plenum", "recipe", "add", "take_off", "prepare", "box", "solo")
_SHORTEST = 4  # letters: what is shorter is typed as fast as it is chosen
_WORD = re.compile(r"(?:^|(?<=[\s,;:+&(\[]))(?=\S)")


@dataclass(frozen=True, slots=True)
class Completion:
    """One way to go on: `words` would stand in place of the text from `start` on."""

    start: int
    words: str

    def of(self, text: str) -> str:
        """The whole text, completed."""
        return text[: self.start] + self.words


def complete(
    text: str, organ: Organ | None, language: str | None, *, division: str | None = None, most: int = 6
) -> tuple[Completion, ...]:
    """How the end of a text may go on, best first.

    Args:
        text: what has been typed, up to the cursor.
        organ: whose stops come first.
        language: whose words come after them.
        division: id of the division that the text has named; its stops stand before the others'.
        most: how many at the most.
    """
    if not text or text[-1].isspace():
        return ()
    words = [*_stops_of(organ, division), *_words_of(language or (organ.language if organ else None) or "en")]
    found: dict[str, Completion] = {}
    for start in (match.start() for match in _WORD.finditer(text)):
        typed = _folded(text[start:])
        for word in words:
            folded = _folded(word)
            if len(folded) > len(typed) and folded.startswith(typed):
                found.setdefault(folded, Completion(start, word))
        if len(found) >= most:
            break
    return tuple(found.values())[:most]


def _stops_of(organ: Organ | None, division: str | None) -> Iterator[str]:
    if organ is None:
        return
    ordered: Iterable[Division] = sorted(organ.divisions, key=lambda d: d.id != division)
    for one in ordered:
        for stop in one.stops:
            if stop.in_use:
                yield stop_label(stop)
    for coupler in organ.couplers:
        yield coupler_label(organ, coupler)


@lru_cache(maxsize=16)
def _words_of(language: str) -> tuple[str, ...]:
    """The language's own words of registration, in the order of its table."""
    try:
        words = load(f"languages/{language}").get("words") or {}
    except (FileNotFoundError, KeyError):
        return ()
    found: dict[str, None] = {}
    for kind in _LANGUAGE_KINDS:
        content = words.get(kind) or ()
        lists = content.values() if isinstance(content, dict) else (content,)
        for spellings in lists:
            for spelling in spellings:
                if len(str(spelling)) >= _SHORTEST:
                    found.setdefault(str(spelling))
    return tuple(found)


@lru_cache(maxsize=8192)
def _folded(text: str) -> str:
    """Without accents and capitals, so that “recit” finds “Récit”."""
    return "".join(sign for sign in normalize("NFKD", text.casefold()) if not combining(sign))
