"""How a colour is told: its stops as people list them (the halves of a divided stop are one), and how loud it is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from core.organ.model import Organ, Stop
from core.organ.normal import key_of
from core.organ.spelling import stop_label

LOUDNESS = (
    "", "softest", "very soft", "soft", "soft", "middling", "middling", "loud", "loud", "very loud", "very loud",
)  # fmt: skip
"""The word for each loudness of a colour, 1 to 10."""


def whole_stops(stops: Sequence[Stop]) -> list[Stop]:
    """The stops, of divided ones whose both halves are among them one that is whole."""
    found: list[Stop] = []
    seen: set[tuple[str, object]] = set()
    for stop in stops:
        place = (key_of(stop.name), stop.pitch)
        both = stop.half is not None and any(
            other.half not in (None, stop.half) and (key_of(other.name), other.pitch) == place for other in stops
        )
        if both and place in seen:
            continue
        if both:
            seen.add(place)
        found.append(replace(stop, half=None, half_word="") if both else stop)
    return found


def labels_of(organ: Organ, ids: Iterable[str]) -> list[str]:
    """The labels of stops, of a divided one whose both halves are drawn one."""
    return [stop_label(stop) for stop in whole_stops([organ.stop(one) for one in ids])]
