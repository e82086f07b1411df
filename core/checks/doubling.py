"""Notes doubled by hand or foot, which a stop would double without a finger, or which add nothing at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.organ.spelling import stop_label
from core.resolve.model import Registration
from core.resolve.stretches import Stretch
from core.score.lines import Moment
from core.score.music import Music
from core.sounding.couplers import ways
from core.sounding.pipes import pipes_of, reachable_stops
from core.texts import Said, say

_ENOUGH = 4  # octaves in a row that make a doubled line
_ENOUGH_CHORDS = 6  # chords in a row whose outer notes are octaves, or octaves between the hands
_OCTAVE = 12


@rule("octaves-doubled", level=Level.ADVICE)
def octaves_doubled(context: Context) -> Iterator[Finding]:
    """A line is doubled in octaves.

    What: One hand strikes a line in octaves, alone or as the frame of its chords, or the hands play it an octave apart.
    Why: A 4 ft stop or an octave coupler gives the same and leaves the fingers free.
    Example: Four or more octaves in a row in the right hand, on 8 ft.
    Remedy: Write the lower line and draw a 4 ft stop; keep broken octaves, which are figuration.
    """
    for hand in ("right", "left"):
        for run in context.recall(_octave_runs, context.music, hand):
            stretch = context.stretch_at(run[0].onset)
            if stretch is None or stretch.registration.hand(hand) is None:
                continue
            chords = len(run[0].keys) > 2
            words = (
                "the {hand} hand doubles its upper line in octaves within the chords; {what}"
                if chords
                else "the {hand} hand doubles its line in octaves; {what}"
            )
            yield _octaves(context, run, stretch.registration, hand, words)
    for run in context.recall(_runs_with_left, context.music):
        stretch = context.stretch_at(run[0].onset)
        if stretch is None:
            continue
        right, left = stretch.registration.hand("right"), stretch.registration.hand("left")
        if right is not None and right == left:
            yield _octaves(context, run, stretch.registration, "right", "both hands play one line in octaves; {what}")


def _octaves(context: Context, run: list[Moment], registration: Registration, hand: str, words: str) -> Finding:
    division = registration.hand(hand)
    assert division is not None
    return Finding(
        rule="octaves-doubled",
        level=Level.ADVICE,
        message=say(words, hand=hand, what=_what_gives_it(context, registration, division)),
        why=say("a 4 ft stop or an octave coupler sounds the octave of every key"),
        at=context.position(run[0].onset, run[0].bar),
        until=context.position(run[-1].onset, run[-1].bar),
        staff=run[0].staff,
        division=division,
    )


def _what_gives_it(context: Context, registration: Registration, division: str) -> Said:
    organ = context.the_organ
    if any(way.shift == _OCTAVE for way in ways(organ, registration, division)):
        return say("the octave coupler already sounds the upper one, so the doubling adds nothing")
    fours = [s for _, s in reachable_stops(organ, registration, division) if s.pitch == 4]
    if fours:
        return say("{stop} already sounds the upper one, so the doubling adds little", stop=stop_label(fours[0]))
    return say("a 4 ft stop would give the upper one")


def _is_octave(moment: Moment) -> bool:
    return len(moment.keys) == 2 and moment.keys[1] - moment.keys[0] == _OCTAVE


def _framed_by_octave(moment: Moment) -> bool:
    return len(moment.keys) > 2 and moment.keys[-1] - moment.keys[0] == _OCTAVE


def _octave_runs(music: Music, hand: str) -> list[list[Moment]]:
    """Lines in octaves of one hand: bare ones first, then those that frame chords."""
    moments = music.lines[hand].moments
    return [*_runs(moments, _is_octave, _ENOUGH), *_runs(moments, _framed_by_octave, _ENOUGH_CHORDS)]


def _runs_with_left(music: Music) -> list[list[Moment]]:
    return list(_runs(music.lines["right"].moments, _with_left(music), _ENOUGH_CHORDS))


def _with_left(music: Music) -> Callable[[Moment], bool]:
    """Whether the left hand strikes the same single note one or two octaves lower."""
    below = {m.onset: m.keys for m in music.lines["left"].moments if len(m.keys) == 1}

    def together(moment: Moment) -> bool:
        other = below.get(moment.onset)
        return other is not None and len(moment.keys) == 1 and moment.keys[0] - other[0] in (_OCTAVE, 2 * _OCTAVE)

    return together


def _runs(moments: tuple[Moment, ...], wanted: Callable[[Moment], bool], enough: int) -> Iterator[list[Moment]]:
    """Runs of moments of one kind that move (not one chord struck again); another kind or a rest ends one."""
    run: list[Moment] = []
    for moment in moments:
        if wanted(moment) and not (run and moment.onset > run[-1].end):
            run.append(moment)
            continue
        if _moves(run, enough):
            yield run
        run = [moment] if wanted(moment) else []
    if _moves(run, enough):
        yield run


def _moves(run: list[Moment], enough: int) -> bool:
    return len(run) >= enough and len({m.keys for m in run}) > enough // 2


@rule("doubling-adds-nothing", level=Level.ADVICE)
def doubling_adds_nothing(context: Context) -> Iterator[Finding]:
    """A line is doubled at the same pitch, and nothing more sounds.

    What: Hand and foot, or both hands, strike the same keys for a while, and the one reaches no sound of its own.
    Why: A pipe speaks once, so the doubling is not heard.
    Example: The feet double the left hand through Great to Pedal while nothing is drawn in the Pedal.
    Remedy: Draw a stop for the doubling voice, move it an octave, or leave it out.
    """
    for one, two in (("feet", "left"), ("feet", "right"), ("left", "right")):
        for run in context.recall(_runs_doubled, context.music, one, two):
            stretch = context.stretch_at(run[0].onset)
            if stretch is None or not _silent_beside(context, stretch, one, two, run):
                continue
            yield Finding(
                rule="doubling-adds-nothing",
                level=Level.ADVICE,
                message=say(
                    "{who} what the {other} hand plays, and it adds nothing",
                    who=say("the feet double" if one == "feet" else "the left hand doubles"),
                    other=two,
                ),
                why=say("every pipe that it reaches speaks already: a pipe speaks once"),
                at=context.position(run[0].onset, run[0].bar),
                until=context.position(run[-1].onset, run[-1].bar),
                staff=run[0].staff,
            )
            break


def _runs_doubled(music: Music, one: str, two: str) -> list[list[Moment]]:
    """Runs of a limb whose keys another limb strikes at the same time."""
    other = {m.onset: m.keys for m in music.lines[two].moments}

    def among(moment: Moment) -> bool:
        keys = other.get(moment.onset)
        return keys is not None and all(key in keys for key in moment.keys)

    return list(_runs(music.lines[one].moments, among, _ENOUGH))


def _silent_beside(context: Context, stretch: Stretch, one: str, two: str, run: list[Moment]) -> bool:
    """Whether all pipes that one limb reaches in a run are among those of the other."""
    registration = stretch.registration
    mine, theirs = registration.hand(one), registration.hand(two)
    if mine is None or theirs is None:
        return False
    for moment in run[:_ENOUGH]:
        for key in moment.keys:
            own = {(p.rank, p.number) for p in pipes_of(context.the_organ, registration, mine, key)}
            others = {(p.rank, p.number) for p in pipes_of(context.the_organ, registration, theirs, key)}
            if not own or not own <= others:
                return False
    return True
