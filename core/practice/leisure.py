"""Whether the time before a change is strict, slowing or the player's own: fermatas, rit., ad lib."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from enum import IntEnum
from functools import cache

from core.knowledge.loader import load
from core.score.lines import HandLine
from core.score.model import Score, ScoreText, Ticks

_NO_LETTERS = re.compile(r"[\W_]+")
_LONGEST = 60  # longer texts are prose


class Leisure(IntEnum):
    """How far time is the player's own."""

    STRICT = 0
    SLOWING = 1
    FREE = 2


def leisure_before(score: Score, texts: Iterable[ScoreText], lines: Mapping[str, HandLine], onset: Ticks) -> Leisure:
    """How time runs up to an onset.

    Args:
        score: the piece.
        texts: those that are no registration, in any order ("Trem. ad lib." gives no time).
        lines: what the hands strike.
        onset: the moment, in ticks as written.
    """
    if _under_fermata(score, lines, onset):
        return Leisure.FREE
    found, since = Leisure.STRICT, 0
    for at, meant in sorted(_words_of_pace(score, texts, onset)):
        found, since = meant, at
    if (
        found is Leisure.SLOWING
        and _bar_of(score, onset - 1) - _bar_of(score, since) >= load("practice")["slowing_lasts_bars"]
    ):
        return Leisure.STRICT
    return found


def _bar_of(score: Score, onset: Ticks) -> int:
    return score.bar_at(max(onset, 0)).index


def _words_of_pace(score: Score, texts: Iterable[ScoreText], onset: Ticks) -> Iterator[tuple[Ticks, Leisure]]:
    """Where words before an onset loosen or restore the time; a new tempo restores it."""
    for tempo in score.tempos:
        if tempo.onset < onset:
            yield tempo.onset, pace_of(tempo.text) or Leisure.STRICT
    for text in texts:
        meant = pace_of(text.text) if text.onset < onset else None
        if meant is not None:
            yield text.onset, meant


@cache
def pace_of(words: str) -> Leisure | None:
    """What a text says about the pace; None where it says nothing."""
    printed = _bare(words)
    if len(printed) > _LONGEST:
        return None
    for name, meant in (("free", Leisure.FREE), ("slowing", Leisure.SLOWING), ("strict", Leisure.STRICT)):
        if any(_bare(word) in printed for word in load("practice")[name]):
            return meant
    return None


@cache
def _bare(words: str) -> str:
    """Words without capitals and points, a space at either end."""
    return " " + _NO_LETTERS.sub(" ", words.casefold()).strip() + " "


def _under_fermata(score: Score, lines: Mapping[str, HandLine], onset: Ticks) -> bool:
    """Whether a fermata stands on what sounds, or on the rest, just before."""
    last = []
    for hand in ("right", "left"):
        line = lines[hand]
        index = line.from_(onset) - 1
        if index >= 0:
            last.append(line.moments[index].onset)
    return any(min(last) <= f.onset < onset for f in score.fermatas) if last else False
