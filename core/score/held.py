"""Which keys a hand holds down at each moment: those it strikes and those still held."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from core.organ.model import Key
from core.score.model import Note, Score, Ticks


class Grip(NamedTuple):
    """Keys that one hand holds at an onset; `struck` are those that begin there."""

    onset: Ticks
    bar: int
    staff: int
    keys: tuple[Key, ...]
    struck: tuple[Key, ...]


def grips(score: Score, hand: str) -> Iterator[Grip]:
    """Every onset of a hand with the keys it holds there (a tied note is held, not struck)."""
    notes = [n for n in score.notes if n.hand == hand and not n.grace and not n.cue]
    held: list[tuple[Ticks, Key]] = []
    index, count = 0, len(notes)
    while index < count:
        first = notes[index]
        onset = first.onset
        if held:
            held = [pair for pair in held if pair[0] > onset]
        struck = []
        while index < count and notes[index].onset == onset:
            note = notes[index]
            held.append((onset + note.duration, note.key))
            if note.tie is None or note.tie == "start":
                struck.append(note.key)
            index += 1
        keys = (held[0][1],) if len(held) == 1 else tuple(sorted({key for _, key in held}))
        yield Grip(onset, first.bar, first.staff, keys, tuple(struck))


class Held(NamedTuple):
    """A sound that one key makes, ties joined: from `onset` up to `end`."""

    onset: Ticks
    end: Ticks
    key: Key
    bar: int
    staff: int


def held_notes(notes: Iterable[Note], hand: str) -> list[Held]:
    """The notes of a hand with ties joined, in order of onset."""
    found: list[Held] = []
    open_ties: dict[tuple[Key, Ticks], int] = {}
    for note in notes:
        if note.hand != hand or note.grace or note.cue:
            continue
        end = note.onset + note.duration
        index = open_ties.pop((note.key, note.onset), None) if note.tie in ("stop", "both") else None
        if index is None:
            index = len(found)
            found.append(Held(note.onset, end, note.key, note.bar, note.staff))
        else:
            found[index] = found[index]._replace(end=end)
        if note.tie in ("start", "both"):
            open_ties[note.key, end] = index
    return found
