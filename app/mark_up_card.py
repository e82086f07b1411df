"""The card on which a score is marked up for its organ: what to write, what comes of it, then all as one edit."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QProgressBar,
    QVBoxLayout,
    QWidget,
)

from app.commands import EditCommand
from app.engraving import NoLongerWantedError
from app.lettering import heading_font, text_font
from app.papers_fields import style_choices
from app.papers_options import Field, Options
from app.papers_stop import Stop
from app.said import button
from app.session import Session
from app.translation import shown, told, tr
from app.workers import Workers
from core.document import Document
from core.errors import StopwrightError
from core.marking_up.model import LeftOut, MarkedUp, Resolved, Wishes
from core.marking_up.writing import mark_up
from core.markings.house_style import BUILT_IN, read_style
from core.position import Position

_PLACE = Qt.ItemDataRole.UserRole


def mark_up_fields(language: str, *, has_organ: bool) -> tuple[Field, ...]:
    """What can be written; the wording begins in the piece's language."""
    where = (
        ("", tr("nowhere")),
        (Resolved.UNDER.value, tr("under each marking, in brackets")),
        (Resolved.INSTEAD.value, tr("instead of each marking")),
        (Resolved.FOOTNOTES.value, tr("as footnotes")),
        (Resolved.LAYER.value, tr("as a layer of small text")),
    )
    stops = Field(
        name="resolved", words=tr("This organ’s stops"), kind="choice", value=Resolved.UNDER.value, choices=where
    )
    opening = Field(
        name="opening",
        words=tr("What is drawn &before playing"),
        kind="check",
        value=False,
        tip=tr("A block at the beginning, a line for each keyboard."),
    )
    return (
        *((stops, opening) if has_organ else ()),
        Field(name="solos", words=tr("&Brackets round the solos"), kind="check", value=False),
        Field(
            name="portable",
            words=tr("What would do &elsewhere"),
            kind="check",
            value=False,
            tip=tr("Beside named stops: what to draw on an organ that has them not."),
        ),
        Field(name="rewrite", words=tr("&All markings in this wording"), kind="check", value=False),
        Field(
            name="style",
            words=tr("Wording"),
            kind="choice",
            value=language if language in BUILT_IN else "en",
            choices=style_choices(),
        ),
    )


def wishes_of(values: dict[str, Any]) -> Wishes:
    """What the options wish for."""
    resolved = values.get("resolved")
    return Wishes(
        style=read_style(str(values["style"])),
        resolved=Resolved(resolved) if resolved else None,
        solos=bool(values["solos"]),
        opening=bool(values.get("opening")),
        rewrite=bool(values["rewrite"]),
        portable=bool(values["portable"]),
    )


class MarkUpCard(QDialog):
    """Options at the left, what will be written and what will not at the right.

    Signals:
        said: a sentence about what was written.
    """

    said = Signal(str)
    _progress = Signal(str)

    def __init__(self, session: Session, workers: Workers, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.workers = workers
        self.stop: Stop | None = None
        self.marked: MarkedUp | None = None
        self._before: Document = session.document
        organ = session.organ
        name = organ.name if organ is not None else ""
        self.setWindowTitle(told("Mark up for {organ}", organ=name) if name else self.tr("Mark up"))
        derived = session.derived
        language = derived.analysis.markings.language if derived is not None else ""
        self.options = Options(mark_up_fields(language or "en", has_organ=organ is not None), self)
        self.options.setFixedWidth(max(250, self.options.minimumSizeHint().width()))
        self.written, self.left_out = self._list(), self._list()
        self.written.setAccessibleName(self.tr("What will be written"))
        self.left_out.setAccessibleName(self.tr("What is left out"))
        self._lay_out()
        self._progress.connect(self._on_progress)
        self.options.changed.connect(self.refresh)
        session.derived_ready.connect(self.refresh)
        self.resize(self.sizeHint())  # the toolkit would keep to two thirds of the screen
        self.refresh()

    def sizeHint(self) -> QSize:
        """Wide enough for a marking on a line, and no larger than the window it belongs to."""
        parent = self.parentWidget()
        wide, high = (900, 560) if parent is None else (parent.width() - 60, parent.height() - 80)
        return QSize(min(900, wide), min(560, high))

    def _list(self) -> QListWidget:
        made = QListWidget(self)
        made.setFont(text_font())
        made.setWordWrap(True)
        made.setSpacing(2)
        made.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        made.currentItemChanged.connect(lambda item, _: self._go_to(item))
        made.itemClicked.connect(self._go_to)
        return made

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        title = QLabel(self.windowTitle(), self)
        title.setFont(heading_font())
        title.setWordWrap(True)
        title.setFixedWidth(self.options.width())
        side.addWidget(title)
        side.addWidget(self.options)
        side.addStretch(1)
        lists = QVBoxLayout()
        self.heads: list[QLabel] = []
        for made, share in ((self.written, 3), (self.left_out, 2)):
            head = QLabel(self)
            head.setFont(text_font(italic=True))
            head.setBuddy(made)
            self.heads.append(head)
            lists.addWidget(head, 0)
            lists.addWidget(made, share)
        across = QHBoxLayout()
        across.setSpacing(18)
        across.addLayout(side)
        across.addLayout(lists, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(16, 12, 16, 12)
        layout.addLayout(across, 1)
        layout.addLayout(self._foot())

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 0)
        self.progress.setTextVisible(False)
        self.progress.setFixedWidth(110)
        self.progress.setAccessibleName(self.tr("It is being tried"))
        self.words = QLabel(self)
        self.words.setFont(text_font())
        self.words.setWordWrap(True)
        foot.addWidget(self.progress)
        foot.addWidget(self.words, 1)
        self.stop_button = button(self.tr("S&top"), self.cancel, self)
        self.write_button = button(self.tr("&Write into the score"), self.write, self)
        for one in (self.stop_button, self.write_button, button(self.tr("Close"), self.reject, self)):
            foot.addWidget(one)
        return foot

    # trying

    def refresh(self) -> None:
        """Try it beside the window, and show what would be written."""
        self._give_up()
        derived = self.session.derived
        if derived is None:
            return
        stop = self.stop = Stop(self._progress.emit)
        document = self._before = self.session.document
        analysis = derived.analysis
        wishes = wishes_of(self.options.values())
        self.marked = None
        self._show_state(is_busy=True)
        self._on_progress(self.tr("It is being tried …"))

        def job() -> MarkedUp:
            stop.tell(tr("It is being tried …"))
            return mark_up(document, wishes, analysis, told=stop.tell)

        self.workers.submit(job, partial(self._on_tried, stop), partial(self._on_failed, stop))

    def cancel(self) -> None:
        """Stop trying."""
        self._give_up()
        self._show_state(is_busy=False)
        self.words.setText(self.tr("Stopped. Choose again what to write."))

    def _give_up(self) -> None:
        if self.stop is not None:
            self.stop.asked = True
            self.stop = None

    def _show_state(self, *, is_busy: bool) -> None:
        self.progress.setVisible(is_busy)
        self.stop_button.setVisible(is_busy)
        self.write_button.setEnabled(not is_busy and self.marked is not None and bool(self.marked.written))

    def _on_progress(self, words: str) -> None:
        self.words.setText(words)

    def _on_tried(self, stop: Stop, marked: MarkedUp) -> None:
        if stop.asked:
            return
        self.stop = None
        self.marked = marked
        places = marked.written_at or (None,) * len(marked.written)
        self._fill(self.written, [(shown(edit), at) for edit, at in zip(marked.written, places, strict=True)])
        self._fill(self.left_out, [(_left_words(one), one.at) for one in marked.left])
        counts = (len(marked.written), len(marked.left))
        self.heads[0].setText(self.tr("What will be written ({0})").format(counts[0]))
        self.heads[1].setText(self.tr("What is left out, and why ({0})").format(counts[1]))
        for widget in (self.left_out, self.heads[1]):
            widget.setVisible(bool(marked.left))
        self._show_state(is_busy=False)
        self.words.setText("" if marked.written else self.tr("With these options nothing is written."))

    def _on_failed(self, stop: Stop, error: Exception) -> None:
        if stop.asked or isinstance(error, NoLongerWantedError):
            return
        self.stop = None
        self._show_state(is_busy=False)
        is_sentence = isinstance(error, StopwrightError | OSError)
        fault = f"{type(error).__name__}: {error}"
        self.words.setText(str(error) if is_sentence else told("It could not be tried ({fault}).", fault=fault))

    @staticmethod
    def _fill(shown_list: QListWidget, lines: Sequence[tuple[str, Position | None]]) -> None:
        shown_list.blockSignals(True)
        shown_list.clear()
        for words, at in lines:
            item = QListWidgetItem(words)
            item.setData(_PLACE, at)
            shown_list.addItem(item)
        shown_list.blockSignals(False)

    def _go_to(self, item: QListWidgetItem | None) -> None:
        """The score follows the chosen line."""
        at = item.data(_PLACE) if item is not None else None
        score = self.session.score
        if at is not None and score is not None:
            self.session.move_to(int(at.onset * score.ticks), at.nth)

    # writing

    def write(self) -> None:
        """Write all of it as one edit, and close."""
        marked, before = self.marked, self._before
        if marked is None or self.session.document is not before:
            return
        organ = self.session.organ
        name = told("mark up for {organ}", organ=organ.name) if organ is not None else self.tr("mark up")
        self.session.derived_ready.disconnect(self.refresh)
        self.session.undo.push(EditCommand(self.session, name, before, marked.document))
        self.said.emit(
            told("{count} markings are written or changed; one undo takes them back.", count=len(marked.written))
        )
        self.accept()

    def done(self, result: int) -> None:
        """Closed: what is being tried is given up."""
        self._give_up()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        """The same."""
        self._give_up()
        super().closeEvent(event)


def _left_words(one: LeftOut) -> str:
    """``bar 12: “Sw. Oboe”, why``."""
    place = told("bar {bar}", bar=one.at.measure) + ": " if one.at is not None else ""
    text = f"“{one.text}”, " if one.text else ""
    return f"{place}{text}{shown(one.why)}"
