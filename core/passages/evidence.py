"""Musical evidence that a solo ends at a place: every piece of it named, weighed by data."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from core.knowledge.loader import load
from core.score.lines import HandLine, Moment
from core.score.model import Score, TextKind, Ticks

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
    lines: dict[str, HandLine]

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
    def tempos(self) -> set[Ticks]:
        """Onsets at which a tempo is set."""
        return {t.onset for t in self.score.tempos if t.onset > 0}

    @cached_property
    def rehearsals(self) -> set[Ticks]:
        """Onsets of rehearsal marks."""
        return {t.onset for t in self.score.texts if t.kind is TextKind.REHEARSAL}

    @cached_property
    def fermatas(self) -> set[Ticks]:
        """Onsets of notes that carry a fermata."""
        return {f.onset for f in self.score.fermatas}

    @cached_property
    def slurs(self) -> dict[tuple[int, int], list[tuple[Ticks, Ticks]]]:
        """Slurs by part and staff."""
        found: dict[tuple[int, int], list[tuple[Ticks, Ticks]]] = {}
        for slur in self.score.slurs:
            found.setdefault((slur.part, slur.staff), []).append((slur.onset, slur.end))
        return found

    @cached_property
    def bar_starts(self) -> dict[Ticks, int]:
        """Bar index by its onset."""
        return {bar.onset: bar.index for bar in self.score.bars}

    @cached_property
    def others_rest_until(self) -> set[Ticks]:
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
        return found


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
    if any(first_free <= t <= now.onset for t in around.tempos):
        yield "tempo-change"
    if any(before.onset < t <= now.onset for t in around.rehearsals):
        yield "rehearsal"
    if any(first_free <= t <= now.onset for t in around.others_rest_until):
        yield "other-parts-enter"
    if any(before.onset <= t < now.onset for t in around.fermatas):
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
    slurs = around.slurs.get((now.part, now.staff), [])
    if any(start <= before.onset and end >= now.onset for start, end in slurs):
        yield "line-goes-on"
    elif any(end == before.onset for _, end in slurs):
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
    yield from _lasting(other, line, index, since)
    if _doubles(other, later) and not _doubles(other, earlier):
        yield "doubles-other-hand"


def _lasting(other: HandLine, line: HandLine, index: int, since: Ticks) -> Iterable[str]:
    """What changes for good: the hands apart before keep together after, or the whole range is another."""
    later = line.moments[index : index + _STAYS]
    if len(later) < _STAYS or line.moments[index].onset - line.moments[index - 1].end <= 0:
        return
    solo = line.moments[line.from_(since) : index]
    if len(solo) < _STAYS:
        return
    if later[0].keys[-1] < solo[-1].keys[0] and max(m.keys[-1] for m in later) < min(m.keys[0] for m in solo):
        yield "register-left"
    together = _doubles(other, later) or all(_gap_to(other, m, line.hand) <= _NEAR for m in later)
    recent = solo[-2 * _STAYS :]
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
