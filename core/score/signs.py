"""Bar lines: repeats, endings, fermatas on them."""

from __future__ import annotations

import re
from typing import Protocol

from lxml import etree

from core.score.gathering import BarSigns, Gathering
from core.score.model import Fermata


class _Walk(Protocol):
    part: int
    found: Gathering
    bar_start: int
    position: int


def read_barline(element: etree._Element, signs: BarSigns, walk: _Walk) -> None:
    """Take what a bar line says into the bar's signs."""
    location = element.get("location") or "right"
    for ending in element.iterchildren("ending"):
        if ending.get("type") == "start":
            signs.ending_starts = signs.ending_starts | ending_numbers(ending.get("number"))
        else:
            signs.ending_stops = True
    for repeat in element.iterchildren("repeat"):
        if location == "middle":
            signs.mid_bar = True
        if repeat.get("direction") == "forward":
            signs.forward = True
        elif repeat.get("direction") == "backward":
            times = repeat.get("times") or ""
            signs.backward = max(signs.backward, min(int(times), 99) if times.isdigit() else 2, 1)
    if element.find("fermata") is not None:
        walk.found.fermatas.append(Fermata(walk.part, 1, walk.bar_start + walk.position))


def ending_numbers(text: str | None) -> frozenset[int]:
    """The passes of an ending: ``"1, 2"`` and ``"1-3"`` too; the first where nothing readable stands."""
    numbers: set[int] = set()
    for first, last in re.findall(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?", text or ""):
        numbers.update(range(int(first), int(last or first) + 1))
    return frozenset(numbers - {0} or {1})
