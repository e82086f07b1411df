"""What the walk collects before it is put in order: notes, and signs still without their ends."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from core.score.model import BracketLine, Dynamic, Fermata, Note, TextKind
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


@dataclass(slots=True)
class Gathering:
    """All that was found so far, and how often something had to be passed over or put right."""

    ticks: int
    notes: list[Note] = field(default_factory=list)
    texts: list[TextDraft] = field(default_factory=list)
    lines: list[LineEvent] = field(default_factory=list)
    brackets: list[BracketLine] = field(default_factory=list)
    dynamics: list[Dynamic] = field(default_factory=list)
    tempos: list[tuple[int, int, Fraction | None, str]] = field(default_factory=list)
    fermatas: list[Fermata] = field(default_factory=list)
    signs: list[BarSigns] = field(default_factory=list)
    troubles: Counter[str] = field(default_factory=Counter)
    first_trouble: dict[str, str] = field(default_factory=dict)

    def trouble(self, kind: str, bar_number: str) -> None:
        """Count a repair of a kind (a template that takes `count` and `bar`); its first bar is named."""
        self.troubles[kind] += 1
        self.first_trouble.setdefault(kind, bar_number)

    def repairs(self) -> tuple[Said, ...]:
        """The repairs as sentences, each kind once."""
        return tuple(say(kind, count=count, bar=self.first_trouble[kind]) for kind, count in self.troubles.items())
