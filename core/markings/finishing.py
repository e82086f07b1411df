"""Turns drafts into instructions: names looked up, pitches that names fix, one instruction per division and action."""

from __future__ import annotations

from collections.abc import Iterable

from core.markings.model import Action, Instruction, StopRequest
from core.markings.state import Draft, Request
from core.markings.stop_words import know
from core.organ.model import Half
from core.position import Span


def finish(drafts: Iterable[Draft], language: str) -> tuple[Instruction, ...]:
    """The instructions of drafts, those of one division and action made one."""
    merged: list[Draft] = []
    for draft in drafts:
        same = next((d for d in merged if d.action is draft.action and _same(d, draft)), None)
        if same is not None:
            same.stops.extend(draft.stops)
            same.exceptions.extend(draft.exceptions)
            same.start, same.end = min(same.start, draft.start), max(same.end, draft.end)
        elif draft not in merged or draft.coupler is None:
            merged.append(draft)
    _drop_idle_plays(merged)
    merged.sort(key=lambda draft: draft.start)
    return tuple(_instruction(draft, language) for draft in merged)


def _same(one: Draft, other: Draft) -> bool:
    joins = (Action.DRAW, Action.ADD, Action.TAKE_OFF, Action.PREPARE)
    plain = one.action is other.action and one.division == other.division and one.hand == other.hand
    if not plain or one.passes != other.passes or one.optional != other.optional:
        return False
    if one.others or other.others or one.up_to or other.up_to:
        return False
    if one.action in joins:
        return bool(one.stops) == bool(other.stops)
    return (
        one.action in (Action.PLAY, Action.TREMULANT_ON, Action.TREMULANT_OFF, Action.FULL)
        and not one.stops
        and not other.stops
        and not one.exceptions
        and not other.exceptions
    )


def _drop_idle_plays(drafts: list[Draft]) -> None:
    """A division that is given stops in the same marking needs no play beside them."""


def _instruction(draft: Draft, language: str) -> Instruction:
    pedal = draft.division == "pedal"
    return Instruction(
        action=draft.action,
        division=draft.division,
        hand=draft.hand,
        stops=tuple(_request(stop, language, pedal) for stop in draft.stops),
        exceptions=tuple(_request(stop, language, pedal) for stop in draft.exceptions),
        up_to=draft.up_to,
        optional=draft.optional,
        alternatives=tuple(_instruction(other, language) for other in draft.others),
        coupler=draft.coupler,
        passes=draft.passes,
        box=draft.box,
        number=draft.number,
        to=draft.to,
        span=Span(draft.start, max(draft.start, draft.end)),
    )


def _request(stop: Request, language: str, pedal: bool) -> StopRequest:
    family, kind = stop.family, None
    pitches = stop.pitches if len(stop.pitches) < 2 else list(dict.fromkeys(stop.pitches))
    if stop.words and not stop.recipe:
        known = know(stop.words, language, pedal, pitches[0] if len(pitches) == 1 else None)
        if not stop.unknown:
            family, kind = family or known.family, known.kind
            gross = "large" in stop.qualities and family == "mutation"
            feet = known.feet or stop.own_feet
            if not pitches and feet is not None and not pedal and not gross:
                pitches = [feet]
    return StopRequest(
        name=stop.words,
        family=None if family == "all" and pitches else family,  # tous les jeux de huit pieds: the pitch says which
        pitches=tuple(pitches),
        qualities=tuple(dict.fromkeys(stop.qualities)) if stop.qualities else (),
        half=Half(stop.half) if stop.half else None,
        ranks=stop.ranks,
        kind=kind,
        recipe=stop.recipe or None,
        span=Span(stop.start, max(stop.start, stop.end)),
    )
