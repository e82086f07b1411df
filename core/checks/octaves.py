"""Rules about stops that answer an octave off: whether the keys reach far enough to play them so."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.organ.model import Division, Key
from core.organ.spelling import stop_label
from core.resolve.model import Because, Step
from core.score.lines import Moment
from core.texts import say

_OCTAVE = 12


@rule("octave-off-runs-out", level=Level.WARNING)
def octave_off_runs_out(context: Context) -> Iterator[Finding]:
    """A stop that must be played an octave off meets the end of the keys.

    What: A 4 ft stop stands for one of 8 ft, played an octave lower (or a 16 ft one an octave higher), and some of its
        notes would lie beyond the keyboard.
    Why: Those notes can then not be had at the pitch that was asked for.
    Example: "Ch. Clarinet" answered by a Clarinet 4, for a melody that goes down to tenor C on a keyboard from C.
    Remedy: Choose another substitute, or give those notes to another stop.
    """
    for step in context.steps:
        for because in step.because:
            if because.octaves and because.chosen and because.division and step.at.nth == 1:
                yield from _beyond(context, step, because)


def _beyond(context: Context, step: Step, because: Because) -> Iterator[Finding]:
    organ = context.the_organ
    division = organ.division(because.division or "")
    moments = _played(context, step, because)
    outside = [m for m in moments if any(_is_outside(division, k + _OCTAVE * because.octaves) for k in m.keys)]
    if not outside:
        return
    yield Finding(
        rule="octave-off-runs-out",
        level=Level.WARNING,
        message=say(
            "{count} of {all} notes for the {request} cannot be played an octave {way} on {stop}: the keys end",
            count=len(outside),
            all=len(moments),
            request=because.request,
            way=say("lower") if because.octaves < 0 else say("higher"),
            stop=stop_label(organ.stop(because.chosen[0])),
        ),
        why=say("the stop is at another pitch than was asked, and its keyboard does not reach so far"),
        at=context.position(outside[0].onset, outside[0].bar),
        staff=outside[0].staff,
        marking=step.markings[0] if step.markings else None,
        division=division.id,
        cause="octave",
    )


def _played(context: Context, step: Step, because: Because) -> list[Moment]:
    """What is played on the division from the step on while the stop is drawn, the first time through."""
    found: list[Moment] = []
    for stretch, hand, division, moments in context.playing():
        if stretch.nth > 1 or hand == "feet" or division != because.division:
            continue
        if stretch.step.played >= step.played and because.chosen[0] in stretch.registration.drawn:
            found += moments
    return found


def _is_outside(division: Division, key: Key) -> bool:
    if division.compass is None:
        return False
    low, high = division.compass
    return not low <= key <= high or key in division.missing
