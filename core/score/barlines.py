"""Bar lines and layout: repeats, endings, fermatas on bar lines, new systems and pages."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from lxml import etree

from core.score.model import Fermata

if TYPE_CHECKING:
    from core.score.timeline import PartWalk


class Layout:
    """How a bar of one part is drawn: its right bar line, a new system or page before it."""

    __slots__ = ("barline", "new_page", "new_system")

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """A new bar begins."""
        self.barline: str | None = None
        self.new_page = False
        self.new_system = False


def read_print(layout: Layout, element: etree._Element) -> None:
    """Take a new page or system."""
    layout.new_page = layout.new_page or element.get("new-page") == "yes"
    layout.new_system = layout.new_system or layout.new_page or element.get("new-system") == "yes"


def read_barline(walk: PartWalk, element: etree._Element) -> None:
    """Take what a bar line says into the bar's signs."""
    signs = walk.signs
    location = element.get("location") or "right"
    if location == "right":
        walk.layout.barline = element.findtext("bar-style") or walk.layout.barline
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
            signs.after_jump = signs.after_jump or repeat.get("after-jump") == "yes"
            signs.backward = max(signs.backward, min(int(times), 99) if times.isdigit() else 2, 1)
    if element.find("fermata") is not None:
        walk.found.fermatas.append(Fermata(walk.part, 1, walk.bar_start + walk.position))


def ending_numbers(text: str | None) -> frozenset[int]:
    """The passes of an ending: ``"1, 2"`` and ``"1-3"`` too; the first where nothing readable stands."""
    numbers: set[int] = set()
    for first, last in re.findall(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?", text or ""):
        numbers.update(range(int(first), int(last or first) + 1))
    return frozenset(numbers - {0} or {1})
