"""How a change can be made, in one sentence: by which hand, by an assistant, by a piston under which thumb or toe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.organ.model import Aid, AidKind, Organ
from core.practice.hands_free import Maker, Who
from core.practice.leisure import Leisure
from core.practice.limbs import PRESSED, free_thumbs, free_toe, reachable
from core.resolve.model import Registration, Step
from core.score.held import Grip
from core.score.lines import HandLine
from core.score.model import Score
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How one change can be made.

    Attributes:
        who: a hand, an assistant, a piston, or nobody where nothing moves.
        limbs: of a piston, what is free to press it: ``right`` and ``left`` thumbs, ``toe``.
        possible: it can be made with what the organ has and who is there.
        how: the same in a sentence.
    """

    who: Who
    limbs: tuple[str, ...]
    possible: bool
    how: Said


def ways_of(
    score: Score,
    organ: Organ,
    steps: Sequence[Step],
    makers: Sequence[Maker],
    lines: Mapping[str, HandLine],
    grips: Mapping[str, Sequence[Grip]],
) -> tuple[Way, ...]:
    """How the change of each step can be made, in order."""
    found = []
    before = Registration()
    for step, maker in zip(steps, makers, strict=True):
        if maker.who is Who.PISTON:
            found.append(_pressed(score, organ, step, before, lines, grips))
        else:
            found.append(Way(who=maker.who, limbs=(), possible=True, how=_by_hand(maker)))
        before = step.registration
    return tuple(found)


def _by_hand(maker: Maker) -> Said:
    if maker.who is Who.NOBODY:
        return say("nothing moves")
    if maker.who is Who.BEFORE:
        return say("set before the music begins")
    if maker.who is Who.ASSISTANT:
        return say("by the assistant")
    if maker.leisure is Leisure.FREE:
        return say("by the {hand} hand, in time that is the player's own", hand=say(maker.who.value))
    if not maker.seconds_free:
        return say("in passing, by the {hand} hand", hand=say(maker.who.value))
    return say("by the {hand} hand, free for {seconds} s", hand=say(maker.who.value),
               seconds=f"{float(maker.seconds_free):.1f}")  # fmt: skip


def _pressed(
    score: Score,
    organ: Organ,
    step: Step,
    before: Registration,
    lines: Mapping[str, HandLine],
    grips: Mapping[str, Sequence[Grip]],
) -> Way:
    """A change that hands cannot make: which aid could, and what is free to work it."""
    after = step.registration
    reversible = _reversible(organ, before, after)
    aids = [a for a in organ.aids if a.kind in PRESSED] + reversible
    if not aids:
        how = say("too much for a hand, and this organ has no piston: it needs an assistant")
        return Way(who=Who.PISTON, limbs=(), possible=False, how=how)
    onset = int(step.at.onset * score.ticks)
    thumbs = free_thumbs(lines, grips, onset)
    toe = free_toe(score, lines["feet"], onset)
    moved = divisions_moved(organ, before, after)
    by_thumb = tuple(t for t in thumbs if any(reachable(organ, a, moved, (t,), before, toe=False) for a in aids))
    both = any(reachable(organ, a, moved, thumbs, before, toe=False) for a in aids)
    by_toe = toe and any(reachable(organ, a, moved, (), before, toe=True) for a in aids)
    limbs = (*(by_thumb or (thumbs if both else ())), *(("toe",) if by_toe else ()))
    if not limbs:
        how = say("too much for a hand, and no thumb or toe is free for a piston")
        return Way(who=Who.PISTON, limbs=(), possible=False, how=how)
    names = [say("the {hand} thumb", hand=limb) if limb != "toe" else say("a toe") for limb in limbs]
    how = say("by a piston: {limbs} can reach it", limbs=", ".join(str(n) for n in names))
    return Way(who=Who.PISTON, limbs=limbs, possible=True, how=how)


def _reversible(organ: Organ, before: Registration, after: Registration) -> list[Aid]:
    """The reversibles, where couplers alone move and no more of them than there are reversibles."""
    if before.drawn != after.drawn or before.tremulants != after.tremulants:
        return []
    own = [a for a in organ.aids if a.kind is AidKind.REVERSIBLE]
    return own if sum(a.count or 1 for a in own) >= len(before.couplers ^ after.couplers) else []


def divisions_moved(organ: Organ, before: Registration, after: Registration) -> frozenset[str]:
    """The divisions in which stops or couplers move."""
    stops = {organ.division_of(s).id for s in {*before.drawn} ^ {*after.drawn}}
    return frozenset(stops | {organ.couplers[i].target for i in before.couplers ^ after.couplers})
