"""The colour book beside the score: sought by a sound or a stop's name, and written at the cursor's beat."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QEvent, QModelIndex, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QListView, QSplitter, QVBoxLayout, QWidget

from app.card import Card
from app.choice_box import ChoiceBox
from app.colours_rows import ROW, BookDelegate, BookModel, BookRow, Line, book_rows
from app.colours_words import against_words, drawn_words, free_words, other_names, place_words
from app.lettering import text_font
from app.links import link_label
from app.palette import Colours
from app.session import Session
from core.markings.house_style import Style, read_style
from core.organ.model import Half, Organ, Role
from core.resolve.colour_book.book import colour_book
from core.resolve.colour_book.model import Book, Colour
from core.resolve.colour_book.wordings import with_accompaniment, wordings
from core.resolve.colour_book.words import LANGUAGES, find
from core.resolve.traditions import frame_language

_INDENT = 16
_TRADITIONS = (
    ("", "Customs of every tradition"),
    ("english", "English"),
    ("american", "American"),
    ("french-classical", "French classical"),
    ("french-symphonic", "French symphonic"),
    ("german-baroque", "German baroque"),
    ("german-romantic", "German romantic"),
    ("dutch", "Dutch"),
    ("italian", "Italian"),
    ("spanish", "Spanish"),
)


class ColoursPanel(QWidget):
    """The list, the search, and what is said of the chosen colour.

    Signals:
        wants_marking: a wording is to be written at the cursor (arguments: the text, the hand it is for or empty).
        left: the panel is to be closed.
    """

    wants_marking = Signal(str, str)
    left = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.book: Book | None = None
        self._made_for: tuple[Organ, str] | None = None
        self._asking = False
        self.setAccessibleName(self.tr("Colours"))
        self._make(colours)
        session.changed.connect(lambda _: self.refresh())
        session.derived_ready.connect(self._show_chosen)

    # making

    def _make(self, colours: Colours) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 8)
        layout.setSpacing(4)
        back = link_label(self.tr("← Back to the organ (Esc)"), self.left.emit, self)
        back.setContentsMargins(_INDENT, 0, _INDENT, 0)
        layout.addWidget(back)
        self.title = QLabel(self)
        self.title.setFont(text_font(1.2))
        self.title.setWordWrap(True)
        self.title.setContentsMargins(_INDENT, 0, _INDENT, 0)
        layout.addWidget(self.title)
        layout.addLayout(self._make_search())
        self.told = QLabel(self)
        self.told.setFont(text_font(0.95, italic=True))
        self.told.setWordWrap(True)
        self.told.setContentsMargins(_INDENT, 0, _INDENT, 0)
        layout.addWidget(self.told)
        self.model = BookModel()
        self.view = QListView(self)
        self.view.setModel(self.model)
        self.delegate = BookDelegate(colours, self.view)
        self.view.setItemDelegate(self.delegate)
        self.view.setFrameShape(QListView.Shape.NoFrame)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.view.setResizeMode(QListView.ResizeMode.Adjust)
        self.view.setAccessibleName(self.tr("Colours of this organ"))
        self.view.setAccessibleDescription(self.tr("Enter puts the chosen colour’s wording on a card at the cursor."))
        self.view.selectionModel().currentChanged.connect(lambda _now, _before: self._show_chosen())
        self.view.installEventFilter(self)
        self.view.doubleClicked.connect(lambda _: self.write_here())
        self.detail = Card(self)
        self.detail.setAccessibleName(self.tr("The chosen colour"))
        self.parts = QSplitter(Qt.Orientation.Vertical, self)
        self.parts.addWidget(self.view)
        self.parts.addWidget(self.detail)
        self.parts.setSizes([250, 380])
        self.parts.setChildrenCollapsible(False)
        layout.addWidget(self.parts, 1)
        self.setFocusProxy(self.field)

    def _make_search(self) -> QVBoxLayout:
        lines = QVBoxLayout()
        lines.setContentsMargins(_INDENT, 0, _INDENT, 0)
        self.field = QLineEdit(self)
        self.field.setFont(text_font())
        self.field.setPlaceholderText(self.tr("A sound or a stop: silvery, far off, Oboe"))
        self.field.setAccessibleName(self.tr("Sound or stop sought"))
        self.field.setClearButtonEnabled(True)
        self.field.textChanged.connect(lambda _: self._search(None))
        self.field.installEventFilter(self)
        lines.addWidget(self.field)
        self.tradition = ChoiceBox(self)
        self.tradition.setFont(text_font(0.95))
        self.tradition.setAccessibleName(self.tr("Tradition"))
        self.tradition.offer([(value, self.tr(words)) for value, words in _TRADITIONS])
        self.tradition.currentIndexChanged.connect(lambda _: self.refresh())
        lines.addWidget(self.tradition)
        return lines

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.delegate.colours = colours
        self.view.viewport().update()

    # the book

    def showEvent(self, event: object) -> None:
        """The book is made when it is first looked at."""
        self.refresh()

    def refresh(self) -> None:
        """Make the book of the chosen organ, where it is another one."""
        organ = self.session.organ
        if not self.isVisible():
            return
        if organ is None:
            self.book, self._made_for = None, None
            self.title.setText(self.tr("Colours"))
            self._search(None)
            return
        tradition = str(self.tradition.currentData() or "")
        if self._asking or (self._made_for is not None and self._made_for == (organ, tradition)):
            return
        self._asking = True
        self.title.setText(self.tr("Colours of {0}").format(organ.name))
        self.session.workers.submit(
            lambda: colour_book(organ, tradition=tradition or None),
            lambda book: self._on_book(book, tradition),
            self._on_failed,
        )

    def _on_book(self, book: Book, tradition: str) -> None:
        self._asking = False
        self.book, self._made_for = book, (book.organ, tradition)
        self._search(self.chosen)
        self.refresh()

    def _on_failed(self, error: Exception) -> None:
        self._asking = False
        self.told.setText(str(error))

    @property
    def style_now(self) -> Style:
        """The house style of the wordings: the one in force, else of the piece's language, else of the organ's."""
        if self.session.aids.style is not None:
            return self.session.aids.style
        derived, organ = self.session.derived, self.session.organ
        language = derived.analysis.markings.language if derived is not None else None
        if language not in LANGUAGES and organ is not None:
            language = frame_language(organ)
        return read_style(language if language in LANGUAGES else "en")

    def _search(self, chosen: Colour | None) -> None:
        """Show what is found; the colour given stays chosen where it is there, else the most fitting is."""
        if self.book is None:
            self.model.set_rows([])
            self.told.setText(self.tr("No organ is chosen; its colours would stand here."))
            self._show_chosen()
            return
        text = self.field.text().strip()
        found = find(self.book, text, self.style_now.language)
        lacking = self.tr("What it has not")
        self.model.set_rows(book_rows(self.book.organ, found, self.tr, by_section=not text, lacking=lacking))
        self.told.setText(self._told(text, len(found.colours), len(found.gaps)))
        ids = [row.colour.id if row.colour else "" for row in self.model.rows]
        at = ids.index(chosen.id) if chosen is not None and chosen.id in ids else None
        if at is None:
            at = next((n for n, row in enumerate(self.model.rows) if row.line is not Line.HEADING), None)
        if at is not None:
            self.view.setCurrentIndex(self.model.index(at))
        self._show_chosen()

    def _told(self, text: str, colours: int, gaps: int) -> str:
        if colours or not text:
            return self.tr("One colour") if colours == 1 else self.tr("{0} colours").format(colours)
        if gaps:
            return self.tr("This organ has none of that; what comes nearest stands below.")
        return self.tr("No sound or stop is known by these words. Try round, bright, soft, far off, festive …")

    # the chosen colour

    @property
    def row(self) -> BookRow | None:
        """The chosen line."""
        index = self.view.currentIndex()
        return index.data(ROW) if index.isValid() else None

    @property
    def chosen(self) -> Colour | None:
        """The chosen colour."""
        row = self.row
        return row.colour if row is not None else None

    def _show_chosen(self) -> None:
        self.detail.empty()
        colour, organ = self.chosen, self.session.organ
        if self.book is None or organ is None or self.book.organ != organ:
            return
        if colour is None:
            row = self.row
            if row is not None and row.gap is not None:
                self.detail.say(row.gap.said.translated(self.tr))
            self.detail.lines.addStretch(1)
            return
        self._say_what(organ, colour)
        self._say_against(organ, colour)
        for caution in colour.cautions:
            self.detail.say(self.tr("Mind: {0}").format(caution.translated(self.tr)))
        self.detail.say(colour.why.translated(self.tr), text_font(0.95, italic=True))
        for words in other_names(colour, self.tr):
            self.detail.say(words, text_font(0.95))
        self.detail.lines.addStretch(1)

    def _say_what(self, organ: Organ, colour: Colour) -> None:
        worded = wordings(organ, colour, self.style_now)
        self.detail.say(colour.name.translated(self.tr), text_font(1.15))
        if drawn_words(organ, colour) != str(colour.name):
            self.detail.say(drawn_words(organ, colour), text_font(bold=True))
        self.detail.say(place_words(organ, colour, self.tr), text_font(0.95))
        self.detail.heading(self.tr("Write at the cursor"))
        self.detail.link(self.tr("For this organ (Enter): {0}").format(_line(worded.here.text)), self.write_here)
        if worded.travels.text != worded.here.text:
            words = self.tr("For any organ (Ctrl+Enter): {0}").format(_line(worded.travels.text))
            self.detail.link(words, self.write_abroad)

    def _say_against(self, organ: Organ, colour: Colour) -> None:
        if not colour.solo:
            self.detail.say(free_words(organ, colour, self.tr), text_font(0.95))
            return
        if not colour.accompaniments:
            return
        self.detail.heading(self.tr("Against it"))
        for number, one in enumerate(colour.accompaniments):
            self.detail.link(against_words(organ, one, self.tr), partial(self.write_both, number))

    # writing

    def write_here(self) -> None:
        """Put the wording that fits this organ on a card at the cursor."""
        self._write(abroad=False)

    def write_abroad(self) -> None:
        """Put the wording that would travel on a card at the cursor."""
        self._write(abroad=True)

    def _write(self, *, abroad: bool) -> None:
        colour, organ = self.chosen, self.session.organ
        if colour is None or organ is None:
            return
        worded = wordings(organ, colour, self.style_now)
        self.wants_marking.emit((worded.travels if abroad else worded.here).text, _hand(organ, colour))

    def write_both(self, number: int) -> None:
        """Put the solo and one of its accompaniments on a card at the cursor."""
        colour, organ = self.chosen, self.session.organ
        if colour is None or organ is None or number >= len(colour.accompaniments):
            return
        worded = with_accompaniment(organ, colour, colour.accompaniments[number], self.style_now)
        self.wants_marking.emit(worded.text, _hand(organ, colour))

    # keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter writes; Escape goes back; from the search, Up and Down go through the list."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                abroad = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
                self._write(abroad=abroad)
                return True
            if watched is self.field and key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
                self._step(1 if key == Qt.Key.Key_Down else -1)
                return True
        return super().eventFilter(watched, event)

    def _step(self, by: int) -> None:
        """The next line that can be chosen."""
        at = self.view.currentIndex().row() + by
        while 0 <= at < len(self.model.rows):
            if self.model.rows[at].line is not Line.HEADING:
                self.view.setCurrentIndex(self.model.index(at))
                return
            at += by

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape goes back to the organ."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def index_of(self, colour_id: str) -> QModelIndex:
        """The line of a colour."""
        ids = [row.colour.id if row.colour else "" for row in self.model.rows]
        return self.model.index(ids.index(colour_id)) if colour_id in ids else QModelIndex()


def _line(text: str) -> str:
    return text.replace("\n", " / ")


def _hand(organ: Organ, colour: Colour) -> str:
    """Whose staff the marking is for, where the colour tells."""
    if organ.division(colour.division).role is Role.PEDAL:
        return "feet"
    return "left" if all(organ.stop(s).half is Half.BASS for s in colour.stops) else ""
