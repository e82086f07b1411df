"""The score as one strip: the systems of its pages side by side, so that the music runs on in one line.

The same engraving as the pages': each system is cut out of its page and set down behind the one before it, all with
their top staves at one height and their lanes at one height below. All in page units.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from typing import Any, NamedTuple

from PySide6.QtCore import QRectF

MARGIN = 900.0
JOIN = 760.0
"""Between two systems, where the signs of findings stand."""
ABOVE, BELOW = 620.0, 160.0
"""Beyond the outer staves at the least: for flags and bands."""
_BRACE = 420.0
_TITLE_LEFT = 900.0
_REACH = 400.0
"""What stands so far above a system is still its own: the cursor's head, a slur's arch."""
_LIKELY_SYSTEMS, _LIKELY_WIDTH = 4, 19000.0
_LIKELY_ABOVE, _LIKELY_BELOW = 1500.0, 4500.0


class Cut(NamedTuple):
    """What is cut out of a page for one system, and where its first staff begins from the top."""

    left: float
    top: float
    right: float
    bottom: float
    staff: float

    @property
    def rect(self) -> QRectF:
        """The cut as a rectangle of the page."""
        return QRectF(self.left, self.top, self.right - self.left, self.bottom - self.top)


class Slab(NamedTuple):
    """A system on the strip; `system` None where its page has not come: then `cut` is a guess."""

    page: int
    system: int | None
    x: float
    cut: Cut

    @property
    def end(self) -> float:
        """Where it ends."""
        return self.x + self.cut.right - self.cut.left


def cut_of(system: dict[str, Any]) -> Cut | None:
    """What is to be cut out for a system of the draw lists; None where it has no staff."""
    staves = system.get("staves") or []
    edges = [bar["x"] for bar in system.get("bars", ()) if isinstance(bar.get("x"), list)]
    if not staves or not edges:
        return None
    top, bottom = float(staves[0][0]), max(float(pair[1]) for pair in staves)
    left, right = min(float(pair[0]) for pair in edges), max(float(pair[1]) for pair in edges)
    ink = system.get("ink") or [left, top, right, bottom]
    return Cut(
        left=min(float(ink[0]), left - _BRACE),
        top=min(float(ink[1]) - 60, top - ABOVE),
        right=right + 40,
        bottom=max(float(ink[3]) + 60, bottom + BELOW),
        staff=top,
    )


class Strip:
    """Where each system lies; what has not come yet is reckoned from what has."""

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """Another score."""
        self._cuts: dict[int, tuple[Cut | None, ...]] = {}
        self._slabs: list[Slab] = []
        self._starts: list[float] = []
        self.above, self.below = _LIKELY_ABOVE, _LIKELY_BELOW
        self.width = 0.0

    def put(self, page: int, systems: list[dict[str, Any]]) -> None:
        """A page has come (its number from 0)."""
        self._cuts[page] = tuple(cut_of(system) for system in systems)

    def lay_out(self, pages: int, title: float) -> None:
        """Set the systems down; `title` is the height of the title block above the first one's page."""
        known = [cut for cuts in self._cuts.values() for cut in cuts if cut is not None]
        first = next((cut for cut in self._cuts.get(0, ()) if cut is not None), None)
        aboves = [cut.staff - cut.top for cut in known] + ([first.staff + title] if first is not None and title else [])
        self.above = max(aboves, default=_LIKELY_ABOVE)
        self.below = max((cut.bottom - cut.staff for cut in known), default=_LIKELY_BELOW)
        width = sum(cut.right - cut.left for cut in known) / len(known) if known else _LIKELY_WIDTH
        count = max(1, round(len(known) / max(len(self._cuts), 1))) if known else _LIKELY_SYSTEMS
        self._slabs = list(self._set_down(pages, width, count, has_title=title > 0))
        self._starts = [slab.x for slab in self._slabs]
        self.width = (self._slabs[-1].end if self._slabs else 0.0) + MARGIN

    def _set_down(self, pages: int, width: float, count: int, *, has_title: bool) -> Iterator[Slab]:
        x = MARGIN
        for page in range(pages):
            cuts = self._cuts.get(page)
            if cuts is None:
                unknown = Cut(0, 0, count * width + (count - 1) * JOIN, self.above + self.below, self.above)
                yield Slab(page, None, x, unknown)
                x += unknown.right + JOIN
                continue
            for number, cut in enumerate(cuts):
                if cut is not None:
                    if page == number == 0 and has_title:
                        cut = cut._replace(left=min(cut.left, _TITLE_LEFT))
                    yield Slab(page, number, x, cut)
                    x += cut.right - cut.left + JOIN

    def between(self, left: float, right: float) -> list[Slab]:
        """The slabs that reach into a stretch."""
        first = max(0, bisect_right(self._starts, left) - 1)
        found = []
        for slab in self._slabs[first:]:
            if slab.x > right:
                break
            if slab.end + JOIN > left:
                found.append(slab)
        return found

    def slab_of(self, page: int, y: float) -> Slab | None:
        """The slab that holds a height of a page, or the nearest of that page."""
        mine = [slab for slab in self._slabs if slab.page == page]
        above = [slab for slab in mine if slab.cut.top - _REACH <= y]  # a lane belongs to the system over it
        return above[-1] if above else (mine[0] if mine else None)

    def slab_like(self, page: int, system: int | None) -> Slab | None:
        """The slab of a system, else the first of its page."""
        mine = [slab for slab in self._slabs if slab.page == page]
        return next((slab for slab in mine if slab.system == system), mine[0] if mine else None)
