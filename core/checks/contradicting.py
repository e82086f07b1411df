"""Markings at one place that undo one another."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.markings.gathering import MarkingRead
from core.markings.model import Action, Instruction
from core.resolve.hands import is_thumbed
from core.texts import Said, say

_OPPOSITES = (
    (Action.COUPLE, Action.UNCOUPLE),
    (Action.TREMULANT_ON, Action.TREMULANT_OFF),
    (Action.ADD, Action.TAKE_OFF),
)
_ENDS = frozenset({"open", "closed"})


@rule("markings-contradict", level=Level.WARNING, needs=Needs.NOTHING)
def markings_contradict(context: Context) -> Iterator[Finding]:
    """Two markings at one place ask for opposite things.

    What: At the same moment something is put on and taken off, a box opened and closed, or a hand sent to two manuals.
    Why: Only one of them can hold; the other belongs elsewhere, or is a slip.
    Example: "Sw. box open" and "Sw. box closed" above the same note.
    Remedy: Move or strike out one of them.
    """
    for step in context.steps:
        marks = [context.marks[m] for m in step.markings if m in context.marks and not is_thumbed(context.marks[m])]
        if step.at.nth > 1 or len(marks) < 2:
            continue
        for one, two in combinations(marks, 2):
            what = _clash(one, two)
            if what is None:
                continue
            yield Finding(
                rule="markings-contradict",
                level=Level.WARNING,
                message=say("“{one}” and “{two}” contradict each other: {what}", one=one.text.text, two=two.text.text,
                            what=what),
                why=say("both stand at the same moment, and only one of them can hold"),
                at=step.at,
                staff=two.text.staff,
                marking=two.id,
                cause="contradiction",
            )  # fmt: skip
            break


def _clash(one: MarkingRead, two: MarkingRead) -> Said | None:
    """What two markings want opposite, or None."""
    for a in one.instructions:
        for b in two.instructions:
            if a.passes and b.passes and not set(a.passes) & set(b.passes):
                continue
            found = _opposite(a, b)
            if found is not None:
                return found
    return None


def _opposite(a: Instruction, b: Instruction) -> Said | None:
    for pair in _OPPOSITES:
        if {a.action, b.action} == set(pair) and a.division == b.division and _same(a, b):
            return say("the one puts on what the other takes off")
    if a.action is b.action is Action.BOX and a.division == b.division and {a.box, b.box} == _ENDS:
        return say("the box cannot be open and closed")
    if a.action is b.action is Action.PLAY and a.hand is not None and a.hand is b.hand and a.division != b.division:
        return say("one hand is sent to two manuals")
    return None


def _same(a: Instruction, b: Instruction) -> bool:
    """Whether the same coupler, or a stop of the same name, is meant."""
    if a.coupler is not None or b.coupler is not None:
        return a.coupler == b.coupler
    names = {r.name.casefold() for r in a.stops if r.name}
    return a.stops == b.stops or bool(names & {r.name.casefold() for r in b.stops if r.name})
