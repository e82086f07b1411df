"""Solo passages: a stretch in which one hand plays a solo against the other."""

from __future__ import annotations

from dataclasses import dataclass

from core.position import Position
from core.score.model import MarkingId, Ticks
from core.texts import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryProposal:
    """A place where a doubtful passage may begin or end, with the musical evidence for it."""

    at: Position
    onset: Ticks
    score: float
    why: Said
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A solo passage as written (the machine interface, `plan`: P).

    Attributes:
        hand: ``right``, ``left`` or ``feet``.
        division: id of the division it is played on; None where unknown.
        start: its first note.
        end: the first moment that is no longer in it; None where no instruction ends it.
        how: how its end (or its start) is known, in words.
    """

    hand: str
    division: str | None
    start: Position
    start_onset: Ticks
    end: Position | None
    end_onset: Ticks | None
    marked_start: bool
    marked_end: bool
    marking: MarkingId | None
    how: Said
    proposals: tuple[BoundaryProposal, ...] = ()
    start_proposals: tuple[BoundaryProposal, ...] = ()
    stops: tuple[str, ...] = ()
    staff: int | None = None
