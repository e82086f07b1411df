"""Pasting a stop list: the text at the left, what was understood at the right, line by line, before it is taken."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QCoreApplication, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.lettering import heading_font, text_font
from app.palette import Colours
from app.paste_list import ReadingList
from app.paste_reading import UNNAMED, Kind, Mark, ReadingRow, Understood, organ_file, understand
from app.paste_text import SIGN_OF, PasteText
from app.said import button
from app.translation import told
from app.workers import Workers
from core.document import OrganFile
from core.errors import StopwrightError
from core.organ.reading import decode, read_file

PAUSE_MS = 120  # after the last key, before the text is read again


def _translated(template: str) -> str:
    """A template in the user's language; of no object, since the view may be gone while a text is still read."""
    return QCoreApplication.translate("PasteView", template)


class PasteView(QDialog):
    """The view; nothing outside it changes until the organ is taken.

    Signals:
        taken: the organ as an `OrganFile` without a file.
    """

    taken = Signal(object)

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours
        self.workers = Workers(self)
        self.understood = Understood(text="")
        self.source_name = UNNAMED
        self._revision = 0
        self._is_reading = False
        self._renamed = False
        self.setWindowTitle(self.tr("Paste a stop list"))
        self.setAcceptDrops(True)
        self.setSizeGripEnabled(True)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PAUSE_MS)
        self._timer.timeout.connect(self._read)
        self._make()
        self.resize(self.sizeHint())  # the toolkit would keep to two thirds of the screen
        self.text.textChanged.connect(self._timer.start)
        self.text.textChanged.connect(self._on_edited)
        self.text.refused.connect(self.say)
        self.text.cursorPositionChanged.connect(self._on_cursor)
        self.text.line_pointed.connect(self._on_line_pointed)
        self.list.row_pointed.connect(self._on_row_pointed)
        self.list.selectionModel().currentChanged.connect(lambda now, _: self._on_row_chosen(now.row()))
        self._show()

    def sizeHint(self) -> QSize:
        """Nearly as large as the window it belongs to."""
        parent = self.parentWidget()
        return QSize(1100, 700) if parent is None else QSize(int(parent.width() * 0.9), int(parent.height() * 0.9))

    # making

    def _make(self) -> None:
        self.text = PasteText(self.colours, self)
        self.list = ReadingList(self.colours, self)
        across = QSplitter(Qt.Orientation.Horizontal, self)
        across.addWidget(self._under_heading(self.tr("The text"), self.text))
        across.addWidget(self._under_heading(self.tr("What was understood"), self.list))
        across.setChildrenCollapsible(False)
        across.setSizes([500, 500])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(8)
        layout.addLayout(self._head())
        layout.addWidget(across, 1)
        self.words = self._label("")
        layout.addWidget(self.words)
        self.detail = self._label("")
        layout.addWidget(self.detail)
        self.legend = self._label(
            self.tr("{0} not read (wavy line)   {1} may be read otherwise (dotted line)   F8 goes to the next").format(
                SIGN_OF[Mark.UNREAD], SIGN_OF[Mark.DOUBT]
            ),
            italic=True,
        )
        layout.addWidget(self.legend)
        layout.addLayout(self._foot())
        QShortcut(QKeySequence("F8"), self, lambda: self.go_to_doubt(1))
        QShortcut(QKeySequence("Shift+F8"), self, lambda: self.go_to_doubt(-1))
        QShortcut(QKeySequence("F6"), self, self._other_side)

    def _under_heading(self, words: str, widget: QWidget) -> QWidget:
        side = QWidget(self)
        layout = QVBoxLayout(side)
        layout.setContentsMargins(0, 0, 0, 0)
        label = QLabel(words, side)
        label.setFont(heading_font())
        label.setBuddy(widget)
        label.setContentsMargins(30 if widget is self.list else 0, 0, 0, 0)  # over the words, beside the signs
        layout.addWidget(label)
        layout.addWidget(widget, 1)
        return side

    def _label(self, words: str, *, italic: bool = False) -> QLabel:
        label = QLabel(words, self)
        label.setFont(text_font(0.95 if italic else 1.0, italic=italic))
        label.setWordWrap(True)
        label.setTextFormat(Qt.TextFormat.PlainText)
        return label

    def _head(self) -> QHBoxLayout:
        head = QHBoxLayout()
        label = self._label(self.tr("&Name of the organ"))
        label.setWordWrap(False)
        self.name = QLineEdit(self)
        self.name.setFont(text_font())
        self.name.setPlaceholderText(self.tr("as the list says, or yours"))
        self.name.setAccessibleName(self.tr("Name of the organ"))
        self.name.textEdited.connect(self._on_renamed)
        label.setBuddy(self.name)
        head.addWidget(label)
        head.addWidget(self.name, 1)
        return head

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        self.from_clipboard = button(self.tr("Paste from the &clipboard"), self.paste, self)
        self.from_file = button(self.tr("From a text &file …"), self.ask_for_file, self)
        self.cancel = button(self.tr("Leave all as it was"), self.reject, self)
        self.take = button(self.tr("&Take this organ"), self.accept, self)
        foot.addWidget(self.from_clipboard)
        foot.addWidget(self.from_file)
        foot.addStretch(1)
        foot.addWidget(self.cancel)
        foot.addWidget(self.take)
        return foot

    # texts in

    def paste(self) -> bool:
        """Read the clipboard; where it holds no text, say so."""
        text = QGuiApplication.clipboard().text()
        if not text.strip():
            self.say(self.tr("The clipboard holds no text. Copy a stop list first, or type one at the left."))
            return False
        return self.put(text, UNNAMED)

    def put(self, text: str, source_name: str) -> bool:
        """Show another text and read it; False where it is far too long."""
        if not self.text.put(text):
            return False
        self.source_name = source_name
        self._renamed = False
        self._timer.stop()
        self._read()
        self.text.setFocus()
        return True

    def ask_for_file(self) -> None:
        """Ask for a text file and read it."""
        path, _ = QFileDialog.getOpenFileName(
            self, self.tr("Open a stop list"), "", self.tr("Plain text (*.txt);;All files (*)")
        )
        if path:
            self.open_file(path)

    def open_file(self, path: str | Path) -> bool:
        """Read a text file; False where it is none."""
        try:
            text = decode(read_file(path), path)
        except StopwrightError as error:
            self.say(str(error))
            return False
        return self.put(text, Path(path).stem or UNNAMED)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """A text file, or words, may be dropped."""
        if event.mimeData().hasUrls() or event.mimeData().hasText():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Take what was dropped."""
        event.acceptProposedAction()
        files = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if files:
            self.open_file(files[0])
        elif event.mimeData().hasText():
            self.put(event.mimeData().text(), UNNAMED)

    # reading

    def _read(self) -> None:
        """Read the text beside the window; an answer to an older text is dropped."""
        self._revision += 1
        if self._is_reading:
            return  # it is read when the present one is done
        revision, text, name = self._revision, self.text.toPlainText(), self.source_name
        self._is_reading = True
        if text.strip() and self.understood.organ is None:
            self.say(self.tr("Reading …"))

        def done(understood: Understood) -> None:
            self._is_reading = False
            if revision != self._revision:
                self._read()
                return
            self.understood = understood
            self._show()

        def failed(error: Exception) -> None:
            words = self.tr("This text could not be read ({0}).").format(type(error).__name__)
            done(Understood(text=text, refusal=words))

        self.workers.submit(lambda: understand(text, name, _translated), done, failed)

    def _on_edited(self) -> None:
        self.take.setEnabled(False)  # until it is read again

    @property
    def is_settled(self) -> bool:
        """Whether what is shown belongs to the text as it stands."""
        return not self._is_reading and not self._timer.isActive()

    def _show(self) -> None:
        understood = self.understood
        top = self.list.verticalScrollBar().value()
        self.list.lit = frozenset()
        self.list.reading.set_rows(understood.rows)
        self.list.verticalScrollBar().setValue(top)
        self.text.set_marks(understood.marks)
        if not self._renamed:
            self.name.setText(understood.organ.name if understood.organ else "")
        self.take.setEnabled(understood.organ is not None and self.is_settled)
        self.take.setDefault(self.take.isEnabled())
        self.say(understood.refusal or self._summary())
        self._on_cursor()

    def _summary(self) -> str:
        organ, understood = self.understood.organ, self.understood
        if organ is None:
            return self.tr("Nothing is taken over until you say so.")
        stops = sum(len(division.stops) for division in organ.divisions)
        manuals = len({d.keyboard or d.id for d in organ.manuals})
        parts = [
            told("{count} {count:manual|manuals}", count=manuals) + (self.tr(" and pedal") if organ.pedal else ""),
            told("{count} {count:stop|stops}", count=stops),
        ]
        if organ.couplers:
            count = len(organ.couplers)
            parts.append(told("{count} {count:coupler|couplers}", count=count))
        unread, doubts = understood.count(Mark.UNREAD), understood.count(Mark.DOUBT)
        lines = self.tr("every line was read") if not unread else self.tr("lines not read: {0}").format(unread)
        more = self.tr("in doubt: {0}").format(doubts) if doubts else ""
        return "; ".join(text for text in (", ".join(parts), lines, more) if text) + "."

    def say(self, words: str) -> None:
        """A sentence under the two sides."""
        self.words.setText(words)
        self.words.setAccessibleName(words)

    # from one side to the other

    def _tell(self, line: int, row: ReadingRow | None) -> None:
        """What is to be said of a line or of a row: what it was read as, what is in doubt of it."""
        marks = self.understood.marks
        mark = marks.get(line, Mark.READ)
        parts = [self.tr("Line {0}").format(line)] if line else []
        if row is not None:
            parts.append(f"{row.left} {row.right}".strip())
            parts += [text for text in (row.tip, row.doubt) if text]
        elif mark is Mark.UNREAD:
            parts.append(self.tr("nothing was read from it"))
        self.detail.setText(f"{SIGN_OF[mark]} {' · '.join(parts)}".strip())

    def _on_cursor(self) -> None:
        self._light_line(self.text.line, scroll=True)

    def _light_line(self, line: int, *, scroll: bool) -> None:
        rows = self.list.reading.rows_of_line(line)
        self.text.light(frozenset((line,)) if rows else frozenset())
        self.list.light(frozenset(rows), scroll=scroll)
        if rows:
            shown = [self.list.reading.rows[row] for row in rows]
            doubtful = next((row for row in shown if row.doubt), None)
            one = doubtful or (shown[0] if len(shown) == 1 and shown[0].kind is not Kind.UNREAD else None)
            self._tell(line, one)
        else:
            self.detail.setText("")

    def _on_line_pointed(self, line: int) -> None:
        if line and self.list.reading.rows_of_line(line):
            self._light_line(line, scroll=True)
        else:
            self._light_line(self.text.line, scroll=False)

    def _on_row_chosen(self, row: int) -> None:
        if row >= 0:
            self._light_row(row)

    def _on_row_pointed(self, row: int) -> None:
        chosen = self.list.currentIndex().row()
        if row >= 0:
            self._light_row(row)
        elif chosen >= 0 and self.list.hasFocus():
            self._light_row(chosen)
        else:
            self._light_line(self.text.line, scroll=False)

    def _light_row(self, row: int) -> None:
        rows = self.list.reading.rows
        if row < len(rows):
            self.list.light(frozenset((row,)))
            self.text.light(frozenset(rows[row].lines), scroll=True)
            self._tell(rows[row].lines[0] if rows[row].lines else 0, rows[row])

    def go_to_doubt(self, step: int) -> None:
        """The cursor to the next line that was not read or is in doubt; after the last comes the first."""
        lines = sorted(line for line, mark in self.understood.marks.items() if mark is not Mark.READ)
        if not lines:
            return
        here = self.text.line
        after = [line for line in lines if line > here] if step > 0 else [line for line in lines if line < here]
        self.text.setFocus()
        self.text.go_to_line((after[0] if step > 0 else after[-1]) if after else lines[0 if step > 0 else -1])

    def _other_side(self) -> None:
        (self.list if self.text.hasFocus() else self.text).setFocus()

    # ends

    def _on_renamed(self, name: str) -> None:
        self._renamed = bool(name.strip())

    def accept(self) -> None:
        """Take the organ as it was understood."""
        if self.understood.organ is None or not self.is_settled:
            return
        try:
            file: OrganFile = organ_file(self.understood, self.name.text())
        except StopwrightError as error:
            self.say(str(error))
            return
        self._end()
        self.taken.emit(file)
        super().accept()

    def reject(self) -> None:
        """Leave all as it was."""
        self._end()
        super().reject()

    def closeEvent(self, event: QCloseEvent) -> None:
        """The same as leaving all as it was."""
        self._end()
        super().closeEvent(event)

    def _end(self) -> None:
        self._timer.stop()
        self.workers.close(wait=not self._is_reading)  # a long text is left to end by itself
