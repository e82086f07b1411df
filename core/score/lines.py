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
    alone: bool = True

    @property
    def is_single(self) -> bool:
        """Whether one key sounds alone: one struck, and none still held from before."""
        return self.alone and len(self.keys) == 1


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

    def after(self, onset: Ticks, count: int) -> Ticks:
        """The end of the `count`-th moment from an onset on."""
        moments = self.moments[self.from_(onset) :][:count]
        return moments[-1].end if moments else onset + 1

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
        return Fraction(sum(m.is_single for m in moments), len(moments))


def read_lines(score: Score) -> dict[str, HandLine]:
    """The lines of right hand, left hand and feet."""
    struck: dict[str, list[Note]] = {"right": [], "left": [], "feet": []}
    tied: list[Note] = []
    for note in score.notes:
        if note.grace or note.cue or note.hand not in struck:
            continue
        if note.tie is not None:
            tied.append(note)
            if note.tie != "start":
                continue
        struck[note.hand].append(note)
    ends = _tied_ends(tied)
    return {hand: HandLine(hand, _moments(notes, ends)) for hand, notes in struck.items()}


def _moments(notes: list[Note], ends: dict[int, Ticks]) -> list[Moment]:
    """Notes in order of onset gathered to moments; the common single note takes the short way."""
    found = []
    index, count, sounding = 0, len(notes), 0
    while index < count:
        first = notes[index]
        onset = first.onset
        after = index + 1
        while after < count and notes[after].onset == onset:
            after += 1
        end = ends.get(first.ordinal) or onset + first.duration
        keys: tuple[Key, ...] = (first.key,)
        if after > index + 1:
            together = notes[index:after]
            end = max(ends.get(n.ordinal) or onset + n.duration for n in together)
            keys = tuple(sorted({n.key for n in together}))
        found.append(Moment(onset, end, keys, first.bar, first.staff, first.part, onset >= sounding))
        sounding = max(sounding, end)
        index = after
    return found


def _tied_ends(tied: list[Note]) -> dict[int, Ticks]:
    """Where the sound of a tied note ends, by the ordinal of its first note."""
    ends: dict[int, Ticks] = {}
    pending: dict[tuple[int, Key, Ticks], int] = {}
    for note in tied:
        first = note.ordinal
        if note.tie in ("stop", "both"):
            first = pending.pop((note.part, note.key, note.onset), note.ordinal)
        end = note.onset + note.duration
        ends[first] = end
        if note.tie in ("start", "both"):
            pending[note.part, note.key, end] = first
    return ends
