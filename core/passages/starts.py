"""The first note of a solo, and whether the marking leaves no doubt about it."""

from __future__ import annotations

from dataclasses import dataclass

from core.passages.evidence import Surroundings
from core.passages.model import BoundaryProposal
from core.score.lines import HandLine
from core.score.model import Score, Ticks
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a passage begins; `marked` is False where another note may be meant as the first."""

    onset: Ticks
    marked: bool
    proposals: tuple[BoundaryProposal, ...] = ()


def find_start(around: Surroundings, line: HandLine, onset: Ticks, *, named: bool) -> Start:
    """The first note of a hand at or after a marking.

    Doubtful over a held chord, in the middle of a phrase that began with an upbeat, or where another
    hand's staff bears the marking and no word names the hand (`named` is False).
    """
    score = around.score
    index = line.from_(onset)
    first = line.moments[index]
    if not line.strikes_at(onset) and line.held_over(onset) is not None:
        return _doubtful(score, line, index, say("the marking stands over a held note"))
    upbeat = _upbeat_before(around, line, index)
    if upbeat is not None:
        return _doubtful(score, line, upbeat, say("the phrase begins with an upbeat before the marking"))
    if not named:
        return _doubtful(score, line, index, say("the marking stands at the other hand's staff"))
    return Start(onset=first.onset, marked=True)


def _doubtful(score: Score, line: HandLine, index: int, why: Said) -> Start:
    """The candidates: the note found, and the next note on a bar's first beat."""
    first = line.moments[index]
    chosen = [first]
    if first.onset != score.bars[first.bar].onset:
        downbeat = next((m for m in line.moments[index + 1 : index + 9] if m.bar > first.bar), None)
        if downbeat is not None:
            chosen.append(downbeat)
    return Start(
        onset=first.onset,
        marked=False,
        proposals=tuple(
            BoundaryProposal(
                at=score.position(m.onset, m.bar),
                onset=m.onset,
                score=round(0.6 - 0.2 * n, 2),
                why=why,
                evidence=("first-note",) if n == 0 else ("downbeat",),
            )
            for n, m in enumerate(chosen)
        ),
    )


def _upbeat_before(around: Surroundings, line: HandLine, index: int) -> int | None:
    """Index of an upbeat that belongs to the same slur as the moment marked, or None."""
    score = around.score
    now = line.moments[index]
    start = around.slurs_over(now).last_over(now.onset)
    if start is None:
        return None
    first = line.from_(start)
    before = line.moments[first:index]
    beat = score.ticks * 4 // score.bars[now.bar].beat_type
    short = before and now.onset - before[0].onset <= beat and all(len(m.keys) == 1 for m in before)
    return first if short else None
