"""What stands on a page besides the engraving: rules under markings, signs, bands of solos, the lane.

Made once for a page and an analysis, in page units; `app.overlay_painting` paints it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from PySide6.QtCore import QRectF

from app.lane import LaneLine
from app.page_places import PagePlaces
from app.score_index import Mark, ScoreIndex
from app.translation import shown
from core.analysis import Analysis
from core.findings import Finding
from core.markings.gathering import MarkingRead
from core.passages.model import Passage
from core.score.model import MarkingId, Ticks

LANE_STEP = 430.0
LANE_ROOM = 4
"""Lines of the lane that room is kept for, before it is known how many there are."""
LANE_TOP = 300.0
BEYOND = 120.0


@dataclass(frozen=True, slots=True)
class Rule:
    """The rule under (part of) a marking."""

    marking: MarkingId
    kind: Mark
    left: float
    right: float
    y: float
    box: QRectF


@dataclass(frozen=True, slots=True)
class Sign:
    """A finding's sign in the margin beside its system."""

    finding: int
    level: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Band:
    """A solo's hatched band over a staff; from `fade` on its end is in doubt, up to `rise` its beginning."""

    rect: QRectF
    fade: float | None
    rise: float | None = None


@dataclass(frozen=True, slots=True)
class Flag:
    """A numbered place where a solo may end or begin: the proposal of that index of a finding."""

    number: int
    x: float
    y: float
    onset: Ticks
    why: str
    finding: int
    proposal: int
    is_start: bool = False


@dataclass(frozen=True, slots=True)
class LaneText:
    """Words on the lane, with the room they have; `pencil`: the player's own, a second hand in it."""

    text: str
    x: float
    y: float
    room: float
    onset: Ticks
    nth: int
    pencil: bool = False


@dataclass(frozen=True, slots=True)
class LaneRow:
    """One line of the lane below one system."""

    name: str
    system: int
    y: float
    left: float
    held: tuple[tuple[float, float], ...]
    texts: tuple[LaneText, ...]
    bands: tuple[tuple[float, float], ...]


@dataclass(slots=True)
class Overlay:
    """All of it for one page."""

    rules: list[Rule] = field(default_factory=list)
    signs: list[Sign] = field(default_factory=list)
    bands: list[Band] = field(default_factory=list)
    flags: list[Flag] = field(default_factory=list)
    rows: list[LaneRow] = field(default_factory=list)


def lane_gap(lines: int) -> int:
    """The room that a lane of so many lines needs below a system, in the engraver's units (90 to each)."""
    return 4 + round((LANE_TOP + max(lines, 1) * LANE_STEP) / 90)


def lane_step(lines: int) -> float:
    """The distance of the lane's lines: closer where there are more than room was kept for."""
    return LANE_STEP * min(1.0, LANE_ROOM / max(lines, 1))


def make_overlay(places: PagePlaces, analysis: Analysis, index: ScoreIndex, lines: tuple[LaneLine, ...]) -> Overlay:
    """The overlay of a page."""
    overlay = Overlay()
    for mark in index.marks.values():
        overlay.rules.extend(_rules(mark, places, index))
    overlay.signs.extend(_signs(places, index))
    for passage in analysis.passages:
        _add_passage(overlay, passage, places, index)
    for number in range(len(places.systems)):
        overlay.rows.extend(_lane(number, places, analysis, index, lines))
    return overlay


def _rules(mark: MarkingRead, places: PagePlaces, index: ScoreIndex) -> Iterator[Rule]:
    runs = places.marking_runs(mark)
    if not runs:
        return
    state = index.state(mark)
    for run, start in runs:
        whole = Mark.PLAIN if state is Mark.WAVY else state
        left, right = run.edges[0], run.edges[-1]
        for unread in mark.reading.unread if state is Mark.WAVY else ():
            first = min(max(unread.span.start - start, 0), len(run.edges) - 1)
            last = min(max(unread.span.end - start, 0), len(run.edges) - 1)
            if last > first:
                yield Rule(mark.id, Mark.WAVY, run.edges[first], run.edges[last], run.baseline, run.box)
        yield Rule(mark.id, whole, left, right, run.baseline, run.box)


def _signs(places: PagePlaces, index: ScoreIndex) -> Iterator[Sign]:
    """Signs in the right margin, beside the staff they speak of, one below the other."""
    used: set[tuple[int, int]] = set()
    for bar, place in places.bars.items():
        system = places.systems[place.system]
        for number in index.findings_in_bar.get(bar, ()):
            finding = index.findings[number]
            row = min(index.row_of(finding), max(len(system.staves) - 1, 0))
            top = system.staves[row][0] if system.staves else system.top
            slot = round(top / 420)
            while (place.system, slot) in used:
                slot += 1
            used.add((place.system, slot))
            yield Sign(number, finding.level.value, system.right + 330, slot * 420 + 260)


def _row_of(passage: Passage, index: ScoreIndex) -> int:
    """The staff, from the top from 0, that a passage's hand plays."""
    for row, (part, staff) in enumerate(index.rows):
        described = index.score.parts[part]
        if not described.organ:
            continue
        if passage.staff is not None:
            if staff == passage.staff:
                return row
        elif described.hands[staff - 1 : staff] == (passage.hand,):
            return row
    return 0


def _add_passage(overlay: Overlay, passage: Passage, places: PagePlaces, index: ScoreIndex) -> None:
    proposals = sorted(passage.proposals, key=lambda p: -p.score)
    doubtful = sorted(p.onset for p in proposals)
    end = passage.end_onset
    fade: Ticks | None = None
    if end is None:
        end = doubtful[-1] if doubtful else index.score.end
        fade = doubtful[0] if doubtful else passage.start_onset
    starts = [p.onset for p in passage.start_proposals] if not passage.marked_start else []
    begin, sure = min([passage.start_onset, *starts]), max(starts, default=passage.start_onset)
    row = _row_of(passage, index)
    for number, system in enumerate(places.systems):
        span = span_on(number, begin, end, places, index)
        if span is None or row >= len(system.staves):
            continue
        top, bottom = system.staves[row]
        faded = None
        if fade is not None:
            stretch = span_on(number, fade, end, places, index)
            faded = stretch[0] if stretch else (None if end > fade else span[0])
        rising = span_on(number, begin, sure, places, index) if sure > begin else None
        rect = QRectF(span[0], top - BEYOND, span[1] - span[0], bottom - top + 2 * BEYOND)
        overlay.bands.append(Band(rect, faded, rising[1] if rising is not None else None))
    if passage.end_onset is None:
        _add_flags(overlay, passage, row, places, index, is_start=False)
    if not passage.marked_start:
        _add_flags(overlay, passage, row, places, index, is_start=True)


def _add_flags(
    overlay: Overlay, passage: Passage, row: int, places: PagePlaces, index: ScoreIndex, *, is_start: bool
) -> None:
    """The likeliest places; none where the user said that this one is clear."""
    finding = _finding_of(passage, index, _START if is_start else _END)
    if finding is None:
        return
    proposals = passage.start_proposals if is_start else passage.proposals
    best_first = sorted(range(len(proposals)), key=lambda n: -proposals[n].score)
    for number, which in enumerate(best_first[:3], start=1):
        proposal = proposals[which]
        # an end is the first moment no longer in the solo; at a barline that is the next bar's first beat
        bar = index.score.bar_at(proposal.onset)
        x = places.x_of(bar.index, proposal.onset)
        place = places.bars.get(bar.index)
        if x is not None and place is not None and row < len(place.staves):
            y = place.staves[row][0] - BEYOND
            why = shown(proposal.why)
            overlay.flags.append(Flag(number, x, y, proposal.onset, why, finding, which, is_start))


_END, _START = "solo-without-end", "solo-start-doubtful"


def _finding_of(passage: Passage, index: ScoreIndex, rule: str) -> int | None:
    """The number of the finding that speaks of a passage's doubtful end or beginning."""
    for number, finding in enumerate(index.findings):
        if finding.rule != rule or finding.marking != passage.marking or finding.staff != passage.staff:
            continue
        if finding.at is not None and finding.at.onset == passage.start.onset:
            return number
    return None


def finding_spots(places: PagePlaces, index: ScoreIndex, finding: Finding) -> list[QRectF]:
    """The stretch that a finding speaks of, on its staff, on each system of a page."""
    if finding.at is None:
        return []
    start = int(finding.at.onset * index.score.ticks)
    end = start + 1
    if finding.until is not None:
        end = max(end, int(finding.until.onset * index.score.ticks))
    row = index.row_of(finding)
    spots = []
    for number, system in enumerate(places.systems):
        span = span_on(number, start, end, places, index)
        if span is not None and row < len(system.staves):
            top, bottom = system.staves[row]
            width = max(span[1] - span[0], 420.0)
            spots.append(QRectF(span[0] - 60, top - 260, width, bottom - top + 520))
    return spots


def span_on(number: int, start: Ticks, end: Ticks, places: PagePlaces, index: ScoreIndex) -> tuple[float, float] | None:
    """Left and right edge of a stretch of time on a system, or None where it is elsewhere."""
    bars = [index.score.bars[b] for b in places.systems[number].bars if b < len(index.score.bars)]
    if not bars or end <= start:
        return None
    first, last = bars[0], bars[-1]
    if start >= last.onset + last.length or end <= first.onset:
        return None
    left = places.bars[first.index].left
    right = places.bars[last.index].right
    if start > first.onset:
        x = places.x_of(index.score.bar_at(start).index, start)
        left = left if x is None else x - 60
    if end < last.onset + last.length:
        x = places.x_of(index.score.bar_at(end).index, end)
        right = right if x is None else x - 60
    return (left, right) if right > left else None


def _lane(
    number: int, places: PagePlaces, analysis: Analysis, index: ScoreIndex, lines: tuple[LaneLine, ...]
) -> Iterator[LaneRow]:
    system = places.systems[number]
    ink_bottom = max([system.bottom, *(bottom for _, bottom in system.staves)])
    for row, line in enumerate(lines):
        y = ink_bottom + LANE_TOP + (row + 0.6) * lane_step(len(lines))
        held = tuple(_held(line, places, system.bars))
        yield LaneRow(
            line.name,
            number,
            y,
            system.left,
            held,
            tuple(_lane_texts(line, places, system.bars, y, system.right)),
            tuple(_lane_bands(line, number, places, analysis, index)),
        )


def _held(line: LaneLine, places: PagePlaces, bars: tuple[int, ...]) -> Iterator[tuple[float, float]]:
    start: float | None = None
    end = 0.0
    for bar in bars:
        place = places.bars[bar]
        if bar in line.bars:
            start = place.left if start is None else start
            end = place.right
        elif start is not None:
            yield start, end
            start = None
    if start is not None:
        yield start, end


def _lane_texts(
    line: LaneLine, places: PagePlaces, bars: tuple[int, ...], y: float, right: float
) -> Iterator[LaneText]:
    inside = set(bars)
    here = [change for change in line.changes if change.bar in inside]
    xs = [places.x_of(change.bar, change.onset) or 0.0 for change in here]
    for position, change in enumerate(here):
        end = xs[position + 1] if position + 1 < len(xs) else right + 400
        room = max(end - xs[position] - 80, 0)
        yield LaneText(change.text, xs[position], y, room, change.onset, change.nth, change.pencil)


def _lane_bands(
    line: LaneLine, number: int, places: PagePlaces, analysis: Analysis, index: ScoreIndex
) -> Iterator[tuple[float, float]]:
    for passage in analysis.passages:
        if passage.division == line.division:
            ends = [p.onset for p in passage.proposals]
            end = passage.end_onset if passage.end_onset is not None else max(ends, default=index.score.end)
            span = span_on(number, passage.start_onset, end, places, index)
            if span is not None:
                yield span
