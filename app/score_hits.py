"""What lies under a point of a page: a finding's sign, a marking, a flag, words of the lane, a beat."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF

from app.overlay import Flag, LaneText, Overlay
from app.page_places import PagePlaces
from core.score.model import MarkingId, Ticks


@dataclass(frozen=True, slots=True)
class Hit:
    """One of these, in this order of precedence."""

    finding: int | None = None
    marking: MarkingId | None = None
    box: QRectF | None = None
    flag: Flag | None = None
    lane: LaneText | None = None
    beat: tuple[int, Ticks] | None = None

    @property
    def is_beat(self) -> bool:
        """Whether nothing but a beat lies there."""
        return self.beat is not None

    @property
    def is_choosable(self) -> bool:
        """Whether a click on it chooses something other than a beat."""
        return self.finding is not None or self.marking is not None or self.flag is not None


def hit_test(point: QPointF, overlay: Overlay | None, places: PagePlaces | None) -> Hit:
    """What lies under a point (page units)."""
    if overlay is not None:
        for sign in overlay.signs:
            if abs(point.x() - sign.x) < 300 and abs(point.y() - sign.y) < 300:
                return Hit(finding=sign.finding)
        for rule in overlay.rules:
            if rule.box.adjusted(-60, -60, 60, 140).contains(point):
                return Hit(marking=rule.marking, box=rule.box)
        for flag in overlay.flags:
            across = point.x() - flag.x if flag.is_start else flag.x - point.x()
            if -60 < across < 420 and -480 < point.y() - flag.y < 60:
                return Hit(flag=flag)
        for row in overlay.rows:
            for text in row.texts:
                across = text.x - 40 <= point.x() <= text.x + max(text.room, 200)
                if across and -330 < point.y() - text.y < 90:
                    return Hit(lane=text)
    return Hit(beat=places.onset_at(point.x(), point.y()) if places is not None else None)
