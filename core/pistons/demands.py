"""What a programme asks of a console, change by change, and how much of it hands can do in the time."""

from __future__ import annotations

from collections.abc import Sequence

from core.analysis import Analysis
from core.pistons.model import Demand, Drawn, controls_of
from core.practice.changes import Change, changes_of
from core.resolve.model import Step

_A_SECOND = 4  # one to four stops in one motion, about a second: Wisconsin Alliance of Composers
IN_PASSING = 2  # what a hand moves without a rest (common practice, no source)
ONE_MOTION = 4  # what a player moves in one go before it becomes a labour (common practice, no source)


def demands_of(analyses: Sequence[Analysis], *, hand_moves: int | None = None) -> tuple[Demand, ...]:
    """The changes of all pieces in their order; steps that move no control are left out.

    Args:
        analyses: the pieces of the programme on one organ, in their order.
        hand_moves: how many controls the player is willing to move by hand at a change; None: one motion's worth.
    """
    limit = ONE_MOTION if hand_moves is None else hand_moves
    found: list[Demand] = []
    before: Drawn = frozenset()
    for piece, analysis in enumerate(analyses):
        changes = changes_of(analysis.score, analysis.steps, analysis.lines)
        for step, change in zip(analysis.steps, changes, strict=True):
            want = controls_of(step.registration)
            if want == before:
                continue
            found.append(_demand(piece, analysis, step, change, want, limit))
            before = want
    return tuple(found)


def _demand(piece: int, analysis: Analysis, step: Step, change: Change, want: Drawn, limit: int) -> Demand:
    by_hand = _by_hand(change, limit)
    return Demand(
        piece=piece,
        at=step.at,
        marking=step.markings[0] if step.markings else None,
        text=" / ".join(step.texts),
        staff=step.staff,
        want=want,
        by_hand=by_hand,
        opens=by_hand is None,
    )


def _by_hand(change: Change, limit: int) -> int | None:
    if change.seconds_free is None:
        return None
    return min(limit, max(IN_PASSING, int(change.seconds_free * _A_SECOND)))
