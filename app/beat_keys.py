"""The keyboards at a beat: which keys are down, what a bar asks of them, which pipes sound and how far they reach."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from math import log2

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.lane import short_name
from app.lettering import text_font
from app.palette import Colours
from app.score_index import ScoreIndex
from app.sentences import HANDS
from app.translation import told, tr
from core.organ.model import Key, Organ
from core.organ.spelling import write_key
from core.resolve.model import Registration
from core.score.model import Score, Ticks
from core.sounding.pipes import DEFAULT_COMPASS, DEFAULT_PEDAL, compass_of, pipes_of

_LOW, _HIGH = 12, 120
_BLACK = frozenset({1, 3, 6, 8, 10})
_LABEL, _EDGE, _FOOT = 82, 8, 15
_HANDS = ("right", "left", "feet")


@dataclass(frozen=True, slots=True)
class Keyboard:
    """A hand's (or the feet's) keyboard at a beat.

    Attributes:
        name: who plays on what.
        compass: its first and last key.
        down: the keys that are down at the beat.
        written: the lowest and highest key of the bar.
        sounding: the lowest and highest pitch (as a key at 8 ft) of the bar's pipes; None where all is silent.
        pipes: how many pipes sound at the beat.
    """

    name: str
    compass: tuple[Key, Key]
    down: tuple[Key, ...]
    written: tuple[Key, Key]
    sounding: tuple[int, int] | None
    pipes: int = 0
    silent: tuple[Key, ...] = field(default=())

    def in_words(self) -> str:
        """All of it in a sentence."""
        low, high = map(write_key, self.written)
        if self.sounding is None:
            return told("{name}: {low} to {high} written, silent", name=self.name, low=low, high=high)
        lowest, highest = map(write_key, self.sounding)
        return told(
            "{name}: {low} to {high} written, {lowest} to {highest} sounding",
            name=self.name,
            low=low,
            high=high,
            lowest=lowest,
            highest=highest,
        )


def keyboards_at(
    organ: Organ | None, registration: Registration | None, index: ScoreIndex, onset: Ticks
) -> list[Keyboard]:
    """The keyboard of each hand that plays in the bar of an onset."""
    bar = index.score.bar_at(onset)
    down = keys_down(index.score, onset)
    found = []
    for hand in _HANDS:
        keys = index.keys_in_bar.get((bar.index, hand))
        if keys:
            found.append(_keyboard(organ, registration, hand, sorted(set(keys)), down.get(hand, ())))
    return found


def keys_down(score: Score, onset: Ticks) -> dict[str, tuple[Key, ...]]:
    """Which keys each hand and the feet hold at a written onset."""
    bar = score.bar_at(onset)
    first = bisect_left(score.notes, bar.onset, key=lambda note: note.onset)
    found: dict[str, set[Key]] = {}
    for note in score.notes[first:]:
        if note.onset > onset:
            break
        if note.hand is not None and note.key >= 0 and (note.onset == onset or onset < note.onset + note.duration):
            found.setdefault(note.hand, set()).add(note.key)
    return {hand: tuple(sorted(keys)) for hand, keys in found.items()}


def _keyboard(
    organ: Organ | None, registration: Registration | None, hand: str, keys: list[Key], down: tuple[Key, ...]
) -> Keyboard:
    name, compass = tr(HANDS[hand]), DEFAULT_PEDAL if hand == "feet" else DEFAULT_COMPASS
    written = (keys[0], keys[-1])
    division = registration.hand(hand) if registration is not None else None
    if organ is None or registration is None or division is None:
        return Keyboard(name, compass, down, written, None)
    played = organ.division(division)
    pitches = [key + 12 * log2(ratio) for key in keys for ratio in _ratios(organ, registration, division, key)]
    sounding = (round(min(pitches)), round(max(pitches))) if pitches else None
    pipes = {(pipe.rank, pipe.number) for key in down for pipe in pipes_of(organ, registration, division, key)}
    silent = tuple(key for key in down if not pipes_of(organ, registration, division, key))
    return Keyboard(f"{name} {short_name(played)}", compass_of(played), down, written, sounding, len(pipes), silent)


def _ratios(organ: Organ, registration: Registration, division: str, key: Key) -> list[float]:
    return [float(ratio) for pipe in pipes_of(organ, registration, division, key) for ratio in pipe.ratios]


def pipes_in_words(keyboards: list[Keyboard]) -> str:
    """``14 pipes sound: R.H. Swell 4, L.H. Great 8, Feet 2``; empty where no key is down."""
    played = [keyboard for keyboard in keyboards if keyboard.down]
    if not played:
        return ""
    each = ", ".join(f"{keyboard.name} {keyboard.pipes}" for keyboard in played)
    total = sum(keyboard.pipes for keyboard in played)
    words = told("{count} {count:pipe sounds|pipes sound} at this beat: {each}", count=total, each=each)
    silent = [write_key(key) for keyboard in played for key in keyboard.silent]
    return words + ("; " + told("silent: {keys}", keys=", ".join(silent)) if silent else "")


class KeyboardPicture(QWidget):
    """A keyboard for each hand: keys that are down filled, below it the bar's written range, open the sounding one."""

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours
        self.keyboards: list[Keyboard] = []
        self.setMinimumWidth(330)

    def sizeHint(self) -> QSize:
        """Three keyboards high."""
        return QSize(360, 98)

    def set_keyboards(self, keyboards: list[Keyboard]) -> None:
        """Show other keyboards."""
        self.keyboards = keyboards
        words = [keyboard.in_words() for keyboard in keyboards]
        self.setAccessibleName("; ".join(words))
        self.setToolTip("\n".join(words))
        self.update()

    def _x(self, key: float) -> float:
        return _LABEL + (self.width() - _LABEL - _EDGE) * (key - _LOW) / (_HIGH - _LOW)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the keyboards over a row of C's."""
        painter = QPainter(self)
        painter.setFont(text_font(0.9))
        line = max(20, (self.height() - _FOOT) // 3)
        painter.setPen(self.colours.colour("faint"))
        for octave in range(1, 9):
            x = round(self._x(12 * (octave + 1)))
            painter.drawLine(x, self.height() - _FOOT, x, self.height() - _FOOT + 3)
            painter.drawText(x + 2, self.height() - 2, f"C{octave}")
        for number, keyboard in enumerate(self.keyboards):
            self._paint(painter, keyboard, 2 + number * line)
        painter.end()

    def _paint(self, painter: QPainter, keyboard: Keyboard, y: int) -> None:
        ink, accent = self.colours.colour("ink"), self.colours.colour("accent")
        painter.setPen(ink)
        where = QRectF(0, y - 3, _LABEL - 8, 20)
        painter.drawText(where, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop, keyboard.name)
        low, high = keyboard.compass
        frame = QRectF(self._x(low), y, self._x(high + 1) - self._x(low), 12)
        painter.setPen(self.colours.colour("faint"))
        painter.setBrush(self.colours.colour("page"))
        painter.drawRect(frame)
        for key in range(low, high + 1):
            if key % 12 in _BLACK:
                painter.fillRect(QRectF(self._x(key), y, self._x(1) - self._x(0), 7), self.colours.colour("faint"))
            elif key % 12 == 0 and key > low:
                painter.drawLine(round(self._x(key)), y, round(self._x(key)), y + 12)
        for key in keyboard.down:
            width = max(3.0, self._x(1) - self._x(0))
            outside = not low <= key <= high
            painter.fillRect(
                QRectF(self._x(key), y - 2, width, 16), self.colours.colour("error") if outside else accent
            )
        painter.fillRect(self._range(keyboard.written, y + 16, 3), ink)
        if keyboard.sounding is not None:
            painter.setPen(accent)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self._range(keyboard.sounding, y + 14, 6))

    def _range(self, keys: tuple[int, int], y: float, high: float) -> QRectF:
        left, right = self._x(max(keys[0], _LOW)), self._x(min(keys[1], _HIGH) + 1)
        return QRectF(left, y, max(3.0, right - left), high)
