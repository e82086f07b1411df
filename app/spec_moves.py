"""Where a line of the booklet page may be moved to: a place between two lines as a change of the specification."""

from __future__ import annotations

from collections.abc import Sequence

from app.organ_rows import OrganRow, RowKind
from core.organ.changes import MoveDivision, MoveStop, SpecChange
from core.organ.model import Organ


def is_movable(row: OrganRow) -> bool:
    """Whether a line can be dragged: stops and divisions can."""
    return row.kind is RowKind.STOP or (row.kind is RowKind.HEADING and bool(row.division))


def drop_change(rows: Sequence[OrganRow], moving: OrganRow, before: int) -> SpecChange | None:
    """What it means to drop a line before another one; None where nothing would change.

    Args:
        rows: the page's lines.
        moving: the line that is dragged.
        before: index of the line above which it is dropped; the number of lines: at the end.
    """
    if moving.kind is RowKind.STOP:
        return _drop_stop(rows, moving, before)
    return _drop_division(rows, moving, before)


def drop_line(rows: Sequence[OrganRow], moving: OrganRow, before: int) -> int:
    """Above which line it would really stand: a division only between divisions, a stop only among stops."""
    first = next((n for n, row in enumerate(rows) if _is_division(row)), 0)
    last = next((n for n, row in enumerate(rows) if row.kind is RowKind.ADD and not row.division), len(rows))
    if moving.kind is RowKind.STOP:
        at = min(max(before, first + 1), last)
        while at > first + 1 and rows[at - 1].kind in (RowKind.ADD, RowKind.TREMULANT):
            at -= 1
        return at
    ends = [n for n, row in enumerate(rows) if _is_division(row)] + [last]
    return min(ends, key=lambda n: abs(n - before))


def _is_division(row: OrganRow) -> bool:
    return row.kind is RowKind.HEADING and bool(row.division)


def _drop_stop(rows: Sequence[OrganRow], moving: OrganRow, before: int) -> SpecChange | None:
    above = rows[drop_line(rows, moving, before) - 1]
    after = above.key if above.kind is RowKind.STOP else None
    if after == moving.key:
        return None
    ids = [row.key for row in rows if row.kind is RowKind.STOP and row.division == above.division]
    if moving.key in ids and ids.index(moving.key) == (ids.index(after) + 1 if after else 0):
        return None
    return MoveStop(stop=moving.key, division=above.division, after=after)


def _drop_division(rows: Sequence[OrganRow], moving: OrganRow, before: int) -> SpecChange | None:
    at = drop_line(rows, moving, before)
    earlier = [row.division for row in rows[:at] if _is_division(row)]
    after = earlier[-1] if earlier else None
    ids = [row.division for row in rows if _is_division(row)]
    if after == moving.division or ids.index(moving.division) == (ids.index(after) + 1 if after else 0):
        return None
    return MoveDivision(division=moving.division, after=after)


def step_change(organ: Organ, row: OrganRow, step: int) -> SpecChange | None:
    """What it means to move a line one place up (-1) or down (1); a stop goes on into the next division."""
    divisions = [division.id for division in organ.divisions]
    if not is_movable(row) or row.division not in divisions:
        return None
    at = divisions.index(row.division)
    if row.kind is RowKind.HEADING:
        if not 0 <= at + step < len(divisions):
            return None
        after = divisions[at + 1] if step > 0 else divisions[at - 2] if at > 1 else None
        return MoveDivision(division=row.division, after=after)
    stops = [stop.id for stop in organ.divisions[at].stops]
    index = stops.index(row.key)
    if 0 <= index + step < len(stops):
        after = stops[index + 1] if step > 0 else stops[index - 2] if index > 1 else None
        return MoveStop(stop=row.key, division=row.division, after=after)
    if not 0 <= at + step < len(divisions):
        return None
    other = organ.divisions[at + step]
    last = other.stops[-1].id if step < 0 and other.stops else None
    return MoveStop(stop=row.key, division=other.id, after=last)
