"""What a rule may look at: the piece, the organ, the registration in force, the passages."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import ParamSpec, TypeVar

from core.markings.gathering import MarkingRead, Markings
from core.markings.house_style import Style
from core.markings.lexicon import Lexicon
from core.memory import Memory
from core.organ.model import Division, Organ, Stop
from core.passages.model import Passage
from core.position import Position
from core.practice.changes import Change, changes_of
from core.practice.leisure import Leisure, leisure_before
from core.practice.player import ALONE, Player
from core.resolve.hands import Layout, read_layout
from core.resolve.model import Keyboards, Step
from core.resolve.stretches import Stretch, read_stretches
from core.score.held import Grip, Held
from core.score.lines import HandLine, Moment
from core.score.model import MarkingId, Score, ScoreText, Ticks
from core.score.music import Music
from core.sounding.pipes import reachable_stops

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True)
class Context:
    """The whole walk's result so far, with indexes derived once.

    Attributes:
        music: what follows from the notes alone.
        memory: of this walk; see `recall`.
        player: alone, or with assistants.
        style: the house style to prove the markings against, where one is chosen.
        words: the user's own.
    """

    score: Score
    markings: Markings
    organ: Organ | None
    keyboards: Keyboards
    steps: tuple[Step, ...]
    passages: tuple[Passage, ...]
    music: Music
    memory: Memory
    style: Style | None = None
    words: Lexicon | None = None
    player: Player = ALONE

    @property
    def lines(self) -> dict[str, HandLine]:
        """What right hand, left hand and feet strike, moment by moment."""
        return self.music.lines

    def recall(self, work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """The value of a pure function, from the last walk where its arguments are the same.

        Meant for what looks at many notes. Everything that the outcome depends on must be an argument.
        """
        return self.memory.recall(work, *args, **kwargs)

    @property
    def the_organ(self) -> Organ:
        """The organ, for rules that need one."""
        assert self.organ is not None
        return self.organ

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """Stretches in which one registration holds, in played order."""
        return read_stretches(self.score, self.steps)

    @property
    def grips(self) -> dict[str, list[Grip]]:
        """The keys that each hand and the feet hold at every onset of theirs."""
        return self.music.grips

    @property
    def held(self) -> dict[str, list[Held]]:
        """The sounds of each hand, ties joined, in order of onset."""
        return self.music.held

    @cached_property
    def layout(self) -> Layout:
        """Which staff is whose."""
        return read_layout(self.score, self.markings)

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """What each step asks of the player, in order."""
        return changes_of(self.score, self.steps, self.lines)

    @cached_property
    def plain_texts(self) -> list[ScoreText]:
        """The texts that ask for no registration: tempo, expression, cues."""
        asking = {mark.id for mark in self.markings.marks}
        return [text for text in self.score.texts if text.id not in asking]

    def leisure(self, onset: Ticks) -> Leisure:
        """Whether the time up to an onset is strict, slowing or the player's own."""
        return leisure_before(self.score, self.plain_texts, self.lines, onset)

    @cached_property
    def instructed(self) -> list[Ticks]:
        """Written onsets of the steps at which a marking instructs, in order."""
        return sorted(int(step.at.onset * self.score.ticks) for step in self.steps if step.instructions)

    @cached_property
    def marks(self) -> dict[MarkingId, MarkingRead]:
        """Markings by id."""
        return {m.id: m for m in self.markings.all_texts}

    @cached_property
    def _first_times(self) -> tuple[list[Ticks], list[Stretch]]:
        firsts = sorted((s for s in self.stretches if s.nth == 1), key=lambda s: s.start)
        return [s.start for s in firsts], firsts

    def stretch_at(self, onset: Ticks) -> Stretch | None:
        """The stretch that holds a written onset the first time it is played."""
        starts, firsts = self._first_times
        index = bisect_left(starts, onset + 1) - 1
        if index < 0 or firsts[index].end <= onset:
            return None
        return firsts[index]

    def moments(self, hand: str, stretch: Stretch) -> tuple[Moment, ...]:
        """What a hand strikes within a stretch."""
        return self.lines[hand].between(stretch.start, stretch.end)

    def playing(self) -> Sequence[tuple[Stretch, str, str, tuple[Moment, ...]]]:
        """Every (stretch, hand, division id, moments) in which a hand plays on a known division."""
        return self._playing

    @cached_property
    def _playing(self) -> list[tuple[Stretch, str, str, tuple[Moment, ...]]]:
        return list(self._find_playing())

    @cached_property
    def sounding(self) -> list[tuple[Stretch, str, str, tuple[Moment, ...], tuple[Stop, ...]]]:
        """The same with the stops that sound there."""
        return [
            (stretch, hand, division, moments, tuple(s for _, s in self._reached(stretch, division)))
            for stretch, hand, division, moments in self._playing
        ]

    def _reached(self, stretch: Stretch, division: str) -> tuple[tuple[Division, Stop], ...]:
        return reachable_stops(self.the_organ, stretch.registration, division)

    def _find_playing(self) -> Iterator[tuple[Stretch, str, str, tuple[Moment, ...]]]:
        for stretch in self.stretches:
            for hand, division in stretch.registration.hands:
                if division is None:
                    continue
                moments = self.moments(hand, stretch)
                if moments:
                    yield stretch, hand, division, moments

    def position(self, onset: Ticks, bar: int | None = None, nth: int = 1) -> Position:
        """A written onset as a place."""
        return self.score.position(onset, bar, nth)
