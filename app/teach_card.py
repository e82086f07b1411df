"""The card on which a word is taught: what it means, in which language; the marking is read anew as one chooses."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.card import Card
from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.palette import Colours
from app.sentences import read_word_by_word, word_table
from app.session import Session
from app.trial_words import trial_words
from core.compare.trying import Spot, try_text
from core.errors import StopwrightError
from core.markings.gathering import MarkingRead
from core.markings.lexicon import LANGUAGES
from core.markings.meanings import SHORT_FOR, groups, meanings
from core.markings.reading import read_marking
from core.markings.user_words import UserWords
from core.score.model import MarkingId

_NAMES = ("English", "French", "German", "Italian", "Spanish", "Dutch", "Latin")


class TeachCard(Card):
    """Teaches one word.

    Signals:
        done: it is to be closed.
        grown: it has become higher or lower.
    """

    done = Signal()
    grown = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.marking: MarkingId | None = None
        self.setAccessibleName(self.tr("Teach a word"))
        self.title = self.say("", text_font(italic=True))
        self.field = self._field(self.tr("The word"))
        self.say(self.tr("means"))
        self.group, self.value = self._choice(self.tr("Sort of meaning")), self._choice(self.tr("Meaning"))
        self.name = self._field(self.tr("The name that it stands for"))
        self.name.setPlaceholderText(self.tr("Such as Open Diapason"))
        self.language = self._choice(self.tr("Language of the word"))
        self.group.offer([(key, self.tr(words)) for key, words in groups().items()])
        self.language.offer([(key, self.tr(name)) for key, name in zip(LANGUAGES, _NAMES, strict=True)])
        self.told = self.say("", rich=True)
        self.teach_link = self.link(self.tr("Teach it (Enter)"), self.finish)
        self.link(self.tr("Leave all as it was (Esc)"), self.done.emit)
        self.where = self.say("", text_font(0.92))
        self.group.currentIndexChanged.connect(lambda _: self._on_group())
        for box in (self.value, self.language):
            box.currentIndexChanged.connect(lambda _: self.retry())
        for field in (self.field, self.name):
            field.textChanged.connect(lambda _: self.retry())

    def _field(self, name: str) -> QLineEdit:
        field = QLineEdit(self)
        field.setFont(text_font())
        field.setAccessibleName(name)
        field.installEventFilter(self)
        self.lines.addWidget(field)
        return field

    def _choice(self, name: str) -> ChoiceBox:
        box = ChoiceBox(self)
        box.setFont(text_font())
        box.setAccessibleName(name)
        box.installEventFilter(self)
        self.lines.addWidget(box)
        return box

    # what is chosen

    def begin(self, marking: MarkingId | None, word: str) -> None:
        """Ask what a word of a marking means."""
        self.marking = marking
        for field, text in ((self.field, word), (self.name, "")):
            field.blockSignals(True)
            field.setText(text)
            field.blockSignals(False)
        mark = self._mark()
        language = mark.reading.language if mark is not None else self._piece_language() or LANGUAGES[0]
        self.language.setCurrentIndex(max(self.language.findData(language), 0))
        self.group.setCurrentIndex(0)
        self.title.setText(self.tr("What does ‘{0}’ mean?").format(word))
        self.where.setText(self.tr("It is kept in {0}.").format(self.session.own_words.place))
        self._on_group()

    def _on_group(self) -> None:
        group = self.group.currentData()
        offered = [(one.key, self.tr(one.words)) for one in meanings() if one.group == group]
        self.value.offer(offered)
        self.value.setVisible(group != SHORT_FOR)
        self.name.setVisible(group == SHORT_FOR)
        self.retry()

    @property
    def meaning(self) -> str:
        """The chosen meaning, as a words file is told it."""
        chosen = str(self.value.currentData() or "")
        return chosen + self.name.text().strip() if self.group.currentData() == SHORT_FOR else chosen

    def _is_complete(self) -> bool:
        wants_name = self.group.currentData() == SHORT_FOR
        return bool(self.field.text().strip()) and not (wants_name and not self.name.text().strip())

    def _mark(self) -> MarkingRead | None:
        derived = self.session.derived
        return derived.index.marks.get(self.marking) if derived is not None and self.marking is not None else None

    def _piece_language(self) -> str | None:
        return self.session.derived.analysis.markings.language if self.session.derived is not None else None

    # telling

    def retry(self) -> None:
        """Read the marking as it would be read with the word."""
        self.teach_link.setVisible(self._is_complete())
        self.told.setText(self._telling())
        self.grown.emit()

    def _telling(self) -> str:
        if not self._is_complete():
            return self.tr("Say what it stands for.")
        try:
            words = self.session.own_words.preview(self.field.text(), self.meaning, self.language.currentData())
        except (StopwrightError, OSError) as error:
            return str(error)
        said = "".join(f"<p style='margin:1px 0'><i>{shadow}.</i></p>" for shadow in words.shadows[-1:])
        mark = self._mark()
        return said + (self._as_read(mark, words) if mark is not None else "")

    def _as_read(self, mark: MarkingRead, words: UserWords) -> str:
        """How the marking would be read, and what it would do where it stands."""
        derived, text = self.session.derived, mark.text
        if derived is None:
            return ""
        decisions = replace(derived.analysis.decisions, words=words.lexicon)
        analysis = replace(derived.analysis, decisions=decisions)
        one = mark.id
        spot = Spot(part=one.part, staff=one.staff, bar=one.bar, in_bar=one.in_bar, placement=text.placement or "above")
        tried = try_text(analysis, text.text, spot, nth=self.session.cursor.nth, instead_of=one)
        if tried is not None:
            return trial_words(self.session.organ, tried, self.colours)
        reading = read_marking(text.text, hint=self._piece_language(), user_words=words.lexicon)
        return word_table(read_word_by_word(replace(mark, reading=reading)))

    def finish(self) -> None:
        """Teach it; what cannot be taught is told on the card."""
        if not self._is_complete():
            return
        try:
            self.session.own_words.teach(self.field.text().strip(), self.meaning, self.language.currentData())
        except (StopwrightError, OSError) as error:
            self.told.setText(str(error))
            self.grown.emit()
            return
        self.done.emit()

    # keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter teaches the word, Escape leaves all as it was, wherever the focus is on the card."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.finish()
        elif event.key() == Qt.Key.Key_Escape:
            self.done.emit()
        elif event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.keyPressEvent(event)
        else:
            return super().eventFilter(watched, event)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves all as it was."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit()
        else:
            super().keyPressEvent(event)
