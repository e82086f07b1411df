"""Rules about two hands on two manuals that meet on the same pipes, and about their balance."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from operator import attrgetter

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.organ.model import Organ, Stop
from core.organ.spelling import stop_label, write_key
from core.organ.strength import strength
from core.passages.model import Passage
from core.resolve.model import Registration
from core.score.held import Held
from core.score.model import Ticks
from core.score.music import Music
from core.sounding.couplers import ways
from core.sounding.pipes import pipes_of, reachable_stops
from core.texts import say


@rule("same-pipe-twice", level=Level.WARNING)
def same_pipe_twice(context: Context) -> Iterator[Finding]:
    """Two hands on two manuals ask for the same pipe.

    What: Through a coupler or a shared rank one hand strikes a pipe that the other holds.
    Why: A pipe speaks once: the second attack is lost, or a solo note is cut short.
    Example: A solo on the Swell over a Great that is coupled to it, crossing on the same key.
    Remedy: Take the coupler off, or move one hand to other stops.
    """
    for stretch in context.stretches:
        if stretch.nth > 1 or not _may_meet(context.the_organ, stretch.registration):
            continue
        met = context.recall(
            _first_meeting, context.music, context.the_organ, stretch.registration, stretch.start, stretch.end
        )
        if met is None:
            continue
        note, stops = met
        yield Finding(
            rule="same-pipe-twice",
            level=Level.WARNING,
            message=say(
                "both hands ask for the same pipe at {key} ({stops})",
                key=write_key(note.key),
                stops=", ".join(stops),
            ),
            why=say("a pipe speaks once: the second attack is lost, or the note is cut off"),
            at=context.position(note.onset, note.bar),
            staff=note.staff,
        )


def _may_meet(organ: Organ, registration: Registration) -> bool:
    """Whether the two hands are on different manuals that reach some pipe in common."""
    one, two = registration.hand("right"), registration.hand("left")
    if one is None or two is None or one == two:
        return False
    ranks = [{s.rank or s.id for _, s in reachable_stops(organ, registration, d)} for d in (one, two)]
    return bool(ranks[0] & ranks[1])


def _first_meeting(
    music: Music, organ: Organ, registration: Registration, start: Ticks, end: Ticks
) -> tuple[Held, list[str]] | None:
    """The first note from `start` to `end` at which both hands ask for one pipe, and the stops that would give it."""
    one, two = registration.hand("right"), registration.hand("left")
    assert one is not None
    assert two is not None
    right, left, longest = music.held["right"], music.held["left"], music.longest["left"]
    first, last = bisect_left(right, start, key=_onset), bisect_left(right, end, key=_onset)
    for note in right[first:last]:
        mine = {(p.rank, p.number): p.stop for p in pipes_of(organ, registration, one, note.key)}
        low = bisect_left(left, note.onset - longest, key=_onset)
        for other in left[low : bisect_left(left, note.end, key=_onset)]:
            if other.end <= note.onset or other.onset == note.onset:
                continue
            theirs = pipes_of(organ, registration, two, other.key)
            shared = [mine[p.rank, p.number] for p in theirs if (p.rank, p.number) in mine]
            if shared:
                later = note if note.onset > other.onset else other
                return later, [stop_label(organ.stop(s)) for s in dict.fromkeys(shared)]
    return None


_onset = attrgetter("onset")


@rule("solo-covered", level=Level.ADVICE)
def solo_covered(context: Context) -> Iterator[Finding]:
    """A solo is quieter than what accompanies it.

    What: The stops of the solo are clearly softer, by their names, than those of the accompaniment.
    Why: The melody would not be heard above it.
    Example: A Dulciana as solo against an Open Diapason.
    Remedy: Add to the solo, or take from the accompaniment.
    """
    for passage in context.passages:
        found = None if _among_equals(context, passage) else _loudness(context, passage)
        if found is None:
            continue
        solo, against, stops = found
        if against - solo < 2:
            continue
        yield Finding(
            rule="solo-covered",
            level=Level.ADVICE,
            message=say(
                "the solo is quieter than its accompaniment ({stops})",
                stops=", ".join(stop_label(s) for s in stops),
            ),
            why=say("judged by the stops' names; the player's ear decides"),
            at=passage.start,
            staff=passage.staff,
            marking=passage.marking,
            division=passage.division,
            cause="balance",
        )


def _among_equals(context: Context, passage: Passage) -> bool:
    """Whether the other hand has a line of its own at that time (duet, trio): neither accompanies."""
    end = passage.end_onset if passage.end_onset is not None else context.score.end
    return any(
        other.hand != passage.hand and other.hand != "feet" and other.start_onset < end
        and passage.start_onset < (context.score.end if other.end_onset is None else other.end_onset)
        for other in context.passages
    )  # fmt: skip


def _loudness(context: Context, passage: Passage) -> tuple[int, int, list[Stop]] | None:
    stretch = context.stretch_at(passage.start_onset)
    if stretch is None or passage.division is None or passage.hand == "feet":
        return None
    other = stretch.registration.hand("left" if passage.hand == "right" else "right")
    if other is None or other == passage.division:
        return None
    organ, registration = context.the_organ, stretch.registration
    mine = [s for _, s in reachable_stops(organ, registration, passage.division)]
    theirs = [s for _, s in reachable_stops(organ, registration, other)]
    if not mine or not theirs:
        return None
    return strength(mine), strength(theirs), theirs


@rule("solo-coupled-to-accompaniment", level=Level.ADVICE)
def solo_coupled_to_accompaniment(context: Context) -> Iterator[Finding]:
    """A coupler brings the solo's stops to the accompaniment.

    What: The manual that accompanies is coupled to the one that plays the solo.
    Why: The accompaniment sounds the solo stop too, and the solo does not stand out.
    Example: "R.H. Sw. Oboe" while "Sw. to Gt." is still on and the left hand plays the Great.
    Remedy: Take the coupler off before the solo.
    """
    for passage in context.passages:
        stretch = context.stretch_at(passage.start_onset)
        if stretch is None or passage.division is None or passage.hand == "feet":
            continue
        other = stretch.registration.hand("left" if passage.hand == "right" else "right")
        if other is None or other == passage.division:
            continue
        reached = {w.division for w in ways(context.the_organ, stretch.registration, other)}
        if passage.division not in reached or not passage.stops:
            continue
        organ = context.the_organ
        yield Finding(
            rule="solo-coupled-to-accompaniment",
            level=Level.ADVICE,
            message=say(
                "the coupler from the {solo} is still on: the {other} sounds the solo stop too",
                solo=organ.division(passage.division).name,
                other=organ.division(other).name,
            ),
            why=say("what accompanies on the coupled manual has the solo's stops in it"),
            at=passage.start,
            staff=passage.staff,
            marking=passage.marking,
            cause="coupled-solo",
        )
