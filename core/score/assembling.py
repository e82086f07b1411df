"""Putting together what was read, bars and notes and signs, to a score."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from core.score.arranging import arrange_lines, arrange_texts, tempos_in_order
from core.score.kept import Kept
from core.score.model import Bar, Dynamic, Fermata, Score
from core.score.playback import played_order
from core.score.source import Source

Sign = TypeVar("Sign", Dynamic, Fermata)
T = TypeVar("T")


def assemble(kept: Kept, source: Source, earlier: Score | None = None) -> Score:
    """The score in what was gathered.

    `earlier` is a score with the same bars: of what was made of the same signs there, it is taken from there.
    """
    found, bars = kept.found, kept.bars
    former = earlier.kept if earlier is not None else None
    movements = earlier.movements if earlier is not None else _movements(bars)
    if earlier is not None and former is not None and former.found.signs == found.signs:
        played, kept.playing = earlier.played, former.playing
    else:
        played, kept.playing = played_order(bars, found.signs, movements)
    if earlier is not None and former is not None and former.found.lines == found.lines:
        wedges, brackets, slurs, open_lines = earlier.wedges, earlier.brackets, earlier.slurs, former.open_lines
    else:
        wedges, brackets, slurs, open_lines = arrange_lines(found, bars)
    kept.open_lines = open_lines
    return Score(
        title=kept.title,
        ticks=found.ticks,
        parts=kept.players.parts,
        bars=bars,
        notes=kept.notes,
        texts=arrange_texts([*found.texts, *kept.headings], bars),
        wedges=wedges,
        brackets=brackets,
        slurs=slurs,
        dynamics=_former(earlier.dynamics if earlier else None, _in_order(found.dynamics)),
        tempos=_former(earlier.tempos if earlier else None, tempos_in_order(found.tempos)),
        fermatas=_former(earlier.fermatas if earlier else None, _in_order(set(found.fermatas))),
        played=played,
        movements=movements,
        repairs=(
            *source.repairs,
            *kept.repairs,
            *kept.players.offers,
            *found.repairs(),
            *open_lines,
            *kept.playing,
        ),
        kept=kept,
    )


def _in_order(signs: Iterable[Sign]) -> tuple[Sign, ...]:
    return tuple(sorted(signs, key=lambda sign: (sign.onset, sign.part, sign.staff)))


def _former(before: T | None, now: T) -> T:
    """The former thing where it is equal: what is the very same is soon compared."""
    return before if before is not None and before == now else now


def _movements(bars: tuple[Bar, ...]) -> tuple[int, ...]:
    """Bars at which the numbers start again after a close."""
    starts = [0]
    highest = -1
    for bar in bars:
        number = int(bar.number) if bar.number.isdecimal() and len(bar.number) < 6 else None
        if number is None:
            continue
        if number <= 1 and highest >= 2:
            starts.append(bar.index)
            highest = number
        highest = max(highest, number)
    return tuple(starts)
