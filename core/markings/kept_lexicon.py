"""The lexicon kept as JSON for a fast start: written by ``make knowledge``, taken while its data and code agree.

A phrase becomes an `Entry` only when it is looked up: a marking needs a few dozen of some twenty thousand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

from core.knowledge.loader import guard_of, knowledge_names, load_derived, write_derived
from core.markings.lexicon import LANGUAGES, Entry, Lexicon, built_lexicon
from core.markings.senses import Sense, Senses
from core.markings.stop_words import StopWord

NAME = "lexicon"
_CODE = ("lexicon.py", "senses.py", "kept_lexicon.py", "folding.py", "stop_words.py", "../organ/kinds.py")
_REMEMBERED = 100_000
K = TypeVar("K", str, tuple[str, str])


class KeptEntries(Mapping[K, Sequence[Entry]]):
    """Phrases by their first words, each made when it is asked for."""

    def __init__(self, raw: Mapping[str, list[Any]], senses: Callable[[int], Sense], key: Callable[[str], K]) -> None:
        self._raw = raw
        self._senses = senses
        self._key: Callable[[str], K] = key
        self._made: dict[K, Sequence[Entry]] = {}

    def __getitem__(self, key: K) -> Sequence[Entry]:
        """The phrases that begin so."""
        made = self._made.get(key)
        if not made:
            raw = self._raw[key if isinstance(key, str) else " ".join(key)]
            made = [Entry(tuple(rest), bool(capitals), Senses(map(self._senses, at))) for rest, capitals, at in raw]
            self._made[key] = made
        return made

    def get(self, key: Any, default: Any = None) -> Any:
        """The phrases that begin so, else the default; most pairs of words begin none, so no error is raised."""
        made = self._made.get(key)
        if made is not None:
            return made or default
        if (key if isinstance(key, str) else " ".join(key)) in self._raw:
            return self[key]
        if len(self._made) < _REMEMBERED:
            self._made[key] = ()  # the same two words will meet again
        return default

    def __iter__(self) -> Iterator[K]:
        """All first words, in the order of building."""
        return map(self._key, self._raw)

    def __len__(self) -> int:
        """How many there are."""
        return len(self._raw)

    def __contains__(self, key: object) -> bool:
        """Whether any phrase begins so."""
        return (key if isinstance(key, str) else " ".join(key) if isinstance(key, tuple) else None) in self._raw


class _Senses:
    """Senses by their number, each made once."""

    def __init__(self, raw: list[list[Any]]) -> None:
        self._raw = raw
        self._made: dict[int, Sense] = {}

    def __call__(self, at: int) -> Sense:
        made = self._made.get(at)
        if made is None:
            kind, value, language, stop = self._raw[at]
            made = self._made[at] = Sense(kind, value, language, _stop_word(stop) if stop else None)
        return made


def _stop_word(raw: list[Any]) -> StopWord:
    name, family, feet, kind, language, expands_to, pedal_family = raw
    return StopWord(name, family, Fraction(feet) if feet else None, kind, language, expands_to, pedal_family)


def kept_lexicon() -> Lexicon | None:
    """The lexicon as it was kept; None where its data or code have changed since."""
    data = load_derived(NAME, _guard())
    if data is None:
        return None
    senses = _Senses(data["senses"])
    return Lexicon(
        single=KeptEntries(data["single"], senses, str),
        longer=KeptEntries(data["longer"], senses, _pair),
    )


def _pair(key: str) -> tuple[str, str]:
    first, _, second = key.partition(" ")
    return first, second


def _guard() -> str:
    here = Path(__file__).parent
    stops = [name for name in knowledge_names() if name.startswith("stops/")]
    languages = [f"languages/{language}" for language in LANGUAGES]
    return guard_of([*languages, *stops, "bare_names"], [str(here / code) for code in _CODE])


def keep_lexicon() -> None:
    """Build the lexicon and write it for the next start."""
    words = built_lexicon()
    numbers: dict[Sense, int] = {}
    single = {key: _raw(entries, numbers) for key, entries in words.single.items()}
    longer = {" ".join(key): _raw(entries, numbers) for key, entries in words.longer.items()}
    senses = [[sense.kind, sense.value, sense.language, _raw_stop(sense.stop)] for sense in numbers]
    write_derived(NAME, _guard(), {"senses": senses, "single": single, "longer": longer})


def _raw(entries: Sequence[Entry], numbers: dict[Sense, int]) -> list[Any]:
    return [
        [list(entry.rest), int(entry.capitals), [numbers.setdefault(sense, len(numbers)) for sense in entry.senses]]
        for entry in entries
    ]


def _raw_stop(stop: StopWord | None) -> list[Any] | None:
    if stop is None:
        return None
    feet = str(stop.feet) if stop.feet is not None else None
    return [stop.name, stop.family, feet, stop.kind, stop.language, stop.expands_to, stop.pedal_family]


if __name__ == "__main__":
    keep_lexicon()
