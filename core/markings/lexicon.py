"""The words of markings: one table per language, one index over all of them.

A language is a file under core/knowledge/languages; a user's own words are a file of the same form.
An entry of the index is a phrase of one or more folded words with the senses it may have.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any, NamedTuple

from core.knowledge.loader import load
from core.markings.folding import fold_words
from core.markings.senses import ORDER, Sense, Senses
from core.markings.stop_words import StopWord, stop_words

LANGUAGES = ORDER
_SHORT = 4


class Entry(NamedTuple):
    """A phrase of the index: its words after the first, whether capitals are asked for, its senses."""

    rest: tuple[str, ...]
    capitals: bool
    senses: Senses


@dataclass(frozen=True, slots=True, eq=False)
class Lexicon:
    """All phrases.

    Attributes:
        single: phrases of one word.
        longer: phrases of more words by their first two, the longest first.
    """

    single: Mapping[str, Sequence[Entry]]
    longer: Mapping[tuple[str, str], Sequence[Entry]]

    def joined_with(self, other: Lexicon) -> Lexicon:
        """Both lexicons' phrases; where both have one, the other's (the user's) senses come first."""
        single, longer = dict(self.single), dict(self.longer)
        for first, entries in other.single.items():
            single[first] = (*entries, *single.get(first, ()))
        for pair, entries in other.longer.items():
            longer[pair] = sorted((*entries, *longer.get(pair, ())), key=lambda entry: -len(entry.rest))
        return Lexicon(single, longer)


def _phrases(words: Mapping[str, Any], language: str) -> Iterator[tuple[str, Sense]]:
    for kind, content in words.items():
        if kind == "abbreviation":
            continue
        if isinstance(content, Mapping):
            for value, spellings in content.items():
                for spelling in spellings:
                    yield str(spelling), Sense(kind, str(value), language)
        else:
            for spelling in content:
                yield str(spelling), Sense(kind, "", language)


def _own_stops(data: Mapping[str, Any], language: str) -> Iterator[tuple[str, Sense]]:
    """Stops that a language file adds to the stop table: ``Name: {family, feet, words}``."""
    for name, facts in (data.get("stops") or {}).items():
        feet = facts.get("feet")
        pitch = sum((Fraction(part) for part in str(feet).split()), Fraction(0)) if feet else None
        word = StopWord(
            name=str(name),
            family=facts.get("family"),
            feet=pitch,
            kind=facts.get("kind"),
            pedal_family=facts.get("pedal_family"),
        )
        for spelling in (name, *facts.get("words", ())):
            expands = str(spelling) != str(name)
            yield str(spelling), Sense("stop", str(name) if expands else "", language, word)


def _abbreviations(
    words: Mapping[str, Any], language: str, stops: Mapping[tuple[str, ...], Sense]
) -> Iterator[tuple[str, Sense]]:
    """Abbreviated stop names; what they stand for is looked up among the stops."""
    for full, shorts in (words.get("abbreviation") or {}).items():
        found = stops.get(fold_words(str(full)))
        word = found.stop if found else StopWord(name=str(full))
        for short in shorts:
            yield str(short), Sense("stop", str(full), language, word)


def build_lexicon(languages: Iterable[Mapping[str, Any]], *, with_stops: bool = True) -> Lexicon:
    """One index from language tables of the form of core/knowledge/languages."""
    tables = list(languages)
    pairs: list[tuple[str, Sense]] = []
    known: dict[tuple[str, ...], Sense] = {}
    if with_stops:
        for spelling, word in stop_words():
            sense = Sense("stop", word.expands_to or "", word.language, word)
            pairs.append((spelling, sense))
            known.setdefault(fold_words(spelling), sense)
    for data in tables:
        for spelling, sense in _own_stops(data, str(data["language"])):
            pairs.append((spelling, sense))
            known[fold_words(spelling)] = sense
    never = {fold_words(str(word)) for data in tables for word in data.get("never_stops") or ()}
    pairs = [(spelling, sense) for spelling, sense in pairs if fold_words(spelling) not in never]
    for data in tables:
        language = str(data["language"])
        words = data.get("words") or {}
        pairs.extend(_abbreviations(words, language, known))
        pairs.extend(_phrases(words, language))
    return _index(pairs)


def _index(pairs: Iterable[tuple[str, Sense]]) -> Lexicon:
    gathered: dict[tuple[tuple[str, ...], bool], dict[Sense, None]] = {}
    for spelling, sense in pairs:
        key = fold_words(spelling)
        if not key:
            continue
        capitals = len(spelling) <= 2 * _SHORT and spelling.isupper() and sum(map(str.isalpha, spelling)) <= _SHORT
        gathered.setdefault((key, capitals), {})[sense] = None
        if len(key) > 1 and all(len(word) == 1 for word in key):
            gathered.setdefault((("".join(key),), True), {})[sense] = None
        elif len(key) == 2 and min(map(len, key)) > 2 and sense.kind in ("stop", "division", "plenum", "recipe"):
            gathered.setdefault((("".join(key),), capitals), {})[sense] = None
    single: dict[str, list[Entry]] = {}
    longer: dict[tuple[str, str], list[Entry]] = {}
    for (key, capitals), senses in gathered.items():
        entry = Entry(key[1:], capitals, Senses(senses))
        if len(key) == 1:
            single.setdefault(key[0], []).append(entry)
        else:
            longer.setdefault((key[0], key[1]), []).append(entry)
    for group in (single, longer):
        for entries in group.values():
            if len(entries) > 1:
                entries.sort(key=_longest_first)
    return Lexicon(single, longer)


def _longest_first(entry: Entry) -> tuple[int, bool]:
    return (-len(entry.rest), not entry.capitals)


def near_shapes(word: str) -> set[str]:
    """The word and the word with one letter left out: two words one letter apart share a shape."""
    return {word, *(word[:k] + word[k + 1 :] for k in range(len(word)))}


@lru_cache(maxsize=4)  # with words of the user's there is a lexicon for every word that is tried
def near_index(lexicon: Lexicon) -> dict[str, list[str]]:
    """Shapes of the single words, for near misses; made when the first unknown word is met."""
    near: dict[str, list[str]] = {}
    for first in lexicon.single:
        if len(first) >= _SHORT:
            for shape in near_shapes(first):
                near.setdefault(shape, []).append(first)
    return near


@cache
def lexicon() -> Lexicon:
    """The built-in languages and the stop names, indexed once: as kept, or built where that is out of date."""
    from core.markings.kept_lexicon import kept_lexicon

    return kept_lexicon() or built_lexicon()


def built_lexicon() -> Lexicon:
    """The same, built from the data files."""
    return build_lexicon(load(f"languages/{language}") for language in LANGUAGES)


def user_lexicon(data: Mapping[str, Any]) -> Lexicon:
    """A user's own words, a table of the same form as a language's."""
    return build_lexicon([data], with_stops=False)
