"""Rules about who works a change that hands cannot make: pistons out of reach, page turns."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level, Proposal
from core.knowledge.loader import load
from core.practice.changes import Change, seconds_between
from core.practice.leisure import Leisure
from core.practice.limbs import HANDS, PRESSED, free_thumbs, free_toe, reachable
from core.practice.player import seconds_needed
from core.practice.ways import divisions_moved
from core.resolve.model import Registration, Step
from core.score.model import Ticks
from core.texts import say

_FEW = 3


@rule("piston-out-of-reach", level=Level.WARNING)
def piston_out_of_reach(context: Context) -> Iterator[Finding]:
    """A change needs a piston, and no thumb or toe is free to press one.

    What: More controls change than hands can move, while both hands hold full chords and the feet are busy.
    Why: A thumb reaches the pistons under the keys its hand plays, a toe the studs: but not while they are needed.
    Example: Five stops changed amid chords of four notes in each hand over running pedal quavers.
    Remedy: Move the change to where a hand or a foot is free, lighten a chord, or ask an assistant.
    """
    organ = context.the_organ
    pressed = [a for a in organ.aids if a.kind in PRESSED]
    if not pressed:
        return
    before = Registration()
    for step, change in zip(context.steps, context.changes, strict=True):
        former, before = before, step.registration
        if not _needs_piston(context, step, change):
            continue
        onset = int(step.at.onset * context.score.ticks)
        thumbs = free_thumbs(context.lines, context.grips, onset)
        toe = free_toe(context.score, context.lines["feet"], onset)
        moved = divisions_moved(organ, former, step.registration)
        if any(reachable(organ, aid, moved, thumbs, former, toe=toe) for aid in pressed):
            continue
        yield Finding(
            rule="piston-out-of-reach",
            level=Level.WARNING,
            message=say(
                "{count} controls change, and neither thumb nor toe is free for a piston", count=change.movements
            ),
            why=say("both hands hold full chords or play other keyboards, and the feet are busy"),
            at=step.at,
            staff=step.staff,
            marking=step.markings[0],
            cause="time",
        )


def _needs_piston(context: Context, step: Step, change: Change) -> bool:
    """Whether more changes at a step than hands and assistants can move in its time."""
    left = context.player.left_to_hands(change.movements)
    if change.seconds_free is None or left < _FEW or not step.markings or step.at.nth > 1:
        return False
    if change.seconds_free >= seconds_needed(left):
        return False
    return context.leisure(int(step.at.onset * context.score.ticks)) is Leisure.STRICT


@rule("change-at-page-turn", level=Level.ADVICE)
def change_at_page_turn(context: Context) -> Iterator[Finding]:
    """Stops change just where the page is turned.

    What: A change of stops by hand falls within two seconds of a page's end in the file, and no hand rests long
        enough for both.
    Why: A page turn takes a hand for about a second, and so does drawing stops.
    Example: "add Principal 4" on the first beat of a new page, both hands playing across the turn.
    Remedy: Move the change or the page's end, or have the page turned (`--assistants 1`).
    """
    if context.player.turned_for:
        return
    for turn in _turns(context):
        for step in context.steps:
            onset = int(step.at.onset * context.score.ticks)
            if step.at.nth > 1 or not step.markings or not _is_near(context, onset, turn) or onset == 0:
                continue
            by_hand = _moved_by_hand(context, step)
            if not by_hand or _hands_suffice(context, turn, by_hand):
                continue
            if context.leisure(onset) is not Leisure.STRICT or context.leisure(turn) is not Leisure.STRICT:
                continue
            yield Finding(
                rule="change-at-page-turn",
                level=Level.ADVICE,
                message=say(
                    "the page is turned here, and {count} controls change: no hand is free for both"
                    if by_hand > 1
                    else "the page is turned here, and a stop or coupler changes: no hand is free for both",
                    count=by_hand,
                ),
                why=say("a page turn takes a hand for about a second, as drawing a stop does"),
                at=step.at,
                staff=step.staff,
                marking=step.markings[0],
                proposals=(Proposal(text=say("have the page turned, or move the change away from it")),),
                cause="page",
            )
            break


def _turns(context: Context) -> list[Ticks]:
    """Where a new page begins in the file, but for the first page and the beginnings of movements."""
    movements = {context.score.bars[bar].onset for bar in context.score.movements}
    return [b.onset for b in context.score.bars[1:] if b.new_page and b.onset not in movements]


def _is_near(context: Context, onset: Ticks, turn: Ticks) -> bool:
    low, high = sorted((onset, turn))
    return seconds_between(context.score, low, high) < Fraction(load("practice")["turn_near_seconds"])


def _moved_by_hand(context: Context, step: Step) -> int:
    """Stops, couplers and tremulants that move at a step; boxes are the feet's."""
    index = context.steps.index(step)
    before = context.steps[index - 1].registration if index else Registration()
    after = step.registration
    moved = {*before.drawn} ^ {*after.drawn}
    return len(moved) + len(before.couplers ^ after.couplers) + len(before.tremulants ^ after.tremulants)


def _hands_suffice(context: Context, turn: Ticks, by_hand: int) -> bool:
    """Whether the hands rest long enough about a turn to turn the leaf and to move what changes."""
    less, more = sorted(_rest_about(context, hand, turn) for hand in HANDS)
    leaf = Fraction(load("practice")["turn_seconds"])
    knobs = seconds_needed(by_hand)
    piston = any(a.kind in PRESSED for a in context.the_organ.aids)
    return more >= leaf + knobs or (more >= leaf and (piston or less >= knobs))


def _rest_about(context: Context, hand: str, turn: Ticks) -> Fraction:
    """Seconds for which a hand rests about a page's end; 0 where it holds a key across it."""
    line = context.lines[hand]
    index = line.from_(turn)
    end = line.moments[index - 1].end if index else 0
    last = context.score.bars[-1]
    begins = line.moments[index].onset if index < len(line.moments) else last.onset + last.length
    return seconds_between(context.score, end, begins) if end < begins and end <= turn else Fraction(0)
