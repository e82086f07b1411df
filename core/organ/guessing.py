"""Guess at names nobody knows: slips of print near a known name, and the parts of compound names."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from core.knowledge.loader import load
from core.organ.claims import index, levelled
from core.organ.normal import key_of, ocr_key, within_one_edit

_SHORTEST = 6  # below it too many names lie within one letter of each other


class Part(NamedTuple):
    """A part of a name and the kind it points to; the first in order and the longest is the most telling."""

    order: int
    shorter: int
    word: str
    kind_id: str


def near_key(key: str) -> str | None:
    """The one known key that a key is a likely slip for, or None."""
    if len(key) < _SHORTEST:
        return None
    same_print = _by_print().get(ocr_key(key), ())
    close = {near for near in same_print if near != key}
    if not close:
        close = {near for end in _ends(key) for near in _by_end().get(end, ()) if within_one_edit(key, near)}
    if len(close) > 1:
        close = {min(close, key=lambda near: (_differences(key, near), near))}
    return next(iter(close), None)


def part_of(key: str) -> Part | None:
    """The telling part of an unknown name; of several the one that stands first in the data."""
    starts, ends, within = _parts()
    found = [part for text, part in within if text in key and len(key) > len(text)]
    for at in range(2, len(key)):
        if key[:at] in starts:
            found.append(starts[key[:at]])
        if key[-at:] in ends:
            found.append(ends[key[-at:]])
    return min(found, default=None)


@cache
def _parts() -> tuple[dict[str, Part], dict[str, Part], tuple[tuple[str, Part], ...]]:
    """The parts that names may start with, end with, or hold anywhere, by key."""
    made: dict[str, dict[str, Part]] = {"start": {}, "end": {}, "within": {}}
    for order, entry in enumerate(load("stops/parts")["guesses"]):
        for where, parts in made.items():
            for word in (w.strip() for w in entry.get(where, "").split(";")):
                if word:
                    parts.setdefault(key_of(word), Part(order, -len(word), word, entry["kind"]))
    return made["start"], made["end"], tuple(made["within"].items())


@cache
def _by_print() -> dict[str, tuple[str, ...]]:
    made: dict[str, tuple[str, ...]] = {}
    for key, (_, printed) in levelled().items():
        if len(key) >= _SHORTEST:
            made[printed] = (*made.get(printed, ()), key)
    return made


@cache
def _by_end() -> dict[str, list[str]]:
    """Keys by their first and last letters, of which one slip leaves at least the one or the other."""
    ends: dict[str, list[str]] = {}
    for key in index():
        if len(key) >= _SHORTEST - 1:
            for end in {*_ends(key), *_ends(key, 2)}:
                ends.setdefault(end, []).append(key)
    return ends


def _ends(key: str, count: int | None = None) -> tuple[str, str]:
    count = count or (3 if len(key) > 6 else 2)
    return f"{key[:count]}…", f"…{key[-count:]}"


def _differences(one: str, other: str) -> tuple[int, int]:
    return abs(len(one) - len(other)), sum(a != b for a, b in zip(one, other, strict=False))
