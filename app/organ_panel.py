"""The organ as a booklet page: what is drawn at the cursor is bold behind a dot."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtWidgets import QLabel, QListView, QMenu, QStyle, QVBoxLayout, QWidget

from app.builtin import sample_organs
from app.compare_organs import OrganSwitch
from app.lettering import text_font
from app.links import link_label
from app.organ_head import OrganHead
from app.organ_page import HAVE_MENU, INDENT, ROW, OrganDelegate, OrganModel
from app.organ_rows import OrganRow, RowKind, answer_rows, needs_rows, organ_rows, solo_stops
from app.palette import Colours
from app.session import Session
from app.spec_desk import SpecDesk
from app.spec_view import SpecView
from core.edits import SetKeyboard


class OrganPanel(QWidget):
    """The left place. `wants_organ` asks the window to bring one, `wants_colours` to show what it can do."""

    wants_organ = Signal()
    wants_colours = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.setAccessibleName(self.tr("Organ"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 8)
        layout.setSpacing(4)
        self.chooser = link_label(self.tr("Another organ ▾"), self.choose, self)
        self.chooser.setContentsMargins(INDENT, 0, INDENT, 0)
        layout.addWidget(self.chooser)
        self.switch = OrganSwitch(session)
        self.head = OrganHead(session, self.switch, self)
        layout.addWidget(self.head)
        self.colours_link = link_label(self.tr("What it can do: colours (Ctrl+K)"), self.wants_colours.emit, self)
        self.colours_link.setContentsMargins(INDENT, 0, INDENT, 0)
        layout.addWidget(self.colours_link)
        self.empty = QLabel(self)
        self.empty.setWordWrap(True)
        self.empty.setFont(text_font(italic=True))
        self.empty.setContentsMargins(INDENT, 8, INDENT, 0)
        layout.addWidget(self.empty)
        self.open_link = link_label(self.tr("Open a specification or stop list …"), self.wants_organ.emit, self)
        self.new_link = link_label(self.tr("Begin a new organ …"), lambda: self.desk.begin_organ(), self)
        for link in (self.open_link, self.new_link):
            link.setContentsMargins(INDENT, 0, INDENT, 0)
            layout.addWidget(link)
        self.model = OrganModel()
        self.view = SpecView(colours, self)
        self.view.setModel(self.model)
        self.delegate = OrganDelegate(colours, self.view)
        self.view.setItemDelegate(self.delegate)
        self.view.setFrameShape(QListView.Shape.NoFrame)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.view.setResizeMode(QListView.ResizeMode.Adjust)
        self.view.setAccessibleName(self.tr("Specification"))
        self.view.setAccessibleDescription(
            self.tr(
                "Enter changes a line, F2 writes a stop anew, Insert adds one, Delete takes it out, "
                "Alt and an arrow moves it."
            )
        )
        self.view.clicked.connect(self._on_click)
        self.view.activated.connect(self._on_row)
        layout.addWidget(self.view, 1)
        self.desk = SpecDesk(self)
        self.setFocusProxy(self.view)
        session.changed.connect(self._on_changed)
        session.derived_ready.connect(self.refresh)
        session.cursor_moved.connect(self.refresh)
        self.refresh()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = self.delegate.colours = self.view.colours = colours
        self.desk.set_colours()
        self.view.viewport().update()

    def _on_changed(self, _: bool) -> None:
        self.refresh()
        self.desk.follow()

    def refresh(self) -> None:
        """Show the chosen organ as it stands at the cursor."""
        document = self.session.document
        derived, organ = self.session.derived, document.organ
        rows: list[OrganRow] = []
        if organ is not None:
            rows = self._with_answers(derived.analysis if derived else None)
        elif derived is not None:
            rows = needs_rows(derived.analysis)
        self.colours_link.setVisible(organ is not None)
        self.chooser.setVisible(organ is not None or bool(document.organs))
        self.empty.setVisible(organ is None)
        self.open_link.setVisible(organ is None)
        self.new_link.setVisible(organ is None)
        self.empty.setText(
            self.tr("No organ is chosen. Its specification would stand here, with what is drawn at the cursor.")
        )
        chosen, bar = self.chosen_row(), self.view.verticalScrollBar()
        at = bar.value()
        self.model.set_rows(rows)
        self.view.doItemsLayout()
        bar.setValue(at)
        if chosen is not None and not self.view.currentIndex().isValid():
            self.choose_row(chosen.kind, chosen.key, chosen.division)

    # the chosen line

    def chosen_row(self) -> OrganRow | None:
        """The line that is chosen, or None."""
        index = self.view.currentIndex()
        return self.view.row_at(index.row()) if index.isValid() else None

    def index_of(self, kind: RowKind, key: str, division: str = "") -> QModelIndex:
        """Where a line stands; an index that is none where it does not."""
        for number, row in enumerate(self.model.rows):
            if row.kind is kind and row.key == key and (not division or row.division == division):
                return self.model.index(number)
        return QModelIndex()

    def choose_row(self, kind: RowKind, key: str, division: str = "") -> None:
        """Choose a line and bring it into view."""
        index = self.index_of(kind, key, division)
        if index.isValid():
            self.view.setCurrentIndex(index)
            self.view.scrollTo(index)

    def choose_number(self, number: int) -> None:
        """Choose the line of that number, or the last."""
        if self.model.rows:
            self.view.setCurrentIndex(self.model.index(min(max(number, 0), len(self.model.rows) - 1)))

    def _with_answers(self, analysis: Any) -> list[OrganRow]:
        organ = self.session.organ
        assert organ is not None
        step = self.session.step
        is_current = analysis is not None and analysis.organ is organ
        registration = step.registration if step is not None and is_current else None
        solo = solo_stops(analysis, self.session.cursor.onset) if is_current else frozenset()
        rows = organ_rows(organ, registration, solo)
        # while a change is being worked through, the answers stay as they were, so that the page does not jump
        is_same_organ = analysis is not None and analysis.organ is not None and analysis.organ.name == organ.name
        answers = list(answer_rows(analysis, organ)) if is_current or is_same_organ else []
        if answers:
            at = next((n for n, row in enumerate(rows) if row.kind is RowKind.HEADING), len(rows))
            rows[at:at] = [OrganRow(RowKind.HEADING, self.tr("Piece → organ")), *answers]
        return rows

    def choose(self) -> None:
        """Offer the open organs, the built-in ones, none, and a file."""
        menu = self.organ_menu()
        menu.exec(self.chooser.mapToGlobal(self.chooser.rect().bottomLeft()))

    def organ_menu(self) -> QMenu:
        """The organs to choose from."""
        menu = QMenu(self)
        document = self.session.document
        for number, file in enumerate(document.organs):
            action = menu.addAction(file.organ.name, partial(self.session.choose_organ, number))
            action.setCheckable(True)
            action.setChecked(number == document.chosen)
        menu.addAction(self.tr("No organ"), partial(self.session.choose_organ, None))
        menu.addSeparator()
        known = {file.path for file in document.organs}
        for name, path in sample_organs():
            if path not in known:
                words = self.tr("{0} (built in)").format(name)
                menu.addAction(words, partial(self.session.add_organs, [path]))
        menu.addSeparator()
        menu.addAction(self.tr("Open a specification or stop list …"), self.wants_organ.emit)
        menu.addAction(self.tr("Begin a new organ …"), self.desk.begin_organ)
        return menu

    def _on_click(self, index: QModelIndex) -> None:
        """A click does at once what only it can mean, where the platform does not take it for activation anyway."""
        if self.view.style().styleHint(QStyle.StyleHint.SH_ItemView_ActivateItemOnSingleClick):
            return
        row: OrganRow = index.data(ROW)
        if row.kind in (RowKind.ANSWER, RowKind.ADD, RowKind.SUMMARY):
            self._on_row(index)
        elif row.kind in HAVE_MENU and self.view.is_at_edge():
            self.desk.on_asked("menu")

    def _on_row(self, index: QModelIndex) -> None:
        row: OrganRow = index.data(ROW)
        if row.kind is RowKind.ANSWER:
            self._on_answer(index, row)
        else:
            self.desk.open(row)

    def _on_answer(self, index: QModelIndex, row: OrganRow) -> None:
        organ = self.session.organ
        if organ is None:
            return
        menu = QMenu(self)
        for division in organ.divisions:
            edit = SetKeyboard(organ=organ.name, asked=row.key, division=division.id)
            menu.addAction(division.name, partial(self.session.perform, edit))
        menu.addSeparator()
        back = SetKeyboard(organ=organ.name, asked=row.key, division=None)
        menu.addAction(self.tr("As proposed"), partial(self.session.perform, back))
        rect = self.view.visualRect(index)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(self.view.viewport().mapToGlobal(rect.bottomLeft()))
