"""Who makes a change: a hand in the time there is, an assistant, or nobody without a piston."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from core.practice.changes import Change, changes_of, seconds_between
from core.practice.leisure import Leisure, leisure_before
from core.practice.player import Player, one_motion, seconds_needed
from core.resolve.model import Step
from core.score.lines import HandLine
from core.score.model import Score, ScoreText

_IN_PASSING = 2  # what a hand moves without a rest (common practice, no source)


class Who(StrEnum):
    """Who can make a change."""

    BEFORE = "before"  # before the music begins
    RIGHT = "right"
    LEFT = "left"
    ASSISTANT = "assistant"
    PISTON = "piston"  # nobody by hand
    NOBODY = "nobody"  # nothing moves


@dataclass(frozen=True, slots=True, kw_only=True)
class Maker:
    """Who makes one change.

    Attributes:
        seconds_free: time of the freer hand; None before the music begins.
        by_hand: how many controls can be moved in the time; None: any number.
    """

    who: Who
    movements: int
    seconds_free: Fraction | None
    leisure: Leisure
    by_hand: int | None


def makers_of(
    score: Score, steps: Sequence[Step], lines: dict[str, HandLine], texts: Sequence[ScoreText], player: Player
) -> tuple[Maker, ...]:
    """Who makes the change of each step.

    Args:
        score: the piece.
        steps: its steps in played order.
        lines: what the hands strike.
        texts: those that are no registration (words of pace among them).
        player: alone, or with assistants.
    """
    return tuple(
        _maker(score, step, change, lines, texts, player)
        for step, change in zip(steps, changes_of(score, steps, lines), strict=True)
    )


def _maker(
    score: Score,
    step: Step,
    change: Change,
    lines: dict[str, HandLine],
    texts: Sequence[ScoreText],
    player: Player,
) -> Maker:
    onset = int(step.at.onset * score.ticks)
    leisure = Leisure.FREE if change.seconds_free is None else leisure_before(score, texts, lines, onset)
    freer = max(("right", "left"), key=lambda hand: _rest_before(score, lines[hand], onset))
    by_hand = None if leisure is Leisure.FREE else _by_hand(change.seconds_free or Fraction(0))
    if by_hand is not None:
        by_hand += player.assistants * one_motion()
    return Maker(
        who=_who(change, by_hand, freer, player),
        movements=change.movements,
        seconds_free=change.seconds_free,
        leisure=leisure,
        by_hand=by_hand,
    )


def _by_hand(seconds: Fraction) -> int:
    """Controls that a hand moves in the time."""
    return max(_IN_PASSING, int(seconds / seconds_needed(1)) * one_motion())


def _who(change: Change, by_hand: int | None, freer: str, player: Player) -> Who:
    if not change.movements:
        return Who.NOBODY
    if change.seconds_free is None:
        return Who.BEFORE
    if by_hand is not None and change.movements > by_hand:
        return Who.PISTON
    if player.assistants:
        return Who.ASSISTANT
    return Who(freer)


def _rest_before(score: Score, line: HandLine, onset: int) -> Fraction:
    index = line.from_(onset) - 1
    ended = line.moments[index].end if index >= 0 else 0
    return seconds_between(score, min(ended, onset), onset)
