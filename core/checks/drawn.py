"""Rules about what is drawn: nothing, or what cannot stand alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.markings.model import Action, Instruction
from core.organ.model import UNISON, Family, Stop
from core.organ.spelling import stop_label
from core.score.lines import Moment
from core.score.model import Ticks
from core.sounding.pipes import reachable_stops
from core.texts import Said, joined, say

_HAND_WORDS = {"right": "the right hand plays", "left": "the left hand plays", "feet": "the feet play"}


@rule("nothing-drawn", level=Level.WARNING)
def nothing_drawn(context: Context) -> Iterator[Finding]:
    """A keyboard is played on which nothing is drawn.

    What: Notes stand for a keyboard with no stop drawn and none coupled to it.
    Why: Nothing sounds; most often the registration at the opening is missing.
    Example: A pedal part without any marking for the pedal.
    Remedy: Say what is drawn there before it is first played.
    """
    told: dict[str, Silent] = {}
    pressed = _first_pistons(context)
    for stretch, hand, division_id, moments in context.playing():
        since = min((pressed[d] for d in (None, division_id) if d in pressed), default=None)
        if since is not None and since <= stretch.played:
            continue  # what the piston draws is not known here
        if division_id in told or reachable_stops(context.the_organ, stretch.registration, division_id):
            continue
        told[division_id] = Silent(hand, division_id, moments[0], stretch.nth)
    drawn_at_all = any(step.registration.drawn for step in context.steps)
    for together in _by_place(list(told.values()), apart=drawn_at_all):
        first = together[0]
        yield Finding(
            rule="nothing-drawn",
            level=Level.WARNING,
            message=say(
                "{who}, where nothing is drawn", who=joined(" / ", [_who_plays(context, one) for one in together])
            ),
            why=say("no marking up to here draws a stop for it, and no coupler brings one"),
            at=context.position(first.moment.onset, first.moment.bar, first.nth),
            staff=first.moment.staff,
            division=first.division,
            proposals=(),
        )


class Silent(NamedTuple):
    """A hand that plays on a division where nothing is drawn, from a moment on."""

    hand: str
    division: str
    moment: Moment
    nth: int


def _by_place(silent: list[Silent], *, apart: bool) -> Iterator[list[Silent]]:
    """Those of one bar together; all in one where the piece draws nothing at all."""
    groups: dict[int, list[Silent]] = {}
    for one in silent:
        groups.setdefault(one.moment.bar if apart else 0, []).append(one)
    yield from groups.values()


def _who_plays(context: Context, one: Silent) -> Said:
    name = context.the_organ.division(one.division).name
    return say("{who} on the {division}", who=say(_HAND_WORDS[one.hand]), division=name)


def _first_pistons(context: Context) -> dict[str | None, Ticks]:
    """When, as played, a piston of a division (None: a general one) is first called for."""
    found: dict[str | None, Ticks] = {}
    for step in context.steps:
        for one in step.instructions:
            if one.action is Action.PISTON:
                found.setdefault(context.keyboards.answers.get(one.division) if one.division else None, step.played)
    return found


@rule("no-manual-said", level=Level.WARNING, needs=Needs.NOTHING)
def no_manual_said(context: Context) -> Iterator[Finding]:
    """Nothing says on which manual a hand begins.

    What: A hand plays before any marking sends it to a manual.
    Why: The player must guess where to begin.
    Example: A piece whose first marking of a manual stands in bar 9.
    Remedy: Write the manual beside the first notes.
    """
    if not context.markings.marks:
        return
    for hand in ("right", "left"):
        for stretch in context.stretches:
            if stretch.registration.hand(hand) is not None:
                break
            moments = context.moments(hand, stretch)
            if moments:
                yield Finding(
                    rule="no-manual-said",
                    level=Level.WARNING,
                    message=say("{who} before any marking says on which manual", who=say(_HAND_WORDS[hand])),
                    why=say("the player must guess where to begin"),
                    at=context.position(moments[0].onset, moments[0].bar, stretch.nth),
                    staff=moments[0].staff,
                    cause=f"hand:{hand}",
                )
                break


@rule("mutation-without-foundation", level=Level.ADVICE)
def mutation_without_foundation(context: Context) -> Iterator[Finding]:
    """Mutations or mixtures sound with no unison stop under them.

    What: Only fifths, thirds or mixtures are drawn where a keyboard is played.
    Why: Heard alone they give another note than the one played.
    Example: "Ch. Nazard 2 2/3" with nothing at 8 or 4 ft.
    Remedy: Draw an 8 ft stop with it, unless the effect is meant.
    """
    yield from _once_a_division(
        context,
        "mutation-without-foundation",
        lambda stops: all(_wants_foundation(s) for s in stops),
        "only {stops} on the {division}: nothing at the unison or the octave under it",
        "a fifth or third alone is heard as another note",
    )


def _wants_foundation(stop: Stop) -> bool:
    """Mutations, mixtures, and compound stops without a rank of 4 ft or lower (a Sesquialtera, not a Cornet)."""
    if stop.family in (Family.MUTATION, Family.MIXTURE):
        return True
    lowest = max((feet for section in stop.composition for feet in section.feet), default=UNISON)
    return stop.family is Family.COMPOUND and lowest < UNISON / 2


@rule("celeste-without-partner", level=Level.ADVICE)
def celeste_without_partner(context: Context) -> Iterator[Finding]:
    """A celeste sounds without the stop it beats with.

    What: An undulating stop of one rank is drawn alone.
    Why: It only beats against its partner; alone it is merely out of tune.
    Example: "Sw. Voix Celestes" on an organ where its Salicional stays in.
    Remedy: Draw the partner too.
    """
    yield from _once_a_division(
        context,
        "celeste-without-partner",
        lambda stops: all(s.family is Family.CELESTE and not _two_ranks(s) for s in stops),
        "{stops} alone on the {division}: it needs the stop it beats with",
        "an undulating stop of one rank beats only against its partner",
    )


@rule("celeste-named-alone", level=Level.ADVICE)
def celeste_named_alone(context: Context) -> Iterator[Finding]:
    """A celeste is asked for without the stop it beats with.

    What: A marking draws a celeste of one rank and names no unison stop of its division beside it.
    Why: It beats only against its partner, which custom draws with it; another player may take the words literally.
    Example: "Sw. Voix Celestes"
    Remedy: Name the partner too: "Sw. Salicional & Voix Celestes".
    """
    organ = context.the_organ
    told: set[str] = set()
    for step in context.steps:
        named = [i for i in step.instructions if i.action is Action.DRAW and i.stops]
        for instruction in named:
            division = context.keyboards.answers.get(instruction.division or "")
            if division is None or division in told or not _only_celeste(instruction):
                continue
            drawn = [organ.stop(s) for s in step.registration.drawn if organ.division_of(s).id == division]
            celestes = [s for s in drawn if s.family is Family.CELESTE and not _two_ranks(s)]
            partners = [s for s in drawn if s.family is not Family.CELESTE and s.pitch == UNISON]
            if not celestes or not partners:
                continue
            told.add(division)
            yield Finding(
                rule="celeste-named-alone",
                level=Level.ADVICE,
                message=say(
                    "{celeste} is named without its partner; {partner} is drawn with it",
                    celeste=stop_label(celestes[0]),
                    partner=stop_label(partners[0]),
                ),
                why=say("a celeste of one rank beats only against its unison partner"),
                at=step.at,
                staff=step.staff,
                division=division,
                marking=step.markings[0] if step.markings else None,
                cause=f"celeste:{division}",
            )


def _only_celeste(instruction: Instruction) -> bool:
    """Whether every unison stop that is named is a celeste by its own name (not a request for "Celestes")."""
    unison = [r for r in instruction.stops if not r.pitches or UNISON in r.pitches]
    return bool(unison) and all(r.name and r.family == Family.CELESTE for r in unison)


@rule("sixteen-foot-alone", level=Level.ADVICE)
def sixteen_foot_alone(context: Context) -> Iterator[Finding]:
    """A manual is played on 16 ft alone.

    What: Nothing but 16 ft or lower is drawn for the hands.
    Why: It sounds an octave lower than written; that may be meant, so this only asks.
    Example: "Gt. Bourdon 16" with no 8 ft.
    Remedy: Draw an 8 ft stop, or leave it if the sound is meant.
    """
    yield from _once_a_division(
        context,
        "sixteen-foot-alone",
        lambda stops: all(s.pitch is not None and s.pitch >= 16 for s in stops),
        "{stops} alone on the {division} sounds an octave lower: is that meant?",
        "16 ft in the hands is for single lines, high passages or full combinations",
        manuals_only=True,
    )


def _two_ranks(stop: Stop) -> bool:
    return stop.ranks is not None and stop.ranks.low >= 2


def _once_a_division(
    context: Context,
    rule_id: str,
    faulty: Callable[[list[Stop]], bool],
    message: str,
    why: str,
    *,
    manuals_only: bool = False,
) -> Iterable[Finding]:
    """One finding for each division and set of stops where `faulty` holds while it is played."""
    told: set[tuple[str, tuple[str, ...]]] = set()
    for stretch, hand, division_id, moments, found in context.sounding:
        stops = list(found)
        fault = (division_id, tuple(s.id for s in stops))
        if not stops or fault in told or (manuals_only and hand == "feet") or not faulty(stops):
            continue
        told.add(fault)
        yield Finding(
            rule=rule_id,
            level=Level.ADVICE,
            message=say(
                message,
                stops=", ".join(stop_label(s) for s in stops),
                division=context.the_organ.division(division_id).name,
            ),
            why=say(why),
            at=context.position(moments[0].onset, moments[0].bar, stretch.nth),
            staff=moments[0].staff,
            division=division_id,
        )
