"""From time to place on an engraved page, and back: bars, beats, staves, texts. All in page units."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from PySide6.QtCore import QRectF

from app.page_painting import CompiledPage, TextRun
from app.score_index import ScoreIndex
from core.markings.gathering import MarkingRead
from core.score.model import Ticks


@dataclass(frozen=True, slots=True)
class BarPlace:
    """A bar on the page: its system, its left and right edge, its staves' outer lines, onsets and their x."""

    bar: int
    system: int
    left: float
    right: float
    staves: tuple[tuple[float, float], ...]
    points: tuple[tuple[Ticks, float], ...]


@dataclass(frozen=True, slots=True)
class SystemPlace:
    """A system: top and bottom of all its ink, its staves, its left and right edge."""

    top: float
    bottom: float
    left: float
    right: float
    staves: tuple[tuple[float, float], ...]
    bars: tuple[int, ...]


class PagePlaces:
    """The places of one page; `index` None before the score is read (then only bars are known)."""

    def __init__(self, page: CompiledPage, index: ScoreIndex | None) -> None:
        self.page = page
        self.index = index
        self.bars: dict[int, BarPlace] = {}
        self.systems: list[SystemPlace] = []
        points = self._points(page, index)
        ink = {chunk.bar: chunk.box for chunk in page.chunks if chunk.bar is not None}
        for number, system in enumerate(page.systems):
            self._add_system(number, system, points, ink)
        self.runs_by_owner: dict[str, list[TextRun]] = {}
        for run in page.runs:
            if run.owner and run.owner[0] == "d":
                self.runs_by_owner.setdefault(run.owner.partition(".")[0], []).append(run)

    @staticmethod
    def _points(page: CompiledPage, index: ScoreIndex | None) -> dict[int, dict[Ticks, float]]:
        points: dict[int, dict[Ticks, float]] = {}
        if index is None:
            return points
        for ordinal, (x, _) in page.notes.items():
            onset = index.onset_of_note.get(ordinal)
            if onset is not None:
                in_bar = points.setdefault(index.bar_of_note[ordinal], {})
                in_bar[onset] = min(x, in_bar.get(onset, x))
        return points

    def _add_system(
        self,
        number: int,
        system: dict[str, Any],
        points: dict[int, dict[Ticks, float]],
        ink: dict[int, QRectF],
    ) -> None:
        box = QRectF()
        bars = []
        for entry in system["bars"]:
            bar, edges = entry["bar"], entry["x"]
            if not isinstance(bar, int) or not isinstance(edges, list):
                continue
            staves = tuple((float(top), float(bottom)) for top, bottom in entry["staves"])
            in_bar = tuple(sorted(points.get(bar, {}).items()))
            self.bars[bar] = BarPlace(bar, number, float(edges[0]), float(edges[1]), staves, in_bar)
            bars.append(bar)
            box = box.united(ink.get(bar, QRectF()))
        staves = tuple((float(pair[0]), float(pair[1])) for pair in system["staves"])
        left = min((self.bars[bar].left for bar in bars), default=0.0)
        right = max((self.bars[bar].right for bar in bars), default=0.0)
        self.systems.append(SystemPlace(box.top(), box.bottom(), left, right, staves, tuple(bars)))

    def x_of(self, bar: int, onset: Ticks) -> float | None:
        """Where a written onset stands in its bar; straight between the notes known there."""
        place = self.bars.get(bar)
        if place is None:
            return None
        points = self._framed(place)
        for (before, x0), (after, x1) in pairwise(points):
            if before <= onset <= after and after > before:
                return x0 + (x1 - x0) * (onset - before) / (after - before)
        return points[0][1] if onset <= points[0][0] else points[-1][1]

    def _framed(self, place: BarPlace) -> list[tuple[Ticks, float]]:
        """The bar's points with its own start and end, so that every onset lies between two."""
        points = list(place.points)
        if self.index is None or place.bar >= len(self.index.score.bars):
            return points or [(0, place.left)]
        bar = self.index.score.bars[place.bar]
        if not points or points[0][0] > bar.onset:
            points.insert(0, (bar.onset, points[0][1] if points else place.left + 300))
        if points[-1][0] < bar.onset + bar.length:
            points.append((bar.onset + bar.length, place.right))
        return points

    def system_at(self, y: float) -> int | None:
        """The system at a height, its lane (up to the next system) with it."""
        tops = [system.top - 300 for system in self.systems]
        index = bisect_right(tops, y) - 1
        return index if index >= 0 else (0 if self.systems else None)

    def bar_at(self, x: float, y: float) -> BarPlace | None:
        """The bar under a point, or the nearest in its system."""
        number = self.system_at(y)
        if number is None:
            return None
        places = [self.bars[bar] for bar in self.systems[number].bars]
        inside = [place for place in places if place.left <= x < place.right]
        if inside:
            return inside[0]
        return min(places, key=lambda p: min(abs(p.left - x), abs(p.right - x)), default=None)

    def onset_at(self, x: float, y: float) -> tuple[int, Ticks] | None:
        """(bar, onset) of the notes nearest to a point."""
        place = self.bar_at(x, y)
        if place is None or self.index is None or place.bar >= len(self.index.score.bars):
            return None
        points = place.points or ((self.index.score.bars[place.bar].onset, place.left),)
        return place.bar, min(points, key=lambda point: abs(point[1] - x))[0]

    def row_at(self, x: float, y: float) -> int | None:
        """Which staff, counted from the top from 0, a point is nearest to."""
        place = self.bar_at(x, y)
        if place is None or not place.staves:
            return None
        return min(
            range(len(place.staves)),
            key=lambda n: abs((place.staves[n][0] + place.staves[n][1]) / 2 - y),
        )

    def note_at(self, x: float, y: float) -> int | None:
        """The note (its ordinal) whose head is under a point."""
        near = {o: abs(nx + 110 - x) + abs(ny - y) for o, (nx, ny) in self.page.notes.items() if abs(ny - y) < 130}
        best = min(near, key=lambda ordinal: near[ordinal], default=None)
        return best if best is not None and near[best] < 260 else None

    def marking_runs(self, mark: MarkingRead) -> list[tuple[TextRun, int]]:
        """The engraved runs of a marking, each with where its text begins in the marking's own."""
        found = []
        at = 0
        for run in self.runs_by_owner.get(f"d{mark.text.element}", []):
            words = run.text.strip()
            where = mark.text.text.find(words, at) if words else -1
            if where < 0 and words and (where := mark.text.text.find(words)) < 0:
                continue
            if where >= 0:
                lead = len(run.text) - len(run.text.lstrip())
                found.append((run, where - lead))
                at = where + len(words)
        return found
