"""Notes doubled in octaves by one hand, which a stop would double without a finger."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.score.lines import Moment
from core.texts import say

_ENOUGH = 4  # octaves in a row that make a doubled line


@rule("octaves-doubled", level=Level.ADVICE)
def octaves_doubled(context: Context) -> Iterator[Finding]:
    """A hand doubles a line in octaves.

    What: One hand strikes a line in octaves, note for note.
    Why: A 4 ft stop or an octave coupler gives the same and leaves the hand free.
    Example: Four or more octaves in a row in the right hand, on 8 ft.
    Remedy: Write the lower line and draw a 4 ft stop; keep broken octaves, which are figuration.
    """
    for hand in ("right", "left"):
        for run in _runs(context.lines[hand].moments):
            stretch = context.stretch_at(run[0].onset)
            if stretch is None or stretch.registration.hand(hand) is None:
                continue
            yield Finding(
                rule="octaves-doubled",
                level=Level.ADVICE,
                message=say(
                    "the {hand} hand doubles its line in octaves; a 4 ft stop would give the upper one",
                    hand=hand,
                ),
                why=say("a 4 ft stop or an octave coupler sounds the octave of every key"),
                at=context.position(run[0].onset, run[0].bar),
                until=context.position(run[-1].onset, run[-1].bar),
                staff=run[0].staff,
                division=stretch.registration.hand(hand),
            )


def _runs(moments: tuple[Moment, ...]) -> Iterator[list[Moment]]:
    """Runs of octaves struck together; a rest or another interval ends one."""
    run: list[Moment] = []
    for moment in moments:
        if len(moment.keys) == 2 and moment.keys[1] - moment.keys[0] == 12:
            run.append(moment)
            continue
        if len(run) >= _ENOUGH:
            yield run
        run = []
    if len(run) >= _ENOUGH:
        yield run
