"""What was read from a score: bars, notes, texts and signs in exact time. Immutable values.

Times are integer ticks of the score's common denominator (`Score.ticks` to a quarter note); `Fraction`
quarters at the doors (`Score.quarters`, `Score.position`).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from core.organ.model import Key
from core.position import Position
from core.texts import Said

if TYPE_CHECKING:
    from core.score.kept import Kept

Ticks = int


class Tie(StrEnum):
    """How a note is tied."""

    START = "start"
    STOP = "stop"
    BOTH = "both"


class Note(NamedTuple):
    """A written note (rests are not listed).

    Attributes:
        part: index of its part.
        staff: staff within the part, from 1.
        bar: index of its bar.
        onset: ticks from the start as written.
        duration: ticks; 0 for grace notes.
        spelling: ``F#4``: the key asked for (a transposing part already transposed); ``""`` for a drum.
        key: the same as a MIDI number; -1 for a drum.
        tie: ``start``, ``stop``, ``both`` or None.
        hand: ``right``, ``left``, ``feet`` or None (not the organ's, cue or ossia), by staff alone.
        ordinal: which note element of the file this is, from 0 in document order.
    """

    part: int
    staff: int
    voice: str
    bar: int
    onset: Ticks
    duration: Ticks
    spelling: str
    key: Key
    grace: bool
    cue: bool
    tie: str | None
    hand: str | None
    ordinal: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar of the file; `index` is the key, `number` is what is printed."""

    index: int
    number: str
    onset: Ticks
    length: Ticks
    beats: str = "4"
    beat_type: int = 4
    fifths: int = 0
    implicit: bool = False
    barline: str | None = None  # "light-light", "light-heavy" … at its end
    new_page: bool = False
    new_system: bool = False
    key_changes: bool = False
    time_changes: bool = False


class PlayedBar(NamedTuple):
    """One bar in played order: which bar, the n-th time it is played, ticks from the start as played."""

    bar: int
    nth: int
    onset: Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the score.

    Attributes:
        organ: played by the organist.
        staves: number of staves.
        hands: per staff (from staff 1): ``right``, ``left``, ``feet`` or None.
        why: why it was taken for the organ's, or not.
    """

    id: str
    name: str
    organ: bool
    staves: int
    hands: tuple[str | None, ...]
    why: Said
    hands_why: Said


@dataclass(frozen=True, slots=True, order=True)
class MarkingId:
    """What names a marking: part, bar index, staff, onset in the bar (ticks), ordinal among equals."""

    part: int
    bar: int
    staff: int
    in_bar: Ticks
    ordinal: int


class TextKind(StrEnum):
    """Where in the file a text stands."""

    WORDS = "words"
    REHEARSAL = "rehearsal"
    OTHER_DIRECTION = "other-direction"
    CREDIT = "credit"
    FOOTNOTE = "footnote"
    PART_NAME = "part-name"
    LYRIC = "lyric"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreText:
    """A text of the score (all runs of one direction joined).

    Attributes:
        staff: staff within its part, from 1.
        onset: printed place in ticks as written.
        sounding_onset: place in the document order (differs where an offset moves the print).
        placement: ``above``, ``below`` or None where unknown.
        order: printed order among the texts of one place: the higher number stands higher, and is read first.
        element: ordinal of its element in the file, from 0 among all of its tag in document order: the
            `direction`, `credit`, or `score-part`; for a footnote the note or direction that bears it.
        runs: the texts of its runs, in order; joined they are `text`. A run of one space stands for a sign
            (a dynamic) that is drawn between two words.
        role: what the file says of a credit (``title``, ``rights``) or a footnote (``footnote of note``).
    """

    id: MarkingId
    text: str
    kind: TextKind
    part: int
    staff: int
    bar: int
    onset: Ticks
    sounding_onset: Ticks
    placement: str | None
    order: int
    element: int
    runs: tuple[str, ...] = ()
    boxed: bool = False
    role: str = ""


class Wedge(NamedTuple):
    """A hairpin: ``crescendo`` or ``diminuendo`` from `onset` to `end` (ticks as written)."""

    part: int
    staff: int
    bar: int
    onset: Ticks
    end: Ticks
    growing: bool
    placement: str | None


class BracketLine(NamedTuple):
    """A bracket or dashes drawn over a staff; `end` None where it never closes."""

    part: int
    staff: int
    bar: int
    onset: Ticks
    end: Ticks | None
    dashes: bool
    placement: str | None


class Slur(NamedTuple):
    """A slur from the onset of its first note to the onset of its last."""

    part: int
    staff: int
    onset: Ticks
    end: Ticks


class Dynamic(NamedTuple):
    """A dynamic mark (``p``, ``ff``) at a place."""

    part: int
    staff: int
    bar: int
    onset: Ticks
    mark: str


class Tempo(NamedTuple):
    """A tempo: quarters a minute (exact), from `onset` as written; `text` is the tempo word."""

    bar: int
    onset: Ticks
    quarters_a_minute: Fraction | None
    text: str


class Fermata(NamedTuple):
    """A fermata over a note or rest."""

    part: int
    staff: int
    onset: Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """A score in exact time. Notes are sorted by onset, part, staff, key."""

    title: str
    ticks: int
    parts: tuple[Part, ...]
    bars: tuple[Bar, ...]
    notes: tuple[Note, ...]
    texts: tuple[ScoreText, ...] = ()
    wedges: tuple[Wedge, ...] = ()
    brackets: tuple[BracketLine, ...] = ()
    slurs: tuple[Slur, ...] = ()
    dynamics: tuple[Dynamic, ...] = ()
    tempos: tuple[Tempo, ...] = ()
    fermatas: tuple[Fermata, ...] = ()
    played: tuple[PlayedBar, ...] = ()
    movements: tuple[int, ...] = (0,)  # bar indexes at which a movement begins
    repairs: tuple[Said, ...] = ()  # what was repaired or skipped while reading
    kept: Kept | None = field(default=None, compare=False, repr=False)  # for reading an edited file again

    def quarters(self, ticks: Ticks) -> Fraction:
        """Ticks as exact quarter notes."""
        return Fraction(ticks, self.ticks)

    def bar_at(self, onset: Ticks) -> Bar:
        """The bar that holds a written onset (the last one, for the end of the piece)."""
        index = bisect_right(self.bars, onset, key=lambda bar: bar.onset) - 1
        return self.bars[max(index, 0)]

    def position(self, onset: Ticks, bar: int | None = None, nth: int = 1) -> Position:
        """A written onset as a place for people; `bar` where the bar is known."""
        where = self.bars[bar] if bar is not None else self.bar_at(onset)
        beat = Fraction(onset - where.onset, self.ticks) * Fraction(where.beat_type, 4) + 1
        return Position(self.quarters(onset), where.index, where.number, beat, nth)

    @property
    def end(self) -> Ticks:
        """Ticks at the end of the last bar."""
        return self.bars[-1].onset + self.bars[-1].length if self.bars else 0

    @property
    def organ_parts(self) -> tuple[int, ...]:
        """Indexes of the organist's parts."""
        return tuple(i for i, part in enumerate(self.parts) if part.organ)
