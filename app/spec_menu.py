"""What can be done with a line of the booklet page, as a menu; the keys stand beside it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from app.lettering import text_font
from app.organ_rows import OrganRow, RowKind
from app.spec_moves import is_movable, step_change
from core.organ.changes import ChangeStop, Entries
from core.organ.model import Organ, Stop
from core.organ.spelling import stop_label
from core.texts import say

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk


class LineMenu(QObject):
    """Makes the menus."""

    def __init__(self, desk: SpecDesk) -> None:
        super().__init__(desk)
        self.desk = desk

    def show(self, row: OrganRow) -> None:
        """Show the menu of a line under it."""
        menu = self.of(row)
        if menu is not None:
            view = self.desk.view
            menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
            menu.popup(view.viewport().mapToGlobal(view.visualRect(view.currentIndex()).bottomLeft()))

    def of(self, row: OrganRow) -> QMenu | None:
        """The menu of a line; None where nothing can be done with it."""
        desk, organ = self.desk, self.desk.organ
        if organ is None or row.kind in (RowKind.ANSWER, RowKind.NOTE):
            return None
        menu = QMenu(desk.panel)
        menu.setFont(text_font())
        menu.setAccessibleName(row.left)
        if row.kind is RowKind.SUMMARY:
            self._add(menu, self.tr("Summary of the organ"), "Return", partial(desk.open, row))
            return menu
        if row.kind is RowKind.ADD:
            self._add(menu, row.left, "Return", partial(desk.add, row))
            return menu
        if row.kind is not RowKind.HEADING or row.division:
            self._add(menu, self.tr("Change …"), "Return", partial(desk.open, row))
        if row.kind is RowKind.STOP:
            self._of_stop(menu, organ, row)
        if row.kind in (RowKind.TITLE, RowKind.PLACE):
            self._add(menu, self.tr("Summary of the organ"), "", desk.show_summary)
            return menu
        if row.division:
            self._add(menu, self.tr("Add a stop …"), "Ins", partial(desk.add, row))
        if is_movable(row):
            self._moves(menu, organ, row)
        if row.kind is not RowKind.HEADING or row.division:
            menu.addSeparator()
            self._add(menu, self.tr("Take it out"), "Del", partial(desk.remove, row))
        return menu

    def _add(self, menu: QMenu, words: str, key: str, call: Callable[[], object]) -> None:
        # the key is shown, not set: the page itself listens to it
        shown = f"{words}\t{QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText)}" if key else words
        menu.addAction(shown, lambda: call())

    def _of_stop(self, menu: QMenu, organ: Organ, row: OrganRow) -> None:
        self._add(menu, self.tr("Write it anew"), "F2", partial(self.desk.rename, row))
        stop = organ.stop(row.key)
        words = self.tr("Put it out of use") if stop.in_use else self.tr("Put it into use")
        self._add(menu, words, "", partial(self._use, stop))

    def _use(self, stop: Stop) -> None:
        label = stop_label(stop)
        said = say("put {stop} out of use", stop=label) if stop.in_use else say("put {stop} into use", stop=label)
        entries: Entries = (("in use", "no" if stop.in_use else None),)
        self.desk.tell(self.desk.perform(said, ChangeStop(stop=stop.id, entries=entries)))

    def _moves(self, menu: QMenu, organ: Organ, row: OrganRow) -> None:
        menu.addSeparator()
        for words, key, step in ((self.tr("Move up"), "Alt+Up", -1), (self.tr("Move down"), "Alt+Down", 1)):
            if step_change(organ, row, step) is not None:
                self._add(menu, words, key, partial(self.desk.step, row, step))
        if row.kind is RowKind.STOP and len(organ.divisions) > 1:
            menu.addMenu(self.divisions(row.key, menu))

    def divisions(self, stop: str, parent: QMenu | None = None) -> QMenu:
        """The divisions that a stop can be moved to."""
        menu = QMenu(self.tr("Move to the"), parent or self.desk.panel)
        menu.setFont(text_font())
        organ = self.desk.organ
        home = organ.division_of(stop).id if organ is not None else ""
        for division in organ.divisions if organ is not None else ():
            if division.id != home:
                menu.addAction(division.name, partial(self.desk.move_to, stop, division.id))
        return menu
