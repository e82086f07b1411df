"""The organ as a booklet page: what is drawn at the cursor is bold behind a dot."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QPainter
from PySide6.QtWidgets import (
    QLabel,
    QListView,
    QMenu,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.builtin import sample_organs
from app.lettering import heading_font, text_font
from app.links import link_label
from app.organ_rows import On, OrganRow, RowKind, answer_rows, needs_rows, organ_rows, solo_stops
from app.palette import Colours
from app.session import Session
from core.edits import SetKeyboard

Index = QModelIndex | QPersistentModelIndex
ROW = Qt.ItemDataRole.UserRole
_INDENT = 16
_ON_WORDS = {On.DRAWN: "drawn", On.PREPARED: "prepared", On.OFF: ""}
_DOTS = {On.DRAWN: "•", On.PREPARED: "◦", On.OFF: ""}


class OrganModel(QAbstractListModel):
    """The lines of the booklet page."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[OrganRow] = []

    def set_rows(self, rows: list[OrganRow]) -> None:
        """Show other lines; where only what is on differs, the view stays where it is."""
        same_lines = [(r.kind, r.left) for r in rows] == [(r.kind, r.left) for r in self.rows]
        if same_lines:
            self.rows = rows
            if rows:
                self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))
            return
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        """Number of lines."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A line, or its words."""
        if not index.isValid():
            return None
        row = self.rows[index.row()]
        if role == ROW:
            return row
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            words = f"{row.left} {row.right}".strip()
            return f"{words}, {_ON_WORDS[row.on]}" if row.on is not On.OFF else words
        if role == Qt.ItemDataRole.ToolTipRole:
            return row.tip or None
        return None


class OrganDelegate(QStyledItemDelegate):
    """Sets a line as a booklet does: name left, pitch right, in columns."""

    def __init__(self, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.colours = colours

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Headings have white space before them."""
        row: OrganRow = index.data(ROW)
        font = _font(row)
        metrics = QFontMetrics(font)
        width = max(120, option.rect.width() or 200)
        lines = 1
        if row.kind in (RowKind.TITLE, RowKind.PLACE, RowKind.NOTE):
            flags = Qt.TextFlag.TextWordWrap
            box = metrics.boundingRect(QRect(0, 0, width - 2 * _INDENT, 900), flags, row.left)
            lines = max(1, round(box.height() / metrics.height()))
        extra = {RowKind.HEADING: 16, RowKind.TITLE: 4}.get(row.kind, 3)
        return QSize(width, metrics.height() * lines + extra)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a line."""
        row: OrganRow = index.data(ROW)
        painter.save()
        rect = option.rect
        state: QStyle.StateFlag = option.state
        if state & QStyle.StateFlag.State_Selected and state & QStyle.StateFlag.State_HasFocus:
            painter.fillRect(rect, self.colours.colour("chosen"))
        font = _font(row)
        painter.setFont(font)
        inner = rect.adjusted(_INDENT, 0, -_INDENT, 0)
        strong = row.kind in (RowKind.TITLE, RowKind.STOP, RowKind.ANSWER) or row.on is not On.OFF
        painter.setPen(self.colours.colour("ink" if strong else "faint"))
        if row.kind in (RowKind.TITLE, RowKind.PLACE, RowKind.NOTE):
            painter.drawText(inner, int(Qt.TextFlag.TextWordWrap), row.left)
        elif row.kind is RowKind.HEADING:
            self._heading(painter, inner, row)
        else:
            self._line(painter, rect, inner, row, font)
        painter.restore()

    def _heading(self, painter: QPainter, inner: QRect, row: OrganRow) -> None:
        painter.setPen(self.colours.colour("ink"))
        bottom = Qt.AlignmentFlag.AlignBottom
        painter.drawText(inner, bottom | Qt.AlignmentFlag.AlignLeft, row.left)
        painter.setFont(text_font(0.9, italic=True))
        painter.setPen(self.colours.colour("faint"))
        painter.drawText(inner, bottom | Qt.AlignmentFlag.AlignRight, row.right)

    def _line(self, painter: QPainter, rect: QRect, inner: QRect, row: OrganRow, font: QFont) -> None:
        middle = Qt.AlignmentFlag.AlignVCenter
        dot = QRect(rect.left() + 3, rect.top(), _INDENT - 3, rect.height())
        painter.setFont(text_font(bold=True))  # the dot is never underlined
        painter.drawText(dot, middle | Qt.AlignmentFlag.AlignLeft, _DOTS[row.on])
        painter.setFont(font)
        metrics = QFontMetrics(font)
        left = row.left + (" →" if row.kind is RowKind.ANSWER else "")
        if row.kind is RowKind.ANSWER:
            words = metrics.elidedText(f"{left} {row.right}", Qt.TextElideMode.ElideRight, inner.width() - 14)
            painter.drawText(inner, middle | Qt.AlignmentFlag.AlignLeft, words)
            painter.drawText(inner, middle | Qt.AlignmentFlag.AlignRight, "▾")
            return
        right = metrics.horizontalAdvance(row.right)
        room = inner.width() - right - 10
        painter.drawText(
            inner,
            middle | Qt.AlignmentFlag.AlignLeft,
            metrics.elidedText(left, Qt.TextElideMode.ElideRight, room),
        )
        painter.drawText(inner, middle | Qt.AlignmentFlag.AlignRight, row.right)


def _font(row: OrganRow) -> QFont:
    if row.kind is RowKind.TITLE:
        return text_font(1.3)
    if row.kind is RowKind.HEADING:
        return heading_font()
    if row.kind in (RowKind.PLACE, RowKind.NOTE):
        return text_font(0.95, italic=True)
    font = text_font(bold=row.on is On.DRAWN)
    font.setUnderline(row.solo and row.on is On.DRAWN)
    return font


class OrganPanel(QWidget):
    """The left place. `wants_organ` asks the window to bring one."""

    wants_organ = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("Organ"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 8)
        layout.setSpacing(4)
        self.chooser = link_label(self.tr("Another organ ▾"), self.choose, self)
        self.chooser.setContentsMargins(_INDENT, 0, _INDENT, 0)
        layout.addWidget(self.chooser)
        self.empty = QLabel(self)
        self.empty.setWordWrap(True)
        self.empty.setFont(text_font(italic=True))
        self.empty.setContentsMargins(_INDENT, 8, _INDENT, 0)
        layout.addWidget(self.empty)
        self.open_link = link_label(self.tr("Open a specification or stop list …"), self.wants_organ.emit, self)
        self.open_link.setContentsMargins(_INDENT, 0, _INDENT, 0)
        layout.addWidget(self.open_link)
        self.model = OrganModel()
        self.view = QListView(self)
        self.view.setModel(self.model)
        self.delegate = OrganDelegate(colours, self.view)
        self.view.setItemDelegate(self.delegate)
        self.view.setFrameShape(QListView.Shape.NoFrame)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.view.setResizeMode(QListView.ResizeMode.Adjust)
        self.view.setAccessibleName(self.tr("Specification"))
        self.view.clicked.connect(self._on_click)
        self.view.activated.connect(self._on_row)
        layout.addWidget(self.view, 1)
        self.setFocusProxy(self.view)
        session.changed.connect(lambda _: self.refresh())
        session.derived_ready.connect(self.refresh)
        session.cursor_moved.connect(self.refresh)
        self.refresh()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.delegate.colours = colours
        self.view.viewport().update()

    def refresh(self) -> None:
        """Show the chosen organ as it stands at the cursor."""
        document = self.session.document
        derived, organ = self.session.derived, document.organ
        rows: list[OrganRow] = []
        if organ is not None:
            rows = self._with_answers(derived.analysis if derived else None)
        elif derived is not None:
            rows = needs_rows(derived.analysis)
        self.chooser.setVisible(organ is not None or bool(document.organs))
        self.empty.setVisible(organ is None)
        self.open_link.setVisible(organ is None)
        self.empty.setText(
            self.tr("No organ is chosen. Its specification would stand here, with what is drawn at the cursor.")
        )
        self.model.set_rows(rows)

    def _with_answers(self, analysis: Any) -> list[OrganRow]:
        organ = self.session.organ
        assert organ is not None
        step = self.session.step
        is_current = analysis is not None and analysis.organ is organ
        registration = step.registration if step is not None and is_current else None
        solo = solo_stops(analysis, self.session.cursor.onset) if is_current else frozenset()
        rows = organ_rows(organ, registration, solo)
        answers = list(answer_rows(analysis)) if is_current else []
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
        return menu

    def _on_click(self, index: QModelIndex) -> None:
        """A click, where the platform does not take it for activation anyway."""
        if not self.view.style().styleHint(QStyle.StyleHint.SH_ItemView_ActivateItemOnSingleClick):
            self._on_row(index)

    def _on_row(self, index: QModelIndex) -> None:
        row: OrganRow = index.data(ROW)
        organ = self.session.organ
        if row.kind is not RowKind.ANSWER or organ is None:
            return
        menu = QMenu(self)
        for division in organ.divisions:
            edit = SetKeyboard(organ=organ.name, asked=row.key, division=division.id)
            menu.addAction(division.name, partial(self.session.perform, edit))
        menu.addSeparator()
        back = SetKeyboard(organ=organ.name, asked=row.key, division=None)
        menu.addAction(self.tr("As proposed"), partial(self.session.perform, back))
        rect = self.view.visualRect(index)
        menu.exec(self.view.viewport().mapToGlobal(rect.bottomLeft()))
