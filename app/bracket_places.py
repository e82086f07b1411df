"""Where brackets stand on an engraved page, and where a stretch of one staff lies. All in page units."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF

from app.overlay import span_on
from app.page_places import PagePlaces
from app.score_index import ScoreIndex
from core.score.model import BracketLine, Note, Score, Ticks

ON_STAFF = 320.0
"""How far beyond a staff's outer lines a point still belongs to it."""
_NEAR_END, _NEAR_LINE = 330.0, 170.0
_OFF = 420.0
_CLEF = 1500.0
"""A line that goes on from the system before begins after the clef."""
_LINE_ABOVE = 560.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """From the first to the last note under a bracket: a part's staff, and the onsets of both."""

    part: int
    staff: int
    start: Ticks
    end: Ticks

    @property
    def is_something(self) -> bool:
        """Whether it holds more than one note."""
        return self.end > self.start


@dataclass(frozen=True, slots=True)
class BracketSpot:
    """A bracket as it stands on a page: its lines by system, and its ends where they are on this page."""

    bracket: BracketLine
    lines: tuple[QRectF, ...]
    start: QPointF | None
    end: QPointF | None

    def part_at(self, point: QPointF) -> str | None:
        """``start`` or ``end`` where a point is at an end, ``line`` where it is on the line, else None."""
        for name, place in (("start", self.start), ("end", self.end)):
            if (
                place is not None
                and abs(place.x() - point.x()) < _NEAR_END / 2
                and abs(place.y() - point.y()) < _NEAR_END
            ):
                return name
        near = any(line.adjusted(0, -_NEAR_LINE, 0, _NEAR_LINE).contains(point) for line in self.lines)
        return "line" if near else None


class StaffNotes:
    """The onsets of the notes of each staff."""

    def __init__(self, notes: tuple[Note, ...]) -> None:
        found: dict[tuple[int, int], set[Ticks]] = defaultdict(set)
        for note in notes:
            if not note.cue:
                found[note.part, note.staff].add(note.onset)
        self._onsets = {staff: sorted(onsets) for staff, onsets in found.items()}

    def between(self, staff: tuple[int, int], start: Ticks, end: Ticks) -> list[Ticks]:
        """The onsets of a staff from `start` up to but not at `end`."""
        mine = self._onsets.get(staff, [])
        return mine[bisect_left(mine, start) : bisect_left(mine, end)]

    def step(self, staff: tuple[int, int], onset: Ticks, steps: int) -> Ticks:
        """The onset so many notes of a staff after (or before) a time; the time itself where there is none."""
        mine = self._onsets.get(staff, [])
        at = bisect_right(mine, onset) + steps - 1 if steps > 0 else bisect_left(mine, onset) + steps
        return mine[at] if 0 <= at < len(mine) else onset


def note_near(places: PagePlaces, staff: tuple[int, int], notes: StaffNotes, point: QPointF) -> Ticks | None:
    """The onset of a staff's note nearest to a point, among those of the bar under it."""
    place = places.bar_at(point.x(), point.y())
    if place is None or places.index is None or place.bar >= len(places.index.score.bars):
        return None
    bar = places.index.score.bars[place.bar]
    near = [
        (abs((places.x_of(bar.index, o) or 0.0) + 110 - point.x()), o)
        for o in notes.between(staff, bar.onset, bar.onset + bar.length)
    ]
    return min(near)[1] if near else None


def staff_under(places: PagePlaces, point: QPointF) -> tuple[int, int] | None:
    """(part, staff) of the staff that a point lies on; None beside all staves."""
    row = places.row_at(point.x(), point.y())
    place = places.bar_at(point.x(), point.y())
    if row is None or place is None or places.index is None or row >= len(places.index.rows):
        return None
    top, bottom = place.staves[row]
    return places.index.rows[row] if top - ON_STAFF <= point.y() <= bottom + ON_STAFF else None


def bracket_spots(places: PagePlaces) -> list[BracketSpot]:
    """The brackets of a page that are drawn on it (dashes are not brackets)."""
    if places.index is None:
        return []
    score = places.index.score
    drawn = [rect for rects in places.page.lines_of.values() for rect in rects if rect.width() > rect.height()]
    return [
        spot
        for bracket in score.brackets
        if not bracket.dashes and (spot := _spot(bracket, places, places.index, drawn)) is not None
    ]


def _spot(bracket: BracketLine, places: PagePlaces, index: ScoreIndex, drawn: list[QRectF]) -> BracketSpot | None:
    if bracket.end is None or (bracket.part, bracket.staff) not in index.rows:
        return None
    row = index.rows.index((bracket.part, bracket.staff))
    lines, start, end = [], None, None
    for number, system in enumerate(places.systems):
        edges = edges_on(number, bracket.onset, bracket.end, places, index)
        if edges is None or row >= len(system.staves):
            continue
        first, last = (index.score.bar_at(onset).index in system.bars for onset in (bracket.onset, bracket.end))
        line = _drawn_line(edges, system.staves[row], drawn, _OFF if first else _CLEF)
        if line is None:
            continue
        lines.append(line)
        start = QPointF(line.left(), line.center().y()) if first else start
        end = QPointF(line.right(), line.center().y()) if last else end
    return BracketSpot(bracket, tuple(lines), start, end) if lines else None


def _drawn_line(
    edges: tuple[float, float], staff: tuple[float, float], drawn: list[QRectF], off: float
) -> QRectF | None:
    """The engraved line that runs between two places (its left end not further off), the nearest to a staff."""
    close = [r for r in drawn if abs(r.left() - edges[0]) < off and abs(r.right() - edges[1]) < _OFF]
    middle = (staff[0] + staff[1]) / 2
    return min(close, key=lambda r: abs(r.center().y() - middle), default=None)


def edges_on(
    number: int, start: Ticks, end: Ticks, places: PagePlaces, index: ScoreIndex
) -> tuple[float, float] | None:
    """Left and right edge, on a system, of what lies from one note to another, the last one taken in."""
    span = span_on(number, start, end + 1, places, index)
    if span is None:
        return None
    left, right = span
    system = places.systems[number]
    for onset, is_end in ((start, False), (end, True)):
        bar = index.score.bar_at(onset).index
        x = places.x_of(bar, onset) if bar in system.bars else None
        if x is not None:
            left, right = (left, x) if is_end else (x, right)
    return (left, max(right, left + 1))


def preview_lines(
    stretch: Stretch, places: PagePlaces, placement: str = "above"
) -> list[tuple[QPointF, QPointF, bool, bool]]:
    """Where a bracket would be drawn: left and right end on each system, and whether it begins and ends there."""
    index = places.index
    if index is None or (stretch.part, stretch.staff) not in index.rows:
        return []
    row = index.rows.index((stretch.part, stretch.staff))
    found = []
    for number, system in enumerate(places.systems):
        edges = edges_on(number, stretch.start, stretch.end, places, index)
        if edges is None or row >= len(system.staves):
            continue
        y = system.staves[row][1] + _LINE_ABOVE if placement == "below" else system.staves[row][0] - _LINE_ABOVE
        first, last = (index.score.bar_at(onset).index in system.bars for onset in (stretch.start, stretch.end))
        found.append((QPointF(edges[0], y), QPointF(edges[1] + (220 if last else 0), y), first, last))
    return found


def bars_in_words(score: Score, start: Ticks, end: Ticks) -> tuple[str, str]:
    """The printed numbers of the bars of two onsets."""
    return score.bar_at(start).number, score.bar_at(end).number
