"""What follows from a score's notes alone: worked out once, however often the markings over them change."""

from __future__ import annotations

from functools import cached_property

from core.score.held import Grip, Held, grips, held_notes
from core.score.lines import HandLine, read_lines
from core.score.model import Note, Score


class Music:
    """The notes of a score as hands and feet play them. Two scores with the same notes share one."""

    def __init__(self, score: Score) -> None:
        self._score = score
        self.notes = score.notes

    @cached_property
    def lines(self) -> dict[str, HandLine]:
        """What right hand, left hand and feet strike, moment by moment."""
        return read_lines(self._score)

    @cached_property
    def grips(self) -> dict[str, list[Grip]]:
        """The keys that each hand and the feet hold at every onset of theirs."""
        return {hand: list(grips(self._score, hand)) for hand in ("right", "left", "feet")}

    @cached_property
    def held(self) -> dict[str, list[Held]]:
        """The sounds of each hand, ties joined, in order of onset."""
        return {hand: held_notes(self.notes, hand) for hand in ("right", "left")}

    @cached_property
    def longest(self) -> dict[str, int]:
        """Ticks of the longest sound of each hand."""
        return {hand: max((n.end - n.onset for n in held), default=0) for hand, held in self.held.items()}

    @cached_property
    def hand_notes(self) -> dict[str, list[Note]]:
        """The notes of each hand and the feet in order of onset (grace and cue notes left out)."""
        found: dict[str, list[Note]] = {"right": [], "left": [], "feet": []}
        for note in self.notes:
            if note.hand in found and not note.cue and not note.grace:
                found[note.hand].append(note)
        return found
