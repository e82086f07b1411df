"""What a word may mean: its senses, and what is asked of them over and over, worked out once for each phrase."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from core.markings.stop_words import StopWord

ORDER = ("en", "fr", "de", "it", "es", "nl", "la")
COMPACT = "compact_stop"
_KNOWN = frozenset(ORDER)
_LIGHT = frozenset(
    {"and", "or", "with", "to", "of", "at", "filler", "unit", "dynamic", "stop", "initials", "other", "title"}
)
_HEAVY = 1.0
_SLIGHT = 0.35
_TELLING = """compact_stop two_manuals cancel at to manuals_only namely heading pass recipe plenum full full_plenum
family octave coupler box_of box_state pedal_coupler division solo stop coupled quality"""
PRECEDENCE = {kind: rank for rank, kind in enumerate(_TELLING.split())}


class Sense(NamedTuple):
    """One meaning a phrase may have.

    Attributes:
        kind: what sort of word it is: ``division``, ``stop``, ``family``, ``add``, ``tempo`` …
        value: which one: the role, the family, the quality …
        language: whose word it is; ``""`` for a word of every language.
        stop: for stops: what is known of it.
    """

    kind: str
    value: str = ""
    language: str = ""
    stop: StopWord | None = None


class Senses(tuple[Sense, ...]):
    """The senses of one phrase. A phrase stands in many texts, so what it says is kept with it."""

    @cached_property
    def kinds(self) -> frozenset[str]:
        """Their kinds."""
        return frozenset(sense.kind for sense in self)

    @cached_property
    def votes(self) -> tuple[tuple[str, float], ...]:
        """What the phrase says for each language: its words of substance much, names and small words little."""
        weights: dict[str, float] = {}
        for sense in self:
            if sense.language:
                weight = _SLIGHT if sense.kind in _LIGHT else _HEAVY
                weights[sense.language] = max(weight, weights.get(sense.language, 0.0))
        if len(weights) == len(ORDER):
            return ()
        return tuple((language, weight / len(weights)) for language, weight in weights.items() if language in _KNOWN)

    @cached_property
    def _best(self) -> dict[str, Sense]:
        return {}

    def best(self, language: str) -> Sense:
        """The sense of that language; among several, and among none, the one of the more telling kind."""
        best = self._best.get(language)
        if best is None:
            best = self._best[language] = best_sense(self, language)
        return best

    @cached_property
    def _names(self) -> dict[tuple[str, str], str]:
        return {}

    def full_name(self, kind: str, language: str) -> str:
        """The stop's name in full that an abbreviation of a kind stands for; empty where it is none."""
        name = self._names.get((kind, language))
        if name is None:
            name = self._names[kind, language] = _full_name([s for s in self if s.kind == kind], language)
        return name

    @cached_property
    def compact(self) -> Senses:
        """Those of names by letters (P8, SB16), which hold where a number follows at once."""
        return Senses(sense for sense in self if sense.kind == COMPACT)

    @cached_property
    def spelled(self) -> Senses:
        """All but those of names by letters."""
        return Senses(sense for sense in self if sense.kind != COMPACT) if COMPACT in self.kinds else self

    @cached_property
    def unshortened(self) -> Senses:
        """Those that hold for a short word in small letters without a point: no abbreviated stops."""
        return Senses(sense for sense in self.spelled if sense.kind != "stop" or not sense.value)

    def only(self, kind: str) -> Senses:
        """Those of one kind, else all."""
        return Senses(sense for sense in self if sense.kind == kind) or self if kind in self.kinds else self

    def but(self, kind: str) -> Senses:
        """Those of other kinds, else all."""
        return Senses(sense for sense in self if sense.kind != kind) or self if kind in self.kinds else self


def _full_name(senses: list[Sense], language: str) -> str:
    """The language's own first, then that of every language; another's where this one has no such name in full."""
    full = next((s.value for s in senses if s.value and s.language == language), "")
    full = full or next((s.value for s in senses if s.value and not s.language), "")
    if not full and not any(s.language == language and not s.value for s in senses):
        full = next((s.value for s in senses if s.value), "")
    return full


NO_SENSES = Senses()


def best_sense(senses: Iterable[Sense], language: str) -> Sense:
    """The sense of a language, by the same rule, among any."""

    def rank(sense: Sense) -> tuple[int, int, int]:
        own = 0 if sense.language == language else 1 if not sense.language else 2
        order = ORDER.index(sense.language) if sense.language in ORDER else len(ORDER)
        return (own, PRECEDENCE.get(sense.kind, len(PRECEDENCE)), order)

    return min(senses, key=rank)
