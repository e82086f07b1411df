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
    by_key: dict[tuple[object, ...], Draft] = {}
    for draft in drafts:
        key = _coupler_key(draft) if draft.coupler else _key(draft)
        same = by_key.get(key) if key is not None else None
        if same is None:
            merged.append(draft)
            if key is not None:
                by_key[key] = draft
        elif not draft.coupler:
            same.stops.extend(draft.stops)
            same.exceptions.extend(draft.exceptions)
            same.start, same.end = min(same.start, draft.start), max(same.end, draft.end)
    merged.sort(key=_start)
    return tuple(_instruction(draft, language) for draft in merged)


def _start(draft: Draft) -> int:
    return draft.start


_JOIN = frozenset((Action.DRAW, Action.ADD, Action.TAKE_OFF, Action.PREPARE))
_ONCE = frozenset((Action.PLAY, Action.TREMULANT_ON, Action.TREMULANT_OFF, Action.FULL))


def _key(draft: Draft) -> tuple[object, ...] | None:
    """What drafts that are one instruction have alike; None where a draft is one by itself."""
    if draft.others or draft.up_to:
        return None
    if draft.action in _JOIN or (draft.action in _ONCE and not draft.stops and not draft.exceptions):
        return draft.action, draft.division, draft.hand, draft.passes, draft.optional, bool(draft.stops)
    return None


def _coupler_key(draft: Draft) -> tuple[object, ...] | None:
    """One coupler said once."""
    coupler = draft.coupler
    if coupler is None:
        return None
    pitch = coupler.pitch
    return draft.action, coupler.source, coupler.target, pitch.numerator, pitch.denominator, draft.start, draft.end


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
