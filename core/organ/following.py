"""Which division and stop of a changed specification is which of the former: ids are made of names, and follow them."""

from __future__ import annotations

from core.organ.changes import (
    AddDivision,
    AddStop,
    MoveDivision,
    MoveStop,
    RemoveDivision,
    RemoveStop,
    SpecChange,
)
from core.organ.model import Organ

_Slots = list[tuple[str, list[str]]]
_NEW = ""


def followed(before: Organ, after: Organ, change: SpecChange) -> dict[str, str | None]:
    """Ids of divisions and stops before a change with their ids after it; None where one was taken out.

    Empty where `after` is not what the change makes of `before`.
    """
    slots: _Slots = [(division.id, [stop.id for stop in division.stops]) for division in before.divisions]
    found: dict[str, str | None] = {name: None for division, stops in slots for name in (division, *stops)}
    _take_place(slots, change)
    if [len(stops) for _, stops in slots] != [len(division.stops) for division in after.divisions]:
        return {}
    for (division_id, stops), division in zip(slots, after.divisions, strict=True):
        found[division_id] = division.id
        found.update(zip(stops, (stop.id for stop in division.stops), strict=True))
    found.pop(_NEW, None)
    return found


def _take_place(slots: _Slots, change: SpecChange) -> None:
    """Make the change among the ids."""
    match change:
        case AddStop(division=division, after=after):
            _insert(slots, division, after, _NEW, last=True)
        case RemoveStop(stop=stop):
            _take_out(slots, stop)
        case MoveStop(stop=stop, division=division, after=after):
            _take_out(slots, stop)
            _insert(slots, division, after, stop, last=False)
        case AddDivision(after=after):
            _put(slots, (_NEW, []), after, last=True)
        case RemoveDivision(division=division):
            slots[:] = [slot for slot in slots if slot[0] != division]
        case MoveDivision(division=division, after=after):
            moved = [slot for slot in slots if slot[0] == division]
            slots[:] = [slot for slot in slots if slot[0] != division]
            for slot in moved:
                _put(slots, slot, after, last=False)


def _take_out(slots: _Slots, stop: str) -> None:
    for _, stops in slots:
        if stop in stops:
            stops.remove(stop)


def _insert(slots: _Slots, division: str, after: str | None, stop: str, *, last: bool) -> None:
    for division_id, stops in slots:
        if division_id == division:
            at = stops.index(after) + 1 if after in stops else len(stops) if last else 0
            stops.insert(at, stop)


def _put(slots: _Slots, slot: tuple[str, list[str]], after: str | None, *, last: bool) -> None:
    ids = [division_id for division_id, _ in slots]
    slots.insert(ids.index(after) + 1 if after in ids else len(ids) if last else 0, slot)
