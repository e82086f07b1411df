"""What a programme asks of a console, change by change, and how much of it hands can do in the time."""

from __future__ import annotations

from collections.abc import Sequence

from core.analysis import Analysis
from core.pistons.model import Demand, Drawn, controls_of
from core.practice.hands_free import Maker, makers_of
from core.practice.player import one_motion
from core.resolve.model import Step


def demands_of(analyses: Sequence[Analysis], *, hand_moves: int | None = None) -> tuple[Demand, ...]:
    """The changes of all pieces in their order; steps that move no control are left out.

    Args:
        analyses: the pieces of the programme on one organ, in their order.
        hand_moves: how many controls the player is willing to move by hand at a change; None: one motion's worth.
    """
    limit = one_motion() if hand_moves is None else hand_moves
    found: list[Demand] = []
    before: Drawn = frozenset()
    for piece, analysis in enumerate(analyses):
        texts = [m.text for m in analysis.markings.all_texts if not m.is_registration]
        player = analysis.decisions.player
        makers = makers_of(analysis.score, analysis.steps, analysis.lines, texts, player)
        for step, maker in zip(analysis.steps, makers, strict=True):
            want = controls_of(step.registration)
            if want == before:
                continue
            found.append(_demand(piece, step, maker, want, limit))
            before = want
    return tuple(found)


def _demand(piece: int, step: Step, maker: Maker, want: Drawn, limit: int) -> Demand:
    opens = maker.seconds_free is None
    return Demand(
        piece=piece,
        at=step.at,
        marking=step.markings[0] if step.markings else None,
        text=" / ".join(step.texts),
        staff=step.staff,
        want=want,
        by_hand=None if opens else limit if maker.by_hand is None else min(limit, maker.by_hand),
        opens=opens,
    )
