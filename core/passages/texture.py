"""What a hand plays, moment by moment: a line or chords, where it rests, where it is held."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from core.organ.model import Key
from core.score.model import Note, Score, Ticks


class Moment(NamedTuple):
    """The notes that one hand strikes together."""

    onset: Ticks
    end: Ticks
    keys: tuple[Key, ...]
    bar: int
    staff: int
    part: int


class HandLine:
    """All moments of one hand in order (grace and cue notes left out; a tied note is struck once)."""

    __slots__ = ("_onsets", "hand", "moments")

    def __init__(self, hand: str, moments: Sequence[Moment]) -> None:
        self.hand = hand
        self.moments = tuple(moments)
        self._onsets = [m.onset for m in moments]

    def from_(self, onset: Ticks) -> int:
        """Index of the first moment at or after an onset."""
        return bisect_left(self._onsets, onset)

    def held_over(self, onset: Ticks) -> Moment | None:
        """The moment struck before an onset that still sounds there, or None."""
        index = bisect_left(self._onsets, onset) - 1
        if index >= 0 and self.moments[index].end > onset:
            return self.moments[index]
        return None

    def strikes_at(self, onset: Ticks) -> bool:
        """Whether a note begins just there."""
        index = self.from_(onset)
        return index < len(self.moments) and self.moments[index].onset == onset

    def between(self, start: Ticks, end: Ticks) -> tuple[Moment, ...]:
        """The moments struck from `start` up to, not including, `end`."""
        return self.moments[self.from_(start) : bisect_right(self._onsets, end - 1)]

    def line_share(self, start: Ticks, end: Ticks) -> Fraction:
        """Share of the moments in a stretch that are single notes (0 where the hand is silent)."""
        moments = self.between(start, end)
        if not moments:
            return Fraction(0)
        return Fraction(sum(len(m.keys) == 1 for m in moments), len(moments))


def read_lines(score: Score) -> dict[str, HandLine]:
    """The lines of right hand, left hand and feet."""
    struck: dict[str, dict[Ticks, list[Note]]] = {"right": {}, "left": {}, "feet": {}}
    for note in score.notes:
        if note.hand in struck and not note.grace and not note.cue and note.tie not in ("stop", "both"):
            struck[note.hand].setdefault(note.onset, []).append(note)
    ends = _tied_ends(score)
    return {
        hand: HandLine(hand, [_moment(onset, struck_at[onset], ends) for onset in sorted(struck_at)])
        for hand, struck_at in struck.items()
    }


def _moment(onset: Ticks, notes: list[Note], ends: dict[int, Ticks]) -> Moment:
    return Moment(
        onset,
        max(ends.get(n.ordinal, n.onset + n.duration) for n in notes),
        tuple(sorted({n.key for n in notes})),
        notes[0].bar,
        notes[0].staff,
        notes[0].part,
    )


def _tied_ends(score: Score) -> dict[int, Ticks]:
    """Where the sound of a tied note ends, by the ordinal of its first note."""
    ends: dict[int, Ticks] = {}
    pending: dict[tuple[int, Key, Ticks], int] = {}
    for note in score.notes:
        if note.tie is None or note.grace:
            continue
        first = note.ordinal
        if note.tie in ("stop", "both"):
            first = pending.pop((note.part, note.key, note.onset), note.ordinal)
        end = note.onset + note.duration
        ends[first] = end
        if note.tie in ("start", "both"):
            pending[note.part, note.key, end] = first
    return ends
