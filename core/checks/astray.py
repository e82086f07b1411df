"""Markings that lead nowhere: a second time that never comes, an end without a beginning, what is never heard."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.markings.gathering import MarkingRead
from core.markings.model import Action, Brackets, Hand
from core.organ.model import Role
from core.organ.spelling import coupler_label, stop_label
from core.resolve.model import Step
from core.score.model import Ticks
from core.texts import Said, say

_DRAWS = frozenset({Action.DRAW, Action.ADD, Action.PREPARE})


@rule("second-time-never-comes", level=Level.WARNING, needs=Needs.NOTHING)
def second_time_never_comes(context: Context) -> Iterator[Finding]:
    """A marking holds for a time through that is never played.

    What: A part of the marking is for the second time, and nothing repeats the bar.
    Why: Either the repeat sign is missing, or the words are left from another layout.
    Example: "1st time Sw., 2nd time Ch." in a bar that is played once.
    Remedy: Put in the repeat, or strike out what is for the second time.
    """
    times = Counter(played.bar for played in context.score.played)
    for mark in context.markings.marks:
        asked = [nth for i in mark.instructions for nth in i.passes or ()]
        if not asked or max(asked) <= times[mark.text.bar]:
            continue
        yield _at_mark(
            context,
            mark,
            "second-time-never-comes",
            Level.WARNING,
            say("{text}: this bar is never played the {nth}. time", text=mark.text.text, nth=max(asked)),
            say("no repeat or jump leads back over it"),
        )


@rule("solo-end-without-solo", level=Level.WARNING, needs=Needs.NOTHING)
def solo_end_without_solo(context: Context) -> Iterator[Finding]:
    """Words or a bracket end a solo that never began.

    What: "End of solo", or a lone closing bracket, stands where no hand plays a solo.
    Why: The marking that began the solo is missing, or it was ended before.
    Example: "Solo ends" in a hymn that both hands play on the Great.
    Remedy: Write where the solo begins, or strike out its end.
    """
    opened = [m.text.onset for m in context.markings.all_texts if m.reading.brackets is Brackets.OPENS]
    for mark in context.markings.all_texts:
        onset = mark.text.onset
        closes = mark.reading.brackets is Brackets.CLOSES and not any(o < onset for o in opened)
        ends = any(i.action is Action.SOLO_END and i.hand is not Hand.BOTH for i in mark.instructions)
        if not (closes or ends) or _is_in_solo(context, onset):
            continue
        yield _at_mark(
            context,
            mark,
            "solo-end-without-solo",
            Level.WARNING,
            say("{text}: no solo began before it", text=mark.text.text)
            if ends
            else say("a bracket closes here that was never opened"),
            say("no hand plays a solo here that it could end"),
        )


def _is_in_solo(context: Context, onset: Ticks) -> bool:
    """Whether some passage has begun before an onset, and has not ended before the note there."""
    return any(p.start_onset <= onset and (p.end_onset is None or p.end_onset >= onset) for p in context.passages)


@rule("feet-play-though-silenced", level=Level.WARNING, needs=Needs.NOTHING)
def feet_play_though_silenced(context: Context) -> Iterator[Finding]:
    """The feet have notes where the marking leaves the pedal out.

    What: "Manuals only" or "senza Ped." stands over notes on the pedal staff, with no "Ped." before them.
    Why: Either the feet go on, and the marking is wrong, or the notes are for the left hand.
    Example: "senza Ped." in bar 5, and the pedal staff simply goes on.
    Remedy: Strike out the marking, empty the pedal staff, or write "Ped." where the feet come in again.
    """
    steps = [step for step in context.steps if step.at.nth == 1]
    for index, step in enumerate(steps):
        if not any(i.action is Action.TAKE_OFF and i.division == Role.PEDAL and not i.stops for i in step.instructions):
            continue
        onset = int(step.at.onset * context.score.ticks)
        bar = context.score.bar_at(onset)
        last = context.score.bars[min(bar.index + 1, len(context.score.bars) - 1)]
        end = last.onset + last.length
        again = (int(s.at.onset * context.score.ticks) for s in steps[index + 1 :] if _calls_pedal(s))
        struck = context.lines["feet"].between(onset, min(end, next(again, end)))
        if not struck:
            continue
        yield _at_step(
            context,
            step,
            "feet-play-though-silenced",
            Level.WARNING,
            say("the feet play though the marking leaves the pedal out"),
            say("the pedal has notes in {place}", place=context.position(struck[0].onset, struck[0].bar).said),
        )


def _calls_pedal(step: Step) -> bool:
    return any(
        i.division == Role.PEDAL or (i.coupler is not None and i.coupler.target == Role.PEDAL)
        for i in step.instructions
    )


@rule("coupler-brings-nothing", level=Level.ADVICE)
def coupler_brings_nothing(context: Context) -> Iterator[Finding]:
    """A coupler is drawn, and as long as it is on there is nothing for it to bring.

    What: The division that is coupled has no stop on while the other is played.
    Why: The coupler has no sound of its own; perhaps the stops of that division are missing.
    Example: "Ch. to Gt." in a piece that draws nothing on the Choir.
    Remedy: Say what is drawn on the coupled division, or leave the coupler out.
    """
    if _has_pistons(context):
        return
    organ = context.the_organ
    on: dict[int, bool] = {}
    for stretch in context.stretches:
        registration = stretch.registration
        sounding = {organ.division_of(s).id for s in registration.drawn}
        for coupler in registration.couplers:
            on[coupler] = on.get(coupler, False) or organ.couplers[coupler].source in sounding
    for coupler, brings in sorted(on.items()):
        step = next((s for s in context.steps if coupler in s.registration.couplers), None)
        if brings or step is None or organ.couplers[coupler].permanent or step.findings:
            continue
        if not any(i.action is Action.COUPLE for i in step.instructions):
            continue  # a recipe couples all manuals, whatever is on
        yield _at_step(
            context,
            step,
            "coupler-brings-nothing",
            Level.ADVICE,
            say("{coupler} brings nothing", coupler=coupler_label(organ, organ.couplers[coupler])),
            say("no stop is on in the coupled division as long as it is coupled"),
        )


@rule("drawn-never-heard", level=Level.ADVICE)
def drawn_never_heard(context: Context) -> Iterator[Finding]:
    """Stops are drawn or prepared in the course of the piece, and no note ever sounds them.

    What: From the marking to the end neither hand nor foot plays the division, nor is it coupled to one that plays.
    Why: Perhaps the marking that sends a hand there is missing.
    Example: "Prepare Ch. Clarinet" in bar 9, and no hand goes to the Choir.
    Remedy: Write where the hand goes there, or strike the marking out.
    """
    if _has_pistons(context):
        return
    heard: dict[str, Ticks] = {}
    for stretch, _, _, _, stops in context.sounding:
        for stop in stops:
            heard[stop.id] = max(heard.get(stop.id, 0), stretch.played)
    last = max((s.played for s in context.steps), default=0)
    for step in context.steps:
        drawing = any(i.action in _DRAWS for i in step.instructions)
        if step.played == 0 or step.at.nth > 1 or not drawing or step.findings or step.played > last:
            continue
        chosen = [s for b in step.because for s in b.chosen]
        here = {*step.registration.drawn, *step.registration.prepared}
        silent = [s for s in chosen if s in here and heard.get(s, -1) < step.played]
        if not silent or len(silent) < len(chosen):
            continue
        organ = context.the_organ
        yield _at_step(
            context,
            step,
            "drawn-never-heard",
            Level.ADVICE,
            say(
                "{stops} on the {division} is made ready and never played",
                stops=", ".join(stop_label(organ.stop(s)) for s in dict.fromkeys(silent)),
                division=organ.division_of(silent[0]).name,
            ),
            say("no hand goes there after this, and nothing couples it to a keyboard that plays"),
        )


def _has_pistons(context: Context) -> bool:
    """Whether pistons are called for: what they draw is not known here."""
    return any(i.action in (Action.PISTON, Action.CRESCENDO_PEDAL) for s in context.steps for i in s.instructions)


def _at_mark(context: Context, mark: MarkingRead, name: str, level: Level, message: Said, why: Said) -> Finding:
    return Finding(
        rule=name,
        level=level,
        message=message,
        why=why,
        at=context.position(mark.text.onset, mark.text.bar),
        staff=mark.text.staff,
        marking=mark.id,
        cause=name,
    )


def _at_step(context: Context, step: Step, name: str, level: Level, message: Said, why: Said) -> Finding:
    return Finding(
        rule=name,
        level=level,
        message=message,
        why=why,
        at=step.at,
        staff=step.staff,
        marking=step.markings[0] if step.markings else None,
        cause=name,
    )
