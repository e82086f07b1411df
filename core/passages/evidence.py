"""Musical evidence that a solo ends at a place: every piece of it named, weighed by data."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate
from operator import itemgetter

from core.knowledge.loader import load
from core.memory import Memory
from core.organ.model import Key
from core.score.lines import HandLine, Moment
from core.score.model import Score, TextKind, Ticks
from core.score.music import Music

WORDS = {
    "chords": "the line gives way to chords",
    "opening-returns": "the opening returns",
    "double-bar": "a double bar",
    "key-change": "the key changes",
    "time-change": "the time changes",
    "tempo-change": "the tempo changes",
    "rehearsal": "a rehearsal mark",
    "other-parts-enter": "other parts enter",
    "dynamic": "the dynamic changes",
    "fermata": "a fermata before",
    "joins-other-hand": "the hand comes down to the other",
    "doubles-other-hand": "the hands double each other",
    "stays-with-other-hand": "from here the hands keep together",
    "register-left": "the line leaves the solo's range",
    "leap": "a leap to another register",
    "phrase-ends": "a phrase ends",
    "rest": "a rest before",
    "long-rest": "time to change manual",
    "long-note": "a long note before",
    "downbeat": "a new bar",
    "line-goes-on": "the slur goes on",
}

_WINDOW = 4  # moments looked at on each side of a place
_STAYS = 6  # moments over which a new manner of playing must last
_NEAR = 4  # semitones between the hands within which they keep together
_OPENING_NOTES = 5  # notes that make an opening known again


@dataclass(frozen=True)
class Surroundings:
    """What the evidence is taken from: the score, the lines of all hands, and indexes over signs."""

    score: Score
    music: Music
    memory: Memory

    @property
    def lines(self) -> dict[str, HandLine]:
        """What each hand and the feet strike."""
        return self.music.lines

    @cached_property
    def base(self) -> object:
        """All that evidence is taken from."""
        score = self.score
        return (
            self.music, score.parts, score.bars, score.ticks, score.tempos, score.fermatas,
            score.dynamics, score.slurs, self.rehearsals,
        )  # fmt: skip

    @cached_property
    def weights(self) -> dict[str, float]:
        """Weight of each kind of evidence."""
        return {name: float(value) for name, value in load("passages")["weights"].items()}

    @cached_property
    def dynamics(self) -> list[tuple[Ticks, str]]:
        """Dynamic marks of the organist's parts in order."""
        parts = set(self.score.organ_parts)
        return sorted((d.onset, d.mark) for d in self.score.dynamics if d.part in parts)

    @cached_property
    def tempos(self) -> list[Ticks]:
        """Onsets at which a tempo is set, in order."""
        return sorted({t.onset for t in self.score.tempos if t.onset > 0})

    @cached_property
    def rehearsals(self) -> list[Ticks]:
        """Onsets of rehearsal marks, in order."""
        return sorted({t.onset for t in self.score.texts if t.kind is TextKind.REHEARSAL})

    @cached_property
    def fermatas(self) -> list[Ticks]:
        """Onsets of notes that carry a fermata, in order."""
        return sorted({f.onset for f in self.score.fermatas})

    @cached_property
    def slurs(self) -> dict[tuple[int, int], Slurs]:
        """Slurs by part and staff."""
        found: dict[tuple[int, int], list[tuple[Ticks, Ticks]]] = {}
        for slur in self.score.slurs:
            found.setdefault((slur.part, slur.staff), []).append((slur.onset, slur.end))
        return {place: Slurs(slurs) for place, slurs in found.items()}

    def slurs_over(self, moment: Moment) -> Slurs:
        """The slurs of a moment's staff."""
        return self.slurs.get((moment.part, moment.staff)) or Slurs([])

    @cached_property
    def _lowest(self) -> dict[tuple[str, int], list[Key]]:
        return {}

    def lowest(self, line: HandLine, first: int, index: int) -> Key:
        """The lowest key of a line from one moment up to, not including, another."""
        known = self._lowest.get((line.hand, first))
        if known is None:
            known = list(accumulate((m.keys[0] for m in line.moments[first:]), min))
            self._lowest[line.hand, first] = known
        return known[index - first - 1]

    @cached_property
    def bar_starts(self) -> dict[Ticks, int]:
        """Bar index by its onset."""
        return {bar.onset: bar.index for bar in self.score.bars}

    @cached_property
    def others_rest_until(self) -> list[Ticks]:
        """Onsets at which parts that are not the organ's enter after at least a bar's rest."""
        onsets = sorted(
            {(n.onset, n.onset + n.duration) for n in self.score.notes if not self.score.parts[n.part].organ}
        )
        found: set[Ticks] = set()
        silent_from = 0
        for onset, end in onsets:
            bar = self.score.bar_at(onset)
            if onset - silent_from >= bar.length:
                found.add(onset)
            silent_from = max(silent_from, end)
        return sorted(found)


class Slurs:
    """The slurs of one staff, to be asked what lies under them."""

    def __init__(self, slurs: Iterable[tuple[Ticks, Ticks]]) -> None:
        self._slurs = sorted(slurs)
        self._furthest = list(accumulate((end for _, end in self._slurs), max))
        self.ends = frozenset(end for _, end in self._slurs)

    def covers(self, start: Ticks, end: Ticks) -> bool:
        """Whether one slur begins by `start` and reaches to `end`."""
        index = bisect_right(self._slurs, start, key=itemgetter(0))
        return index > 0 and self._furthest[index - 1] >= end

    def last_over(self, onset: Ticks) -> Ticks | None:
        """The latest beginning of a slur that lies over an onset, begun before it and ending after."""
        index = bisect_left(self._slurs, onset, key=itemgetter(0)) - 1
        while index >= 0 and self._furthest[index] > onset:
            if self._slurs[index][1] > onset:
                return self._slurs[index][0]
            index -= 1
        return None


def _within(places: Sequence[Ticks], low: Ticks, high: Ticks) -> bool:
    """Whether one of some places in order lies from `low` to `high`."""
    index = bisect_left(places, low)
    return index < len(places) and places[index] <= high


def evidence_at(around: Surroundings, line: HandLine, index: int, since: Ticks) -> list[str]:
    """Kinds of evidence that the passage, begun at `since`, ends before the moment `index` of a line."""
    now, before = line.moments[index], line.moments[index - 1]
    found = list(_signs(around, before, now))
    found += _phrase(around, before, now)
    found += _texture(around, line, index, since)
    return found


def total(around: Surroundings, kinds: Iterable[str]) -> float:
    """The sum of the weights of some evidence."""
    return sum(around.weights[kind] for kind in kinds)


def _signs(around: Surroundings, before: Moment, now: Moment) -> Iterable[str]:
    """What is printed between the two moments."""
    score = around.score
    bar = around.bar_starts.get(now.onset)
    first_free = before.end
    if bar is not None:
        yield "downbeat"
        if score.bars[bar].key_changes:
            yield "key-change"
        if score.bars[bar].time_changes:
            yield "time-change"
    # a rest may lie between the sign and the next note
    for earlier in range(score.bar_at(max(first_free - 1, 0)).index, now.bar):
        if score.bars[earlier].barline in ("light-light", "light-heavy", "heavy-light"):
            yield "double-bar"
            break
    if _within(around.tempos, first_free, now.onset):
        yield "tempo-change"
    if _within(around.rehearsals, before.onset + 1, now.onset):
        yield "rehearsal"
    if _within(around.others_rest_until, first_free, now.onset):
        yield "other-parts-enter"
    if _within(around.fermatas, before.onset, now.onset - 1):
        yield "fermata"
    if _dynamic_changes(around, first_free, now.onset):
        yield "dynamic"


def _dynamic_changes(around: Surroundings, start: Ticks, end: Ticks) -> bool:
    marks = around.dynamics
    low = bisect_left(marks, (start, ""))
    high = bisect_right(marks, (end, "~"))
    if low >= high:
        return False
    return low == 0 or marks[low - 1][1] != marks[high - 1][1]


def _phrase(around: Surroundings, before: Moment, now: Moment) -> Iterable[str]:
    slurs = around.slurs_over(now)
    if slurs.covers(before.onset, now.onset):
        yield "line-goes-on"
    elif before.onset in slurs.ends:
        yield "phrase-ends"
    gap = now.onset - before.end
    if gap > 0:
        yield "rest"
        if around.score.quarters(gap) >= Fraction(1, 2):
            yield "long-rest"
    length = around.score.bars[before.bar].length
    if 2 * (before.end - before.onset) >= length:
        yield "long-note"


def _texture(around: Surroundings, line: HandLine, index: int, since: Ticks) -> Iterable[str]:
    now, before = line.moments[index], line.moments[index - 1]
    earlier = [m for m in line.moments[max(0, index - _WINDOW) : index] if m.onset >= since]
    later = line.moments[index : index + _WINDOW]
    goes_on = now.bar + 1 < len(around.score.bars)  # a chord in the last bar only closes the line
    if goes_on and _mostly_single(earlier) and not now.is_single and not _mostly_single(later):
        yield "chords"
    if _opening_returns(line, index, since):
        yield "opening-returns"
    if abs(now.keys[-1] - before.keys[-1]) > 9:
        yield "leap"
    other = around.lines["left" if line.hand == "right" else "right"]
    if _gap_to(other, now, line.hand) <= _NEAR < _gap_to(other, before, line.hand):
        yield "joins-other-hand"
    yield from _lasting(around, line, index, since)
    if _doubles(other, later) and not _doubles(other, earlier):
        yield "doubles-other-hand"


def _lasting(around: Surroundings, line: HandLine, index: int, since: Ticks) -> Iterable[str]:
    """What changes for good: the hands apart before keep together after, or the whole range is another."""
    later = line.moments[index : index + _STAYS]
    if len(later) < _STAYS or line.moments[index].onset - line.moments[index - 1].end <= 0:
        return
    first = line.from_(since)
    if index - first < _STAYS:
        return
    highest = max(m.keys[-1] for m in later)
    if later[0].keys[-1] < line.moments[index - 1].keys[0] and highest < around.lowest(line, first, index):
        yield "register-left"
    other = around.lines["left" if line.hand == "right" else "right"]
    together = _doubles(other, later) or all(_gap_to(other, m, line.hand) <= _NEAR for m in later)
    recent = line.moments[max(first, index - 2 * _STAYS) : index]
    if together and 5 * sum(_gap_to(other, m, line.hand) > _NEAR for m in recent) >= 4 * len(recent):
        yield "stays-with-other-hand"


def _mostly_single(moments: Sequence[Moment]) -> bool:
    return bool(moments) and 2 * sum(m.is_single for m in moments) > len(moments)


def _opening_returns(line: HandLine, index: int, since: Ticks) -> bool:
    """Whether the line from here has the pitches and lengths that opened the piece (before the solo)."""
    first = line.moments[:_OPENING_NOTES]
    again = line.moments[index : index + _OPENING_NOTES]
    if len(again) < _OPENING_NOTES or not first or first[-1].onset >= since:
        return False
    return all(a.keys == b.keys and a.end - a.onset == b.end - b.onset for a, b in zip(first, again, strict=True))


def _gap_to(other: HandLine, moment: Moment, hand: str) -> int:
    """Semitones between the hands at a moment; large where the other is silent."""
    index = other.from_(moment.onset + 1) - 1
    if index < 0 or other.moments[index].end <= moment.onset:
        return 99
    keys = other.moments[index].keys
    return moment.keys[0] - keys[-1] if hand == "right" else keys[0] - moment.keys[-1]


def _doubles(other: HandLine, moments: Iterable[Moment]) -> bool:
    """Whether the other hand strikes the same notes an octave or more away, most of the time."""
    moments = list(moments)
    hits = 0
    for moment in moments:
        index = other.from_(moment.onset)
        if index < len(other.moments) and other.moments[index].onset == moment.onset:
            classes = {key % 12 for key in other.moments[index].keys}
            hits += {key % 12 for key in moment.keys} <= classes and len(classes) == 1
    return bool(moments) and 2 * hits > len(moments)
