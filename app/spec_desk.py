"""The booklet page's pen: what is done with a line of it becomes a change of the specification."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint, QTimer

from app.card import CARD_WIDTH
from app.organ_rows import AIDS, COUPLERS, DIVISIONS, STOPS, OrganRow, RowKind
from app.spec_card import SpecCard
from app.spec_division_card import DivisionCard, OrganCard
from app.spec_line import StopLine
from app.spec_menu import LineMenu
from app.spec_moves import drop_change, step_change
from app.spec_new import NewDivisionCard, NewOrganCard
from app.spec_part_card import AidCard, CouplerCard
from app.spec_stop_card import StopCard
from app.spec_summary import SummaryCard
from app.spec_words import fault_words
from app.spec_writing import StopWriting
from core.edits import ChangeSpecification, Edit, Together, apply
from core.errors import StopwrightError
from core.organ.changes import (
    MoveDivision,
    MoveStop,
    RemoveDivision,
    RemovePart,
    RemoveStop,
    SpecChange,
)
from core.organ.following import followed
from core.organ.model import Organ
from core.organ.spelling import stop_label
from core.texts import Said, say

if TYPE_CHECKING:
    from app.organ_panel import OrganPanel

_GAP = 8


class SpecDesk(QObject):
    """Changes the chosen organ from the panel's page."""

    def __init__(self, panel: OrganPanel) -> None:
        super().__init__(panel)
        self.panel = panel
        self.session = panel.session
        self.view = panel.view
        self.ids: dict[str, str | None] = {}  # what was renamed by the last change
        self.writing = StopWriting(self)
        self._is_performing = False
        self.card: SpecCard | None = None
        self._card_row: OrganRow | None = None
        self.menu = LineMenu(self)
        self.view.asked.connect(self.on_asked)
        self.view.dropped.connect(self._on_dropped)

    @property
    def line(self) -> StopLine:
        """The line on which stops are written."""
        return self.writing.line

    @property
    def organ(self) -> Organ | None:
        """The chosen organ."""
        return self.session.organ

    # changing

    def _edit(self, said: Said, changes: tuple[SpecChange, ...]) -> Edit | None:
        number = self.session.document.chosen
        if number is None or not changes:
            return None
        edits = tuple(ChangeSpecification(organ=number, change=change, what=said) for change in changes)
        return edits[0] if len(edits) == 1 else Together(edits=edits, what=said)

    def perform(self, said: Said, *changes: SpecChange, group: int = -1) -> str:
        """Make changes as one step of undo; what is wrong with them in a sentence, empty where nothing is.

        Changes of one `group`, one right after the other, are one step.
        """
        edit, before = self._edit(said, changes), self.organ
        if edit is None or before is None:
            return ""
        self._is_performing = True  # what is open follows when it is known what was renamed
        try:
            self.session.perform_now(edit, group)
        except StopwrightError as error:
            return fault_words(error)
        finally:
            self._is_performing = False
        if len(changes) == 1 and self.organ is not None:
            self.ids = followed(before, self.organ, changes[0])
        self.follow()
        return ""

    def now(self, key: str) -> str:
        """The id by which a division or stop goes now, after the last change or its undoing; empty where it is gone."""
        organ = self.organ
        if organ is None:
            return ""
        there = {division.id for division in organ.divisions}
        there |= {stop.id for division in organ.divisions for stop in division.stops}
        back = {new: old for old, new in self.ids.items() if new is not None}
        return next((name for name in (self.ids.get(key), key, back.get(key)) if name in there and name), "")

    def fault(self, *changes: SpecChange) -> str:
        """What would be wrong with changes, in a sentence; empty where nothing is."""
        edit = self._edit(say("try"), changes)
        if edit is None:
            return ""
        try:
            apply(self.session.document, edit)
        except StopwrightError as error:
            return fault_words(error)
        return ""

    def tell(self, fault: str) -> None:
        """A fault that belongs to no field."""
        if fault:
            self.session.failed.emit(fault)

    # what the page asks for

    def on_asked(self, what: str) -> None:
        """A key or the mouse asks for something about the chosen line."""
        row = self.panel.chosen_row()
        if row is None or self.organ is None:
            return
        if what == "menu":
            self.menu.show(row)
        elif what == "rename":
            self.rename(row)
        elif what == "remove":
            self.remove(row)
        elif what == "add":
            self.add(row)
        elif what in ("up", "down"):
            self.step(row, -1 if what == "up" else 1)

    def _on_dropped(self, number: int, before: int) -> None:
        rows = self.view.lines
        change = drop_change(rows, rows[number], before)
        if change is not None:
            self.move(rows[number], change)

    def step(self, row: OrganRow, step: int) -> None:
        """Move a line up or down."""
        change = step_change(self.organ, row, step) if self.organ is not None else None
        if change is not None:
            self.move(row, change)

    def move(self, row: OrganRow, change: SpecChange) -> None:
        """Move a stop or a division; it stays chosen."""
        organ = self.organ
        if organ is None:
            return
        said = say("move the division {name}", name=row.left)
        if isinstance(change, MoveStop):
            label, home = stop_label(organ.stop(change.stop)), organ.division(change.division).name
            is_within = organ.division_of(change.stop).id == change.division
            said = (
                say("move {stop}", stop=label) if is_within else say("move {stop} to the {name}", stop=label, name=home)
            )
        fault = self.perform(said, change)
        self.tell(fault)
        moved = (
            change.stop if isinstance(change, MoveStop) else change.division if isinstance(change, MoveDivision) else ""
        )
        if not fault and moved:
            self.panel.choose_row(row.kind, self.ids.get(moved) or moved)

    def move_to(self, stop: str, division: str) -> None:
        """Put a stop last in another division."""
        organ = self.organ
        if organ is None:
            return
        stops = organ.division(division).stops
        after = stops[-1].id if stops else None
        row = OrganRow(RowKind.STOP, "", key=stop)
        self.move(row, MoveStop(stop=stop, division=division, after=after))

    def move_menu(self, card: StopCard) -> None:
        """Ask into which division a stop goes."""
        at = card.mapToGlobal(QPoint(20, card.height() - 20))
        self.menu.divisions(card.key).popup(at)

    # taking out

    def remove(self, row: OrganRow) -> None:
        """Take out what a line is about."""
        if row.kind is RowKind.STOP:
            self.remove_stop(row.key)
        elif row.kind is RowKind.HEADING and row.division:
            self.remove_division(row.division)
        elif row.kind is RowKind.COUPLER:
            self.remove_part(COUPLERS, row.number)
        elif row.kind is RowKind.AID:
            self.remove_part(AIDS, row.number)
        elif row.kind is RowKind.TREMULANT:
            self.remove_part("tremulants", row.number)

    def remove_stop(self, stop: str) -> None:
        """Take a stop out; undo brings it back."""
        if self.organ is None:
            return
        label = stop_label(self.organ.stop(stop))
        number = self.view.currentIndex().row()
        self.tell(self.perform(say("take out {stop}", stop=label), RemoveStop(stop=stop)))
        self.panel.choose_number(number)

    def remove_division(self, division: str) -> None:
        """Take a division out, and the couplers and aids that name it; undo brings all back."""
        if self.organ is None:
            return
        name = self.organ.division(division).name
        self.tell(self.perform(say("take out the division {name}", name=name), RemoveDivision(division=division)))

    def remove_part(self, section: str, number: int) -> None:
        """Take out a coupler, a tremulant or an aid."""
        what = {COUPLERS: say("take out a coupler"), AIDS: say("take out a playing aid")}
        said = what.get(section, say("take out a tremulant"))
        at = self.view.currentIndex().row()
        self.tell(self.perform(said, RemovePart(section=section, index=number)))
        self.panel.choose_number(at)

    # adding

    def add(self, row: OrganRow) -> None:
        """Add what belongs after a line: a stop in a division, else what its list holds."""
        if row.kind is RowKind.ADD and row.key != STOPS:
            self._add_part(row.key, row)
        elif row.kind in (RowKind.STOP, RowKind.HEADING, RowKind.ADD, RowKind.TREMULANT) and row.division:
            self.add_stop(row.division, row.key if row.kind is RowKind.STOP else None)
        elif row.kind is RowKind.COUPLER:
            self._add_part(COUPLERS, row)
        elif row.kind in (RowKind.AID, RowKind.TREMULANT):
            self._add_part(AIDS, row)
        else:
            self._add_part(DIVISIONS, row)

    def _add_part(self, section: str, row: OrganRow) -> None:
        if section == COUPLERS:
            self.show_card(CouplerCard(self, self.panel.colours, self.panel.window(), -1), row)
        elif section == AIDS:
            self.show_card(AidCard(self, self.panel.colours, self.panel.window(), -1), row)
        else:
            self.show_card(NewDivisionCard(self, self.panel.colours, self.panel.window()), row)

    def add_stop(self, division: str, after: str | None = None) -> None:
        """Write new stops into a division, one after the other."""
        self.leave_card()
        self.writing.add(division, after)

    def rename(self, row: OrganRow) -> None:
        """Write a stop's line anew; of other lines the card opens."""
        if row.kind is RowKind.STOP:
            self.leave_card()
            self.writing.rename(row.key, row.division)
        else:
            self.open(row)

    # cards

    def open(self, row: OrganRow) -> None:
        """Open the card of a line."""
        if self.organ is None:
            return
        colours, window = self.panel.colours, self.panel.window()
        card: SpecCard | None = None
        if row.kind is RowKind.STOP:
            card = StopCard(self, colours, window, row.key)
        elif row.kind is RowKind.HEADING and row.division:
            card = DivisionCard(self, colours, window, row.division)
        elif row.kind in (RowKind.TITLE, RowKind.PLACE):
            card = OrganCard(self, colours, window)
        elif row.kind is RowKind.COUPLER:
            card = CouplerCard(self, colours, window, row.number)
        elif row.kind is RowKind.AID:
            card = AidCard(self, colours, window, row.number)
        elif row.kind is RowKind.TREMULANT:
            card = AidCard(self, colours, window, row.number, tremulant=True)
        elif row.kind is RowKind.SUMMARY:
            card = SummaryCard(self, colours, window)
        elif row.kind is RowKind.ADD:
            self.add(row)
        if card is not None:
            self.show_card(card, row)

    def add_to(self, section: str) -> None:
        """Add to one of the organ's lists; stops to the division of the chosen line, or the first."""
        organ, row = self.organ, self.panel.chosen_row()
        if organ is None:
            return
        if section == STOPS:
            has_place = row is not None and row.division in [division.id for division in organ.divisions]
            self.add_stop(row.division if row is not None and has_place else organ.divisions[0].id)
            return
        at = self.panel.index_of(RowKind.ADD, section)
        line = self.view.row_at(at.row()) if at.isValid() else None
        if line is not None:
            self.view.scrollTo(at)
            self._add_part(section, line)

    def show_whole(self) -> None:
        """What is said of the whole organ."""
        self.show_card(OrganCard(self, self.panel.colours, self.panel.window()), None)

    def begin_organ(self) -> None:
        """Ask what a new organ begins with."""
        self.show_card(NewOrganCard(self, self.panel.colours, self.panel.window()), None)

    def show_summary(self) -> None:
        """The organ in a few lines."""
        row = next((row for row in self.view.lines if row.kind is RowKind.SUMMARY), None)
        if row is not None:
            self.open(row)

    def show_card(self, card: SpecCard, row: OrganRow | None) -> None:
        """Show a card beside a line."""
        self.writing.leave()
        self.leave_card()
        self.card, self._card_row = card, row
        card.left.connect(self.leave_card)
        card.grown.connect(partial(QTimer.singleShot, 0, card, self.place_card))
        card.show()
        card.raise_()
        self.place_card()
        card.focus_first()
        QTimer.singleShot(0, card, self.place_card)

    def leave_card(self) -> None:
        """Close the card that is open."""
        if self.card is not None:
            card, self.card = self.card, None
            if self.panel.isVisible():
                self.view.setFocus()
            card.hide()
            card.deleteLater()

    def place_card(self) -> None:
        """Put the card beside its line, where it has room."""
        card, window = self.card, self.panel.window()
        if card is None:
            return
        width = min(CARD_WIDTH + 20, window.width() - 2 * _GAP)
        room = window.height() - 60
        card.fit(width, room)
        over = card.sheet.verticalScrollBar().maximum()
        if over:  # wrapped words need more than was reckoned
            card.setFixedHeight(min(card.height() + over, room))
        left = self.panel.mapTo(window, QPoint(self.panel.width() + _GAP, 0)).x()
        top = self.panel.mapTo(window, QPoint(0, 40)).y()
        if self._card_row is not None:
            index = self.panel.index_of(self._card_row.kind, self._card_row.key, self._card_row.division)
            if index.isValid():
                top = self.view.viewport().mapTo(window, self.view.visualRect(index).topLeft()).y() - 10
        low = self.panel.mapTo(window, QPoint(0, 0)).y()
        card.move(
            max(_GAP, min(left, window.width() - width - _GAP)),
            max(low, min(top, window.height() - card.height() - 30)),
        )

    def follow(self) -> None:
        """Another document: an open card and line show it, or close."""
        if self._is_performing:
            return
        self.writing.check()
        card = self.card
        if card is None or card.stands_alone:
            return
        if self.organ is None or not card.is_there():
            self.leave_card()
            return
        card.refresh()
        self.place_card()

    def set_colours(self) -> None:
        """Other colours: what is open is closed."""
        self.writing.line.colours = self.panel.colours
        self.leave_card()
