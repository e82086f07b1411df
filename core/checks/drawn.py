"""Rules about what is drawn: nothing, or what cannot stand alone; markings that change nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.markings.model import Action
from core.organ.model import Family, Stop
from core.organ.spelling import coupler_label, stop_label
from core.resolve.model import Registration
from core.sounding.pipes import reachable_stops
from core.texts import say

_HAND_WORDS = {"right": "the right hand plays", "left": "the left hand plays", "feet": "the feet play"}


@rule("nothing-drawn", level=Level.WARNING)
def nothing_drawn(context: Context) -> Iterator[Finding]:
    """A keyboard is played on which nothing is drawn.

    What: Notes stand for a keyboard with no stop drawn and none coupled to it.
    Why: Nothing sounds; most often the registration at the opening is missing.
    Example: A pedal part without any marking for the pedal.
    Remedy: Say what is drawn there before it is first played.
    """
    told: set[str] = set()
    for stretch, hand, division_id, moments in context.playing():
        if division_id in told or reachable_stops(context.the_organ, stretch.registration, division_id):
            continue
        told.add(division_id)
        yield Finding(
            rule="nothing-drawn",
            level=Level.WARNING,
            message=say(
                "{who} on the {division}, where nothing is drawn",
                who=say(_HAND_WORDS[hand]),
                division=context.the_organ.division(division_id).name,
            ),
            why=say("no marking up to here draws a stop for it, and no coupler brings one"),
            at=context.position(moments[0].onset, moments[0].bar, stretch.nth),
            staff=moments[0].staff,
            division=division_id,
            proposals=(),
        )


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


@rule("coupler-already-on", level=Level.ADVICE)
def coupler_already_on(context: Context) -> Iterator[Finding]:
    """A marking couples what is coupled already.

    What: Every coupler that the marking asks for is on before it.
    Why: It changes nothing; perhaps another was meant, or an earlier "off" is missing.
    Example: "Sw. to Gt." a second time, with nothing between that takes it off.
    Remedy: Strike it out, or name the coupler that is meant.
    """
    before = Registration()
    for step in context.steps:
        asked = [i for i in step.instructions if i.action is Action.COUPLE]
        undone = any(i.action is Action.UNCOUPLE for i in step.instructions)
        same = step.registration.couplers == before.couplers
        if asked and same and before.couplers and not undone and not step.findings and step.at.nth == 1:
            organ = context.the_organ
            engaged = ", ".join(coupler_label(organ, organ.couplers[i]) for i in sorted(before.couplers))
            yield Finding(
                rule="coupler-already-on",
                level=Level.ADVICE,
                message=say("the coupler is already on ({couplers})", couplers=engaged),
                why=say("the marking changes nothing here"),
                at=step.at,
                staff=step.staff,
                marking=step.markings[0] if step.markings else None,
                cause="coupled",
            )
        before = step.registration


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
        lambda stops: all(s.family in (Family.MUTATION, Family.MIXTURE) for s in stops),
        "only {stops} on the {division}: nothing at the unison or the octave under it",
        "a fifth or third alone is heard as another note",
    )


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
    for stretch, hand, division_id, moments in context.playing():
        stops = [s for _, s in reachable_stops(context.the_organ, stretch.registration, division_id)]
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
