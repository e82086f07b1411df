"""Stops written on the page itself: one after the other into a division, or one anew in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.organ_rows import STOPS, RowKind
from app.spec_line import StopLine
from app.spec_words import fault_words, setting_in
from core.errors import EditError, StopwrightError
from core.organ.changes import AddStop, ChangeStop, Entries, SpecChange
from core.organ.completing import Setting
from core.organ.model import Stop
from core.organ.offering import told_of
from core.organ.shorthand import ShortStop, read_short_stop, write_pitch_apart
from core.organ.specification_stops import settle_numeral
from core.organ.spelling import stop_label, write_key
from core.organ.writing_stops import short_form
from core.organ.yaml_fields import UnfitError
from core.texts import say

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk


class StopWriting(QObject):
    """The line that is written, and where it stands."""

    def __init__(self, desk: SpecDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.view = desk.view
        self.panel = desk.panel
        self.line = StopLine(self.panel.colours, self.view.viewport())
        self._at: tuple[str, str | None] = ("", None)  # division, and the stop that is renamed or comes before
        self._is_renaming = False
        self.line.wanted.connect(self._on_wanted)
        self.line.left.connect(self.leave)
        self.line.grown.connect(self.place)
        self.view.verticalScrollBar().valueChanged.connect(lambda _: self.place())

    def add(self, division: str, after: str | None = None) -> None:
        """Write new stops into a division, one after the other; after a stop, or last."""
        self._at, self._is_renaming = (division, after), False
        self._begin("", self.tr("Name and pitch: Oboe 8"))

    def rename(self, stop: str, division: str) -> None:
        """Write a stop's line anew."""
        organ = self.desk.organ
        if organ is not None:
            self._at, self._is_renaming = (division, stop), True
            self._begin(short_of(organ.stop(stop)), "")

    def _begin(self, text: str, hint: str) -> None:
        organ = self.desk.organ
        if organ is None:
            return
        self.view.scrollTo(self.panel.index_of(*self._row()))
        self.line.begin(text, setting_in(organ, self._at[0]), self._fault, hint)
        self.place()

    def _row(self) -> tuple[RowKind, str, str]:
        division, stop = self._at
        if self._is_renaming or stop is not None:
            return RowKind.STOP, stop or "", division
        return RowKind.ADD, STOPS, division

    def _change(self, text: str) -> SpecChange | None:
        """What a text would change; None: nothing. Raises EditError where it is no stop."""
        division, stop = self._at
        organ = self.desk.organ
        if not self._is_renaming or organ is None or stop is None:
            return AddStop(division=division, stop=text, after=stop)
        entries = entries_of(text, organ.stop(stop), setting_in(organ, division))
        return ChangeStop(stop=stop, entries=entries) if entries else None

    def _fault(self, text: str) -> str:
        try:
            change = self._change(text)
        except StopwrightError as error:
            return fault_words(error)
        return self.desk.fault(change) if change is not None else ""

    def _on_wanted(self, text: str) -> None:
        change, organ = self._change(text), self.desk.organ
        division, stop = self._at
        if change is None or organ is None:
            self.leave()
            return
        said = say("add {stop} to the {name}", stop=text, name=organ.division(division).name)
        if self._is_renaming and stop is not None:
            said = say("change {stop} to {text}", stop=stop_label(organ.stop(stop)), text=text)
        fault = self.desk.perform(said, change)
        if fault:
            self.line.say(fault, wrong=True)
        elif self._is_renaming:
            self.leave()
            self.panel.choose_row(RowKind.STOP, self.desk.ids.get(stop or "") or stop or "")
        else:
            self._go_on(text, division, stop)

    def _go_on(self, text: str, division: str, after: str | None) -> None:
        """The stop is added: the line waits for the next one."""
        organ = self.desk.organ
        if organ is None:
            return
        stops = [stop.id for stop in organ.division(division).stops]
        at = stops.index(after) + 1 if after in stops else len(stops) - 1
        self.panel.choose_row(RowKind.STOP, stops[at])
        if after is not None:
            self._at = (division, stops[at])
        self._begin("", self.tr("The next one, or Escape"))
        self.line.say(self.tr("Added: {0}").format(text))

    def leave(self) -> None:
        """Nothing more is written."""
        if self.line.isVisible():
            self.view.setFocus()  # before it hides, or the focus would go on to another place
        self.line.hide()

    def check(self) -> None:
        """Another document: where its place is gone, nothing more is written."""
        if self.line.isVisible() and (self.desk.organ is None or not self.panel.index_of(*self._row()).isValid()):
            self.leave()

    def place(self) -> None:
        """Put the line where the stop stands, or is to stand."""
        if not self.line.isVisibleTo(self.view.viewport()):
            return
        index = self.panel.index_of(*self._row())
        if not index.isValid():
            return
        rect, room = self.view.visualRect(index), self.view.viewport().rect()
        top = rect.top() - 4 if self._is_renaming else rect.bottom() + 1
        if self._row()[0] is RowKind.ADD:
            top = rect.top()
        self.line.room = room.height()
        self.line.setFixedWidth(room.width() - 6)
        self.line.adjustSize()
        high = min(self.line.sizeHint().height(), room.height())
        self.line.setFixedHeight(high)
        self.line.move(3, max(0, min(top, room.height() - high)))


def short_of(stop: Stop) -> str:
    """A stop's line as it is written."""
    first, last = stop.compass
    return short_form(
        ShortStop(
            name=stop.name,
            pitch=stop.pitch,
            ranks=stop.ranks,
            first=first,
            last=last,
            half=stop.half,
            enclosed=stop.enclosed,
        )
    )


def entries_of(text: str, stop: Stop, setting: Setting) -> Entries:
    """What a new text of a stop's line changes in its entries.

    Raises:
        EditError: it is no stop.
    """
    try:
        short = settle_numeral(read_short_stop(text), setting, has_composition=bool(stop.composition))
    except UnfitError as unfit:
        raise EditError(unfit.problem, remedy=unfit.remedy) from None
    told = told_of(text, setting)
    pitch = short.pitch
    if pitch is None and told is not None and told[1].list_pitch is not None:
        pitch = told[1].list_pitch
    wanted: dict[str, tuple[object, object, str | None]] = {
        "name": (stop.name, short.name, short.name),
        "pitch": (stop.pitch, pitch, write_pitch_apart(pitch)),
        "ranks": (stop.ranks, short.ranks, str(short.ranks) if short.ranks else None),
        "half": (stop.half, short.half, short.half.value if short.half else None),
        "from": (stop.compass[0], short.first, write_key(short.first) if short.first is not None else None),
        "to": (stop.compass[1], short.last, write_key(short.last) if short.last is not None else None),
        "enclosed": (stop.enclosed, short.enclosed, _yes_no(short.enclosed)),
    }
    return tuple((key, entry) for key, (old, new, entry) in wanted.items() if old != new)


def _yes_no(flag: bool | None) -> str | None:
    return None if flag is None else "yes" if flag else "no"
