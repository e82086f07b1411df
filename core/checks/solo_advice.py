"""Advice on solos: what custom adds to the voice, and whether both hands reach their manuals."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.knowledge.loader import load
from core.markings.model import Action
from core.organ.model import UNISON, Division, Family, Organ, Stop
from core.organ.spelling import stop_label
from core.passages.model import Passage
from core.resolve.model import Registration
from core.resolve.stretches import Stretch
from core.resolve.traits import kind_of
from core.sounding.pipes import reachable_stops
from core.texts import Said, say

_QUIET_FLUES = frozenset((Family.FLUTE, Family.PRINCIPAL, Family.STRING))


@rule("solo-without-tremulant", level=Level.ADVICE)
def solo_without_tremulant(context: Context) -> Iterator[Finding]:
    """A solo voice that custom gives the tremulant is played without it.

    What: A Vox humana or its like sings alone, and the tremulant that reaches it is never drawn in the solo.
    Why: These voices are made to be heard with the tremulant.
    Example: "R.H. Sw. Vox Humana" on a Swell that has a tremulant.
    Remedy: Add "Trem." to the marking, or "senza Trem." where it is meant so.
    """
    wanting = frozenset(load("passages")["advice"]["tremulant"])
    for passage, stretch, stops in _solos(context):
        organ = context.the_organ
        voices = [s for s in stops if s.kind in wanting]
        trembling = {t.division for t in organ.tremulants} & {passage.division, None}
        if not voices or not trembling or _trembles(context, passage, trembling) or _refused(context, stretch):
            continue
        yield _advice(
            context,
            passage,
            "solo-without-tremulant",
            say("the solo is without its tremulant"),
            say("custom gives {stop} the tremulant, and this organ has one there", stop=stop_label(voices[0])),
        )


@rule("solo-reed-lean", level=Level.ADVICE)
def solo_reed_lean(context: Context) -> Iterator[Finding]:
    """A quiet solo reed is played all by itself where a gentle flue could round it.

    What: One quiet reed at 8 ft is the whole solo, and its division has a soft flue at 8 ft that is not drawn.
    Why: A gentle flue at 8 ft rounds a lean reed; one at 4 ft gives it point.
    Example: "R.H. Sw. Oboe" beside an idle Stopped Diapason.
    Remedy: Try the flue with it; leave it out where the reed is round enough by itself.
    """
    advice = load("passages")["advice"]
    told: set[str] = set()
    for passage, stretch, stops in _solos(context):
        if len(stops) != 1 or not _is_lean(stops[0], advice) or stops[0].id in told:
            continue
        reed = stops[0]
        division = context.the_organ.division_of(reed.id)
        flue = _rounder(division, reed, stretch.registration, int(advice["quiet-flue"]))
        if flue is None or _meant_alone(context, reed):
            continue
        told.add(reed.id)
        yield _advice(
            context,
            passage,
            "solo-reed-lean",
            say("a quiet flue would round the solo voice"),
            say(
                "{reed} is alone; {flue} on the {division} is soft enough to fill it out",
                reed=stop_label(reed),
                flue=stop_label(flue),
                division=division.name,
            ),
        )


@rule("solo-hands-far-apart", level=Level.ADVICE)
def solo_hands_far_apart(context: Context) -> Iterator[Finding]:
    """The solo and its accompaniment lie on manuals far apart.

    What: One hand plays three or more keyboards above the other.
    Why: One arm is stretched and the other bent for as long as the solo lasts, and the music desk is hidden.
    Example: The right hand on manual V, the left on manual I.
    Remedy: Put the accompaniment, or the solo by a coupler, on a manual nearer to the other.
    """
    limit = int(load("passages")["advice"]["keyboards-apart"])
    told: set[tuple[str, str]] = set()
    for passage, stretch, _ in _solos(context):
        organ = context.the_organ
        other = stretch.registration.hand(_other(passage.hand))
        if other is None or passage.division is None or (passage.division, other) in told:
            continue
        apart = _apart(organ, passage.division, other)
        if apart < limit:
            continue
        told.add((passage.division, other))
        yield _advice(
            context,
            passage,
            "solo-hands-far-apart",
            say("the hands are {count} keyboards apart", count=apart),
            say(
                "the {solo} and the {other} are hard to reach together for long",
                solo=organ.division(passage.division).name,
                other=organ.division(other).name,
            ),
        )


def _solos(context: Context) -> Iterator[tuple[Passage, Stretch, tuple[Stop, ...]]]:
    """The solos of a hand on a known division, with what sounds on it at their first note."""
    for passage in context.passages:
        stretch = context.stretch_at(passage.start_onset)
        if stretch is None or passage.division is None or passage.hand == "feet":
            continue
        reached = reachable_stops(context.the_organ, stretch.registration, passage.division)
        if reached:
            yield passage, stretch, tuple(s for _, s in reached)


def _trembles(context: Context, passage: Passage, by: set[str | None]) -> bool:
    end = context.score.end if passage.end_onset is None else passage.end_onset
    return any(
        s.registration.tremulants & by for s in context.stretches if s.start < end and s.end > passage.start_onset
    )


def _refused(context: Context, stretch: Stretch) -> bool:
    """Whether the marking in force says in words that the tremulant stays off."""
    return any(
        i.action is Action.TREMULANT_OFF
        for step in context.steps
        if step.registration == stretch.registration
        for i in step.instructions
    )


def _meant_alone(context: Context, reed: Stop) -> bool:
    """Whether the marking that drew a stop says that it is to be alone ("Oboe seul")."""
    return any(
        "alone" in request.qualities
        for step in context.steps
        if any(reed.id in b.chosen for b in step.because)
        for i in step.instructions
        for request in i.stops
    )


def _is_lean(stop: Stop, advice: dict[str, object]) -> bool:
    kind = kind_of(stop)
    groups = advice["lean-groups"]
    assert isinstance(groups, list)
    return kind is not None and kind.group in groups and stop.pitch == UNISON and stop.loudness <= 5


def _rounder(division: Division, reed: Stop, registration: Registration, limit: int) -> Stop | None:
    """The softest idle flue at 8 ft beside a reed, its flutes first."""
    idle = [
        s
        for s in division.stops
        if s.family in _QUIET_FLUES and s.pitch == UNISON and s.in_use and not s.half
        and s.loudness <= min(limit, reed.loudness) and s.id not in registration.drawn
    ]  # fmt: skip
    return min(idle, key=lambda s: (s.family is not Family.FLUTE, s.loudness), default=None)


def _apart(organ: Organ, one: str, two: str) -> int:
    first, second = _number(organ.division(one)), _number(organ.division(two))
    return abs(first - second) if first is not None and second is not None else 0


def _number(division: Division) -> int | None:
    keyboard = division.keyboard or ""
    name, _, number = keyboard.partition("-")
    return int(number) if name == "manual" and number.isdecimal() else None


def _other(hand: str) -> str:
    return "left" if hand == "right" else "right"


def _advice(context: Context, passage: Passage, rule_id: str, message: Said, why: Said) -> Finding:
    return Finding(
        rule=rule_id,
        level=Level.ADVICE,
        message=message,
        why=why,
        at=passage.start,
        staff=passage.staff,
        marking=passage.marking,
        division=passage.division,
        cause=rule_id,
    )
