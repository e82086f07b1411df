"""On two staves: from "Ped." to "Man." the lowest notes are the feet's.

Common practice, no source: "Ped." under the lower of two staves draws nothing; it says that the feet take the
lowest notes from there on. The end is mostly unmarked: a word for the hands alone ends it, else the next
"Ped." or the end of the piece.
"""

from __future__ import annotations

from collections.abc import Iterable

from core.markings.gathering import MarkingRead, Markings
from core.markings.model import Action, Hand
from core.organ.model import Role
from core.score.model import Score, Ticks
from core.score.staves import with_feet_on_lowest

Span = tuple[int, Ticks, Ticks]
"""A part, and from where to where in ticks as written."""


def feet_spans(score: Score, markings: Markings) -> tuple[Span, ...]:
    """Where the piece says that the feet take the lowest notes of a part."""
    return tuple(span for part in score.organ_parts for span in _spans(score, markings, part))


def give_feet_their_notes(score: Score, spans: tuple[Span, ...]) -> Score:
    """The score with the lowest notes of those spans given to the feet; without any, the score itself."""
    return with_feet_on_lowest(score, spans) if spans else score


def _spans(score: Score, markings: Markings, part: int) -> Iterable[Span]:
    if score.parts[part].hands != ("right", "left") or any("feet" in score.parts[p].hands for p in score.organ_parts):
        return
    begun: Ticks | None = None
    for mark in markings.marks:
        if mark.id.part != part or mark.opening:
            continue
        if _feet_begin(mark) and begun is None:
            begun = mark.text.onset
        elif _feet_end(mark) and begun is not None:
            yield part, begun, mark.text.onset
            begun = None
    if begun is not None:
        yield part, begun, score.end


def _feet_begin(mark: MarkingRead) -> bool:
    """A bare "Ped.", or pedal stops drawn under the lower staff."""
    for instruction in mark.instructions:
        pedal = instruction.division == Role.PEDAL or instruction.hand is Hand.FEET
        if pedal and instruction.action is Action.PLAY:
            return True
        under = mark.text.staff == 2 and mark.text.placement == "below"
        if pedal and under and instruction.action is Action.DRAW:
            return True
    return False


def _feet_end(mark: MarkingRead) -> bool:
    return any(i.division == Role.PEDAL and i.action is Action.TAKE_OFF and not i.stops for i in mark.instructions)
