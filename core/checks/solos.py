"""Solo passages whose boundaries nobody marked."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level, Proposal
from core.organ.spelling import stop_label
from core.passages.closing import beginning, closing
from core.passages.model import BoundaryProposal, Passage
from core.texts import Said, say

_HANDS = {"right": "the right hand", "left": "the left hand", "feet": "the feet"}


@rule("solo-without-end", level=Level.WARNING, needs=Needs.NOTHING)
def solo_without_end(context: Context) -> Iterator[Finding]:
    """A solo whose end nobody marked.

    What: A hand is sent to a solo, and no bracket, word or other marking ends it.
    Why: The player must guess when the hand comes home.
    Example: "R.H. Sw. Oboe", then chords in both hands and no word of the Great.
    Remedy: Close it with a bracket, or name the manual where the hand goes next.
    """
    for passage in context.passages:
        if passage.marked_end:
            continue
        best = passage.proposals[0] if passage.proposals else None
        yield Finding(
            rule="solo-without-end",
            level=Level.WARNING,
            message=say("the solo of {what} has no marked end", what=_what(context, passage)),
            why=say("nothing ends it; likeliest at {place} ({reason})", place=best.at.said, reason=best.why)
            if best
            else say("nothing ends it"),
            at=passage.start,
            until=best.at if best else None,
            staff=passage.staff,
            marking=passage.marking,
            division=passage.division,
            proposals=tuple(_end_at(context, passage, p) for p in passage.proposals),
            cause="solo-end",
        )


@rule("solo-start-doubtful", level=Level.WARNING, needs=Needs.NOTHING)
def solo_start_doubtful(context: Context) -> Iterator[Finding]:
    """A solo whose first note the marking leaves in doubt.

    What: The marking stands over a held chord, after an upbeat, or at the other hand's staff.
    Why: Two players may begin the solo on different notes.
    Example: "Sw. Solo" above a held chord, a beat before the upbeat.
    Remedy: Move the marking to the first note of the solo.
    """
    for passage in context.passages:
        if passage.marked_start:
            continue
        yield Finding(
            rule="solo-start-doubtful",
            level=Level.WARNING,
            message=say("the first note of the solo of {what} is in doubt", what=_what(context, passage)),
            why=passage.start_proposals[0].why if passage.start_proposals else passage.how,
            at=passage.start,
            staff=passage.staff,
            marking=passage.marking,
            division=passage.division,
            proposals=tuple(
                Proposal(say("begin it at {place}", place=p.at.said), beginning(context.score, passage, p))
                for p in passage.start_proposals
            ),
            cause="solo-start",
        )


def _end_at(context: Context, passage: Passage, proposal: BoundaryProposal) -> Proposal:
    """A proposed end, as a bracket and as a marking."""
    roles = {division.id: str(division.role) for division in context.organ.divisions} if context.organ else {}
    edits = closing(
        context.score,
        passage,
        proposal,
        lines=context.lines,
        steps=context.steps,
        keyboards=context.keyboards,
        language=context.markings.language,
        roles=roles,
    )
    return Proposal(say("end it at {place}", place=proposal.at.said), edits.bracket, edits.marking)


def _what(context: Context, passage: Passage) -> Said:
    hand = say(_HANDS[passage.hand])
    organ = context.organ
    if organ is None or passage.division is None or passage.hand == "feet":
        return hand
    division = organ.division(passage.division).name
    if not passage.stops:
        return say("{hand} on the {division}", hand=hand, division=division)
    stops = ", ".join(stop_label(organ.stop(s)) for s in passage.stops[:3])
    return say("{hand} on the {division} ({stops})", hand=hand, division=division, stops=stops)
