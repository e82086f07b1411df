"""Finds colours by the plain words a composer would use for a sound, in any of the languages."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TypeVar
from unicodedata import combining, normalize

from core.knowledge.loader import load
from core.organ.spelling import stop_label
from core.resolve.colour_book.model import Book, Colour, Gap

LANGUAGES = ("en", "fr", "de", "it", "es", "nl")
_STEM = 4  # letters two forms of a word must share
_ENDING = 3  # letters they may differ by at the end
_FEW = 6  # stops up to which a colour can be found by their names
_STRANGE = 3  # places that another tradition's custom comes down by
_MOST_WORDS = 4  # words that a phrase of the list may have

_Entry = TypeVar("_Entry", Colour, Gap)


@dataclass(frozen=True, slots=True)
class Sought:
    """What was understood of a search.

    Attributes:
        sounds: ids of the plain words.
        rest: words that are none of them: names of stops or colours.
    """

    sounds: tuple[str, ...]
    rest: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found, the most fitting first; colours of the same stops once."""

    sought: Sought
    colours: tuple[Colour, ...]
    gaps: tuple[Gap, ...]


def folded(text: str) -> str:
    """A text without capitals, accents and signs, for comparing."""
    plain = "".join(c for c in normalize("NFKD", text.casefold().replace("ß", "ss")) if not combining(c))
    return " ".join("".join(c if c.isalnum() or c in "/⁄" else " " for c in plain).split())


@cache
def plain_words() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Id of a sound to language to its words, the customary one first."""
    return {
        sound: {tongue: tuple(words[tongue]) for tongue in LANGUAGES}
        for sound, words in load("colour_words")["words"].items()
    }


def word_for(sound: str, language: str) -> str:
    """The customary word for a sound in a language."""
    return plain_words()[sound][language if language in LANGUAGES else "en"][0]


@lru_cache(maxsize=512)
def sought_in(text: str, language: str | None = None) -> Sought:
    """The plain words in a text; those of the language given come before those of others."""
    tokens = folded(text).split()
    sounds: list[str] = []
    rest: list[str] = []
    at = 0
    while at < len(tokens):
        for length in range(min(_MOST_WORDS, len(tokens) - at), 0, -1):
            hits = _sounds_of(" ".join(tokens[at : at + length]), language)
            if hits:
                sounds += hits
                at += length
                break
        else:
            if tokens[at] not in _small_words():
                rest.append(tokens[at])
            at += 1
    return Sought(tuple(dict.fromkeys(sounds)), tuple(rest))


def _small_words() -> frozenset[str]:
    return frozenset(load("colour_words")["small_words"])


def _sounds_of(phrase: str, language: str | None) -> tuple[str, ...]:
    """The sounds that a word or phrase names: the very word, else another form of one."""
    for tongues in ((language,) if language in LANGUAGES else (), LANGUAGES):
        exact = [s for s, tongue, word in _index() if tongue in tongues and word == phrase]
        if exact:
            return tuple(exact)
    for tongues in ((language,) if language in LANGUAGES else (), LANGUAGES):
        near = [s for s, tongue, word in _index() if tongue in tongues and _is_form(phrase, word)]
        if near:
            return tuple(near)
    return ()


@cache
def _index() -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (sound, tongue, folded(word))
        for sound, tongues in plain_words().items()
        for tongue, words in tongues.items()
        for word in words
    )


def _is_form(one: str, word: str) -> bool:
    """Whether two words are forms of one: argentée and argenté, festliche and festlich."""
    if " " in one or " " in word:
        return False
    shared = next((n for n, (a, b) in enumerate(zip(one, word, strict=False)) if a != b), min(len(one), len(word)))
    short, long = sorted((len(one), len(word)))
    return shared >= _STEM and shared >= short - 1 and long - shared <= _ENDING


def find(book: Book, text: str, language: str | None = None) -> Found:
    """The colours and gaps that a text asks for; all of the book where it is empty."""
    sought = sought_in(text.strip(), language)
    if not sought.sounds and not sought.rest:
        return Found(sought, book.colours, book.gaps)
    own = book.organ.tradition
    colours = _fitting(book.colours, sought, lambda c: _texts_of(book, c), own)
    gaps = _fitting(book.gaps, sought, lambda g: folded(f"{g.name} {g.id.replace('-', ' ')}"), own)
    return Found(sought, tuple(_once(colours)), tuple(gaps))


def _fitting(
    entries: Iterable[_Entry], sought: Sought, texts: Callable[[_Entry], str], own: str | None
) -> list[_Entry]:
    """The entries that most of the words fit, the most fitting first; another tradition's customs come later."""
    ranked: list[tuple[int, int, int, _Entry]] = []
    for number, entry in enumerate(entries):
        said = texts(entry) if sought.rest else ""
        hits = [entry.sounds.index(s) for s in sought.sounds if s in entry.sounds]
        if not all(word in said for word in sought.rest) or (sought.sounds and not hits):
            continue
        strange = 0 if own is None or "any" in entry.traditions or own in entry.traditions else _STRANGE
        ranked.append((-len(hits), sum(hits) + strange, number, entry))
    most = min((row[0] for row in ranked), default=0)
    return [row[3] for row in sorted(ranked, key=lambda row: row[:3]) if row[0] == most]


def _texts_of(book: Book, colour: Colour) -> str:
    """What a colour can be found by beside its sounds."""
    organ = book.organ
    stops = " ".join(stop_label(organ.stop(s)) for s in colour.stops) if len(colour.stops) <= _FEW else ""
    names = " ".join(map(str, (colour.name, *colour.also)))
    return folded(f"{names} {stops} {organ.division(colour.division).name} {' '.join(colour.traditions)}")


def _once(colours: Iterable[Colour]) -> Iterable[Colour]:
    seen: set[object] = set()
    for one in colours:
        key = (one.division, frozenset(one.stops), one.tremulant, one.box, one.couplers)
        if key not in seen:
            seen.add(key)
            yield one
