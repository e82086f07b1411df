"""What the walk collects before it is put in order: notes, and signs still without their ends."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from core.score.model import Dynamic, Fermata, Note, TextKind
from core.texts import Said, say


class FinerTicksError(Exception):
    """A time in the file is no whole number of ticks; `factor` times as many would do."""

    def __init__(self, factor: int) -> None:
        super().__init__(factor)
        self.factor = factor


class TextDraft(NamedTuple):
    """A text before its bar and its order among others are known; times are ticks from the start."""

    kind: TextKind
    part: int
    staff: int
    onset: int
    sounding_onset: int
    placement: str | None
    height: Fraction | None
    element: int
    runs: tuple[str, ...]
    boxed: bool = False
    role: str = ""


class LineEvent(NamedTuple):
    """A start or stop of a sign that lasts: `what` is ``wedge``, ``bracket``, ``dashes`` or ``slur``."""

    what: str
    part: int
    number: str
    onset: int
    start: bool
    staff: int
    bar: int
    detail: str
    placement: str | None


class Jump(NamedTuple):
    """A jump or its target: ``segno``, ``coda``, ``tocoda``, ``fine``, ``dacapo``, ``dalsegno``.

    `in_bar` is the place in ticks, `label` tells several segnos or codas apart, `spoken` is true where only
    words or a drawn sign say it; `goal` is ``fine`` or ``coda`` where the words name it, `passes` the times
    through at which it holds (none: each).
    """

    kind: str
    in_bar: int
    label: str = ""
    spoken: bool = False
    goal: str = ""
    passes: frozenset[int] = frozenset()


@dataclass(slots=True)
class BarSigns:
    """What one bar says about the order of playing, from all parts together."""

    forward: bool = False
    backward: int = 0  # how often the repeated stretch is played in all; 0: no repeat ends here
    after_jump: bool = False
    mid_bar: bool = False
    ending_starts: frozenset[int] = frozenset()
    ending_stops: bool = False
    jumps: list[Jump] = field(default_factory=list)
    words: list[tuple[int, str]] = field(default_factory=list)


class Piece(NamedTuple):
    """What one bar of one part holds, beside its notes: as the lists of a `Gathering` of the same names."""

    texts: tuple[TextDraft, ...] = ()
    lines: tuple[LineEvent, ...] = ()
    dynamics: tuple[Dynamic, ...] = ()
    tempos: tuple[tuple[int, int, Fraction | None, str], ...] = ()
    fermatas: tuple[Fermata, ...] = ()
    troubles: tuple[tuple[str, str], ...] = ()


NOTHING = Piece()
Sizes = tuple[int, int, int, int, int, int]


@dataclass(slots=True)
class Gathering:
    """All that was found so far, and how often something had to be passed over or put right."""

    ticks: int
    notes: list[Note] = field(default_factory=list)
    texts: list[TextDraft] = field(default_factory=list)
    lines: list[LineEvent] = field(default_factory=list)
    dynamics: list[Dynamic] = field(default_factory=list)
    tempos: list[tuple[int, int, Fraction | None, str]] = field(default_factory=list)
    fermatas: list[Fermata] = field(default_factory=list)
    signs: list[BarSigns] = field(default_factory=list)
    troubles: list[tuple[str, str]] = field(default_factory=list)  # kind and bar number, as they came

    def trouble(self, kind: str, bar_number: str) -> None:
        """Note a repair of a kind (a template that takes `count` and `bar`)."""
        self.troubles.append((kind, bar_number))

    def repairs(self) -> tuple[Said, ...]:
        """The repairs as sentences, each kind once; its first bar is named."""
        first: dict[str, str] = {}
        for kind, bar in self.troubles:
            first.setdefault(kind, bar)
        counts = Counter(kind for kind, _ in self.troubles)
        return tuple(say(kind, count=counts[kind], bar=bar) for kind, bar in first.items())

    def sizes(self) -> Sizes:
        """How much of everything but the notes was found so far."""
        return (
            len(self.texts),
            len(self.lines),
            len(self.dynamics),
            len(self.tempos),
            len(self.fermatas),
            len(self.troubles),
        )

    def since(self, sizes: Sizes) -> Piece:
        """What was found since `sizes` was told."""
        if self.sizes() == sizes:
            return NOTHING
        texts, lines, dynamics, tempos, fermatas, troubles = sizes
        return Piece(
            tuple(self.texts[texts:]),
            tuple(self.lines[lines:]),
            tuple(self.dynamics[dynamics:]),
            tuple(self.tempos[tempos:]),
            tuple(self.fermatas[fermatas:]),
            tuple(self.troubles[troubles:]),
        )

    def take(self, piece: Piece) -> None:
        """Put a bar's piece behind what was found."""
        self.texts += piece.texts
        self.lines += piece.lines
        self.dynamics += piece.dynamics
        self.tempos += piece.tempos
        self.fermatas += piece.fermatas
        self.troubles += piece.troubles
