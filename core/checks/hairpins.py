"""Hairpins against boxes: only pipes in a box can swell."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from operator import itemgetter

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.knowledge.loader import load
from core.markings.model import Action
from core.organ.model import Organ, Role, is_enclosed
from core.resolve.hands import LEFT, RIGHT
from core.resolve.model import Registration
from core.score.model import Ticks, Wedge
from core.sounding.pipes import reachable_stops
from core.texts import say

# common practice (from memory): not in a box unless the specification says so
_STEPS = ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")
_BOX_SPAN = 3  # dynamic marks that a box gives: Wisconsin Alliance of Composers, organ, item 3
_OPEN_BY_NAME = frozenset({Role.GREAT, Role.PEDAL, Role.BOMBARDE})


@rule("hairpin-without-box", level=Level.WARNING)
def hairpin_without_box(context: Context) -> Iterator[Finding]:
    """A hairpin stands over pipes that no box encloses.

    What: The keyboards played under a crescendo or diminuendo reach no enclosed stop.
    Why: Pipes outside a box cannot swell; stops would have to be added, or nothing happens.
    Example: A diminuendo while both hands play on an unenclosed Great, uncoupled.
    Remedy: Move the passage to an enclosed division, couple one, or write the stops to add.
    """
    parts = set(context.score.organ_parts)
    told: set[tuple[tuple[str, ...], Ticks]] = set()
    for wedge in context.score.wedges:
        stretch = context.stretch_at(wedge.onset)
        if wedge.part not in parts or stretch is None:
            continue
        divisions = _divisions_under(context, wedge, stretch.registration)
        if not divisions or any(_swells(context.the_organ, stretch.registration, d) for d in divisions):
            continue
        fault = (divisions, stretch.start)
        if fault in told:
            continue
        told.add(fault)
        sure = all(_known_open(context.the_organ, stretch.registration, d) for d in divisions)
        names = ", ".join(context.the_organ.division(d).name for d in divisions)
        yield Finding(
            rule="hairpin-without-box",
            level=Level.WARNING if sure else Level.ADVICE,
            message=say(
                "{kind} hairpin on the {division}: no box there"
                if sure
                else "{kind} hairpin on the {division}: the specification does not say that it is enclosed",
                kind=say("crescendo" if wedge.growing else "diminuendo"),
                division=names,
            ),
            why=say("pipes outside a swell box swell only by adding stops, and nothing enclosed is coupled"),
            at=context.position(wedge.onset, wedge.bar),
            until=context.position(wedge.end),
            staff=wedge.staff,
            division=divisions[0],
        )


@rule("box-at-its-end", level=Level.ADVICE)
def box_at_its_end(context: Context) -> Iterator[Finding]:
    """A crescendo stands where the box is open, or a diminuendo where it is closed.

    What: The last marking put the box where the hairpin would take it.
    Why: The box has no way left to go; stops would have to be added or retired.
    Example: "Sw. box open", and a crescendo two bars later.
    Remedy: Close (or open) the box before, or write the stops that change.
    """
    parts = set(context.score.organ_parts)
    moved = sorted(w.onset for w in context.score.wedges if w.part in parts)
    said = _boxes_said(context)
    for wedge in context.score.wedges:
        stretch = context.stretch_at(wedge.onset)
        end = "open" if wedge.growing else "closed"
        if wedge.part not in parts or stretch is None or end not in dict(stretch.registration.boxes).values():
            continue
        registration = stretch.registration
        swelling = [d for d in _divisions_under(context, wedge, registration)
                    if _swells(context.the_organ, registration, d)]  # fmt: skip
        boxes = {d.id for p in swelling for d, s in reachable_stops(context.the_organ, registration, p)
                 if is_enclosed(d, s)}  # fmt: skip
        if not boxes or any(registration.box(d) != end for d in boxes):
            continue
        since = _last(said, wedge.onset)
        other = _last(moved, wedge.onset - 1)
        if (moved[0] < wedge.onset and other >= since) or _changes_between(context, wedge.onset, wedge.end):
            continue
        yield Finding(
            rule="box-at-its-end",
            level=Level.ADVICE,
            message=say("the crescendo begins with the box open already")
            if wedge.growing
            else say("the diminuendo begins with the box closed already"),
            why=say("the swell box has no way left to go, so nothing would change"),
            at=context.position(wedge.onset, wedge.bar),
            until=context.position(wedge.end),
            staff=wedge.staff,
        )


def _boxes_said(context: Context) -> list[Ticks]:
    """Onsets at which markings move a box, in order."""
    return sorted(
        int(step.at.onset * context.score.ticks)
        for step in context.steps
        if any(i.action is Action.BOX for i in step.instructions)
    )


def _last(places: list[Ticks], until: Ticks) -> Ticks:
    """The last of some places in order up to one; 0 where none is."""
    index = bisect_right(places, until)
    return places[index - 1] if index else 0


@rule("crescendo-in-words-without-box", level=Level.ADVICE)
def crescendo_in_words_without_box(context: Context) -> Iterator[Finding]:
    """A crescendo or diminuendo in words stands over pipes that no box encloses.

    What: "cresc." or "dim." stands over hands that reach no enclosed stop, and nothing near it adds stops.
    Why: Pipes outside a box cannot swell; the player must add stops, or nothing happens.
    Example: "cresc." while both hands play on an unenclosed Great, uncoupled.
    Remedy: Write the stops to add, couple an enclosed division, or strike it out.
    """
    told: set[Ticks] = set()
    for mark in context.markings.all_texts:
        text = mark.text
        growing = _grows(text.text)
        stretch = context.stretch_at(text.onset) if growing is not None else None
        if stretch is None or mark.is_registration or stretch.start in told:
            continue
        bar = context.score.bars[text.bar]
        end = text.onset + 2 * bar.length
        wedge = Wedge(text.part, text.staff, text.bar, text.onset, end, bool(growing), text.placement)
        divisions = _divisions_under(context, wedge, stretch.registration)
        if not divisions or any(_swells(context.the_organ, stretch.registration, d) for d in divisions):
            continue
        if _changes_between(context, wedge.onset, wedge.end):
            continue
        told.add(stretch.start)
        yield Finding(
            rule="crescendo-in-words-without-box",
            level=Level.ADVICE,
            message=say(
                "“{text}” on the {division}: no box there, and no stops are added or retired",
                text=text.text,
                division=", ".join(context.the_organ.division(d).name for d in divisions),
            ),
            why=say("a crescendo or diminuendo on unenclosed pipes needs stops"),
            at=context.position(text.onset, text.bar),
            staff=text.staff,
            division=divisions[0],
        )


@rule("crescendo-needs-stops", level=Level.ADVICE)
def crescendo_needs_stops(context: Context) -> Iterator[Finding]:
    """A hairpin spans more than a box can do, and no stops are added or retired.

    What: From the dynamic before a hairpin to the one after it lie four steps or more, with one registration.
    Why: A box gives about three dynamic marks; beyond that stops must be added or retired.
    Example: A hairpin from p to ff on the Swell, with nothing added.
    Remedy: Write the stops to add on the way, or narrow the dynamics.
    """
    parts = set(context.score.organ_parts)
    marks = sorted((d.onset, d.mark) for d in context.score.dynamics if d.part in parts and d.mark in _STEPS)
    for wedge in context.score.wedges:
        if wedge.part not in parts:
            continue
        close = wedge.end + context.score.bars[wedge.bar].length
        index = bisect_right(marks, wedge.onset, key=itemgetter(0))
        if index in (0, len(marks)) or marks[index][0] > close:
            continue
        before, after = marks[index - 1][1], marks[index][1]
        span = _STEPS.index(after) - _STEPS.index(before)
        if abs(span) <= _BOX_SPAN or (span > 0) != wedge.growing:
            continue
        if _changes_between(context, wedge.onset, close):
            continue
        yield Finding(
            rule="crescendo-needs-stops",
            level=Level.ADVICE,
            message=say(
                "from {before} to {after} with one registration: stops must be added or retired on the way",
                before=before,
                after=after,
            ),
            why=say("a box gives about three dynamic marks (a crescendo or diminuendo beyond that needs stops)"),
            at=context.position(wedge.onset, wedge.bar),
            until=context.position(wedge.end),
            staff=wedge.staff,
        )


def _grows(text: str) -> bool | None:
    """Whether words ask for a crescendo (True) or a diminuendo (False); None for other words."""
    low = " ".join(text.casefold().split())
    for growing, words in ((True, load("passages")["crescendo"]), (False, load("passages")["diminuendo"])):
        if any(low == word or low.startswith(f"{word} ") or low.endswith(f" {word}") for word in words):
            return growing
    return None


def _changes_between(context: Context, start: Ticks, end: Ticks) -> bool:
    """Whether stops, couplers or boxes change within a written stretch."""
    places = context.instructed
    index = bisect_right(places, start)
    return index < len(places) and places[index] <= end


def _divisions_under(context: Context, wedge: Wedge, registration: Registration) -> tuple[str, ...]:
    """Divisions of the hands that a hairpin is meant for: those that play under it, by its place."""
    staff_hand = context.layout.hands.get((wedge.part, wedge.staff))
    hands = (RIGHT, LEFT) if staff_hand in (RIGHT, LEFT, None) else (staff_hand,)
    found = []
    for hand in hands:
        division = registration.hand(hand)
        sounds = context.lines[hand].between(wedge.onset, max(wedge.end, wedge.onset + 1))
        held = context.lines[hand].held_over(wedge.onset)
        if division is not None and (sounds or held):
            found.append(division)
    return tuple(dict.fromkeys(found))


def _swells(organ: Organ, registration: Registration, division: str) -> bool:
    return any(is_enclosed(d, s) for d, s in reachable_stops(organ, registration, division))


def _known_open(organ: Organ, registration: Registration, division: str) -> bool:
    """Whether all pipes reached are said, or by custom known, to stand outside a box."""
    return all(
        is_enclosed(d, s) is False or (is_enclosed(d, s) is None and d.role in _OPEN_BY_NAME)
        for d, s in reachable_stops(organ, registration, division)
    )
