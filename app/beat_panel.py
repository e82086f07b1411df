"""At this beat: who plays where on what, since when, what comes next, and the compass in use."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.lane import short_name
from app.lettering import text_font
from app.links import link_label
from app.palette import Colours
from app.score_index import ScoreIndex
from app.sentences import HANDS, hand_sentence, next_sentence, since
from app.session import Session
from app.translation import told, tr
from core.organ.model import Organ
from core.organ.spelling import write_key
from core.resolve.model import Registration

_LOW, _HIGH = 24, 108
_BLACK = frozenset({1, 3, 6, 8, 10})


@dataclass(frozen=True, slots=True)
class Reach:
    """A hand's written range in the bar and how far the pipes carry it."""

    name: str
    written: tuple[int, int]
    sounding: tuple[int, int]


def reaches(organ: Organ | None, registration: Registration | None, index: ScoreIndex, bar: int) -> list[Reach]:
    """The written and the sounding range of each hand in a bar."""
    found = []
    for hand in ("right", "left", "feet"):
        keys = index.keys_in_bar.get((bar, hand))
        if not keys:
            continue
        low, high = min(keys), max(keys)
        shifts = _shifts(organ, registration, hand) or [0.0]
        sounding = (round(low + min(shifts)), round(high + max(shifts)))
        name = tr(HANDS[hand])
        division = registration.hand(hand) if registration is not None else None
        if organ is not None and division is not None:
            name = f"{name} {short_name(organ.division(division))}"
        found.append(Reach(name, (low, high), sounding))
    return found


def _shifts(organ: Organ | None, registration: Registration | None, hand: str) -> list[float]:
    """How many semitones above the key the drawn stops of a hand's division sound."""
    from math import log2

    if organ is None or registration is None or (division := registration.hand(hand)) is None:
        return []
    stops = [organ.stop(s) for s in registration.drawn if organ.division_of(s).id == division]
    return [12 * log2(8 / float(stop.pitch)) for stop in stops if stop.pitch]


class CompassPicture(QWidget):
    """A bar for each keyboard: the written range solid, the sounding one open."""

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours
        self.reaches: list[Reach] = []
        self.setMinimumWidth(300)

    def sizeHint(self) -> QSize:
        """Three lines of text high."""
        return QSize(320, 96)

    def set_reaches(self, found: list[Reach]) -> None:
        """Show other ranges."""
        self.reaches = found
        words = [
            told(
                "{name}: {low} to {high} written, {lowest} to {highest} sounding",
                name=r.name,
                low=write_key(r.written[0]),
                high=write_key(r.written[1]),
                lowest=write_key(r.sounding[0]),
                highest=write_key(r.sounding[1]),
            )
            for r in found
        ]
        self.setAccessibleName("; ".join(words))
        self.setToolTip("\n".join(words))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the bars over a row of C's."""
        painter = QPainter(self)
        painter.setFont(text_font(0.9))
        label = 78
        width = self.width() - label - 12
        line = max(16, (self.height() - 18) // 3)
        painter.setPen(self.colours.colour("faint"))
        base = self.height() - 16
        for octave in range(1, 8):
            x = label + width * (12 * (octave + 1) - _LOW) / (_HIGH - _LOW)
            painter.drawLine(round(x), 2, round(x), base)
            painter.drawText(round(x) + 2, self.height() - 3, f"C{octave}")
        for number, reach in enumerate(self.reaches):
            y = 4 + number * line
            painter.setPen(self.colours.colour("ink"))
            where = QRectF(0, y - 2, label - 8, line)
            painter.drawText(where, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, reach.name)
            self._bar(painter, reach.sounding, label, width, y + 1, 9, filled=False)
            self._bar(painter, reach.written, label, width, y + 3, 5, filled=True)
        painter.end()

    def _bar(
        self,
        painter: QPainter,
        keys: tuple[int, int],
        left: int,
        width: int,
        y: int,
        high: int,
        *,
        filled: bool,
    ) -> None:
        unit = width / (_HIGH - _LOW)
        x = left + (max(keys[0], _LOW) - _LOW) * unit
        end = left + (min(keys[1], _HIGH) + 1 - _LOW) * unit
        rect = QRectF(x, y, max(3, end - x), high)
        if filled:
            painter.fillRect(rect, self.colours.colour("ink"))
        else:
            painter.setPen(self.colours.colour("accent"))
            painter.fillRect(rect, self.colours.colour("page"))
            painter.drawRect(rect)


class BeatPanel(QWidget):
    """The bottom place.

    Signals:
        wants_marking: a marking is to be written at the cursor.
    """

    wants_marking = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("At this beat"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(16, 8, 16, 8)
        layout.setSpacing(20)
        words = QVBoxLayout()
        words.setSpacing(2)
        self.now = self._label(1.05)
        self.since = self._label(0.98, italic=True)
        self.next = self._label(0.98)
        for label in (self.now, self.since, self.next):
            words.addWidget(label)
        self.write_link = link_label(self.tr("Write a marking here (or type it in the score)"), self._write, self)
        words.addWidget(self.write_link)
        words.addStretch(1)
        layout.addLayout(words, 1)
        self.compass = CompassPicture(colours, self)
        layout.addWidget(self.compass)
        session.changed.connect(lambda _: self.refresh())
        session.derived_ready.connect(self.refresh)
        session.cursor_moved.connect(self.refresh)
        self.refresh()

    def _label(self, scale: float, *, italic: bool = False) -> QLabel:
        label = QLabel(self)
        label.setFont(text_font(scale, italic=italic))
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        label.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        return label

    def _write(self) -> None:
        self.wants_marking.emit()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.compass.colours = colours
        self.compass.update()

    def refresh(self) -> None:
        """Say what holds at the cursor."""
        derived, score = self.session.derived, self.session.score
        self.compass.setVisible(score is not None)
        self.write_link.setVisible(score is not None and bool(score.organ_parts))
        if derived is None or score is None:
            self._say(self.tr("What is drawn, who plays where and what comes next would stand here."), "", "")
            return
        cursor = self.session.cursor
        place = score.position(cursor.onset, nth=cursor.nth)
        where = told("Bar {bar}, beat {beat}", bar=place.measure, beat=place.beat)
        if cursor.nth > 1:
            where += ", " + told("time {number}", number=cursor.nth)
        organ, step = derived.analysis.organ, self.session.step
        registration = step.registration if step is not None else None
        self.compass.set_reaches(reaches(organ, registration, derived.index, score.bar_at(cursor.onset).index))
        if organ is None or step is None:
            what = self.tr("choose an organ to see what is drawn") if organ is None else self.tr("nothing drawn")
            self._say(f"{where}: {what}.", "", "")
            return
        self._say(
            self._hands(organ, step.registration),
            f"{where} · {since(step)}",
            next_sentence(derived.analysis, step),
        )

    def _hands(self, organ: Organ, registration: Registration) -> str:
        sentences = {hand: hand_sentence(organ, registration, hand) for hand in ("right", "left", "feet")}
        if sentences["right"] == sentences["left"]:
            parts = [f"{self.tr('Both hands')} {sentences['right']}"]
        else:
            parts = [f"{tr(HANDS[hand])} {sentences[hand]}" for hand in ("right", "left")]
        return "  ·  ".join([*parts, f"{tr(HANDS['feet'])}: {sentences['feet']}"])

    def _say(self, now: str, when: str, following: str) -> None:
        self.now.setText(now)
        self.since.setText(when)
        self.next.setText(following)
