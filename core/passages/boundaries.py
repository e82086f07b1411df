"""Where a solo that nothing ends would end: ranked proposals from musical evidence."""

from __future__ import annotations

from dataclasses import dataclass

from core.knowledge.loader import load
from core.passages.evidence import WORDS, Surroundings, evidence_at, total
from core.passages.model import BoundaryProposal
from core.score.lines import HandLine
from core.score.model import Ticks
from core.texts import Said, say

_MOST = 5  # proposals given


@dataclass(frozen=True, slots=True)
class Boundary:
    """A place where the passage may end: the moment that is no longer in it, with its evidence."""

    onset: Ticks
    bar: int
    weight: float
    kinds: tuple[str, ...]

    @property
    def is_set_off(self) -> bool:
        """Whether something there sets off a new section, enough to believe that the solo is over."""
        data = load("passages")
        return self.weight >= float(data["ends-from"]) and any(k in data["sets-off"] for k in self.kinds)


def ranked_ends(around: Surroundings, line: HandLine, start: Ticks, limit: Ticks) -> list[Boundary]:
    """What `rank_ends` finds, from the last walk where nothing that it looks at differs."""
    return around.memory.settle(
        ("ends", line.hand, start, limit), around.base, lambda: rank_ends(around, line, start, limit)
    )


def rank_ends(around: Surroundings, line: HandLine, start: Ticks, limit: Ticks) -> list[Boundary]:
    """All places after `start` and before `limit` where the passage may end, best first.

    Of places of equal weight the earlier stands first: what follows a boundary is another section.
    """
    first = line.from_(start)
    found = []
    for index in range(first + 1, len(line.moments)):
        moment = line.moments[index]
        if moment.onset >= limit:
            break
        kinds = tuple(evidence_at(around, line, index, start))
        weight = total(around, kinds)
        if weight > 0:
            found.append(Boundary(moment.onset, moment.bar, weight, kinds))
    return sorted(found, key=lambda b: (-b.weight, b.onset))


def proposals(around: Surroundings, ranked: list[Boundary]) -> tuple[BoundaryProposal, ...]:
    """The best boundaries as proposals; the score is a share of the best one's weight, from 0 to 1."""
    if not ranked:
        return ()
    best = max(ranked[0].weight, 1.0)
    sure = min(1.0, best / (2 * float(load("passages")["ends-from"])))
    return tuple(
        BoundaryProposal(
            at=around.score.position(b.onset, b.bar),
            onset=b.onset,
            score=round(sure * b.weight / best, 2),
            why=_why(b.kinds),
            evidence=b.kinds,
        )
        for b in ranked[:_MOST]
    )


def _why(kinds: tuple[str, ...]) -> Said:
    """The evidence in words, the weightiest first."""
    said = say(WORDS[kinds[0]]) if kinds else say("the music goes on")
    for kind in kinds[1:]:
        said = say("{first}, {then}", first=said, then=say(WORDS[kind]))
    return said
