"""Pages that take a while: made beside the window with progress, anew at each change of their options."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QImage
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QProgressBar, QScrollArea, QVBoxLayout, QWidget

from app.engraving import NoLongerWantedError
from app.lettering import heading_font, text_font
from app.links import LinkLabel, link_label
from app.palette import Colours
from app.paper_view import PagesView, write_pages
from app.papers_options import Field, Options
from app.papers_printable import Printable
from app.papers_stop import Stop
from app.said import button
from app.translation import told
from app.workers import Workers
from core.errors import StopwrightError
from core.export.paper import PaperSize

OPTIONS_WIDTH, WIDEST_OPTIONS = 232, 360


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be made.

    Attributes:
        values: of the options, by their names.
        stop: whom to tell how far it is, and who may want it no more.
    """

    values: dict[str, Any]
    size: PaperSize
    large: bool
    stop: Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """Something that can be done with what was made; a line under the options.

    Attributes:
        fits: whether it can be done with these pages.
    """

    words: str
    do: Callable[[Printable], str]
    fits: Callable[[Printable], bool] = lambda _: True


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One sort of pages.

    Attributes:
        title: until they are made.
        file_name: proposed for saving, without an ending.
        begin: called here for each making; what it gives is run beside the window, and may raise StopwrightError.
        can_be_large: whether there is a large print of them.
    """

    title: str
    file_name: str
    begin: Callable[[], Callable[[Asked], Printable]]
    fields: tuple[Field, ...] = ()
    deeds: tuple[Deed, ...] = field(default=())
    can_be_large: bool = True


class PapersView(PagesView):
    """The view of one task."""

    _progress = Signal(str)

    def __init__(
        self,
        task: Task,
        workers: Workers,
        colours: Colours,
        parent: QWidget | None = None,
        *,
        size: PaperSize = PaperSize.A4,
    ) -> None:
        self.task = task
        self.workers = workers
        self.stop: Stop | None = None
        self.deeds: list[tuple[Deed, LinkLabel]] = []
        self._note = ""  # what was done with the pages, told until other options are chosen
        super().__init__(task.file_name, colours, parent)
        self.setWindowTitle(task.title)
        self.large.setVisible(task.can_be_large)
        self.options = Options(task.fields, self)
        self._lay_out_options()
        self._lay_out_progress()
        self._progress.connect(self._on_progress)
        self.options.changed.connect(self._on_choice)
        self.size_box.blockSignals(True)
        self.size_box.setCurrentIndex(max(0, self.size_box.findData(size)))
        self.size_box.blockSignals(False)
        self.refresh()

    def _lay_out_options(self) -> None:
        side = QWidget(self)
        lines = QVBoxLayout(side)
        lines.setContentsMargins(14, 12, 10, 12)
        lines.setSpacing(8)
        title = QLabel(self.task.title, side)
        title.setFont(heading_font())
        title.setWordWrap(True)
        lines.addWidget(title)
        lines.addWidget(self.options)
        for deed in self.task.deeds:
            link = link_label(f"→ {deed.words}", partial(self._do, deed), side)
            link.hide()
            lines.addWidget(link)
            self.deeds.append((deed, link))
        lines.addStretch(1)
        room = QScrollArea(self)
        room.setFrameShape(QFrame.Shape.NoFrame)
        room.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        room.setWidgetResizable(True)
        room.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        # a box's words do not wrap, and are longer in some languages
        room.setFixedWidth(max(OPTIONS_WIDTH, min(side.minimumSizeHint().width() + 4, WIDEST_OPTIONS)))
        room.setWidget(side)
        room.setVisible(bool(self.task.fields or self.task.deeds))
        self.middle.insertWidget(0, room)

    def _lay_out_progress(self) -> None:
        self.busy = QWidget(self)
        row = QHBoxLayout(self.busy)
        row.setContentsMargins(14, 4, 14, 0)
        self.progress = QProgressBar(self.busy)
        self.progress.setRange(0, 0)
        self.progress.setTextVisible(False)
        self.progress.setFixedWidth(120)
        self.progress.setAccessibleName(self.tr("It is being made"))
        self.doing = QLabel(self.busy)
        self.doing.setFont(text_font())
        self.stop_button = button(self.tr("S&top"), self.cancel, self)
        self.again_button = button(self.tr("&Make it"), self.refresh, self)
        row.addWidget(self.progress)
        row.addWidget(self.doing, 1)
        row.addWidget(self.stop_button)
        row.addWidget(self.again_button)
        layout = self.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertWidget(1, self.busy)

    # making

    def _on_choice(self) -> None:
        self._note = ""
        self.refresh()

    def refresh(self) -> None:
        """Make the pages anew, beside the window; what was being made is given up."""
        self._give_up()
        stop = self.stop = Stop(self._progress.emit)
        asked = Asked(values=self.options.values(), size=self.size_of_paper, large=self.large.isChecked(), stop=stop)
        self._show_state(is_busy=True)
        self._on_progress(self.tr("It is being made …"))
        try:
            make = self.task.begin()
        except StopwrightError as error:
            self._on_failed(stop, error)
            return
        self.workers.submit(lambda: _wanted(make, asked), partial(self._on_made, stop), partial(self._on_failed, stop))

    def cancel(self) -> None:
        """Stop the making; what was shown before stays."""
        self._give_up()
        self._show_state(is_busy=False)
        self.words.setText(self.tr("Stopped."))
        self.busy.show()
        self.doing.setText(self.tr("It was not made with these options."))
        self.again_button.show()
        self.again_button.setFocus()

    def _forget_pages(self) -> None:
        """It is closed: nothing more is painted or made."""
        self._give_up()
        self._images = iter(())

    def _give_up(self) -> None:
        if self.stop is not None:
            self.stop.asked = True
            self.stop = None

    def _show_state(self, *, is_busy: bool) -> None:
        self.busy.setVisible(is_busy)
        self.progress.setVisible(is_busy)
        self.stop_button.setVisible(is_busy)
        self.again_button.hide()
        for one in (self.save_button, self.print_button):
            one.setEnabled(not is_busy and self.pages is not None)
        for deed, link in self.deeds:
            link.setVisible(not is_busy and self.pages is not None and deed.fits(self.pages))

    def _on_progress(self, words: str) -> None:
        self.doing.setText(words)

    def _on_made(self, stop: Stop, pages: Printable) -> None:
        if stop.asked:
            return
        self.stop = None
        self.show_printable(pages)
        if self._note:
            self.words.setText(f"{self._note} {self.words.text()}")
        self._show_state(is_busy=False)

    def _on_failed(self, stop: Stop, error: Exception) -> None:
        if stop.asked or isinstance(error, NoLongerWantedError):
            return
        self.stop = None
        self._show_state(is_busy=False)
        is_sentence = isinstance(error, StopwrightError | OSError)
        fault = f"{type(error).__name__}: {error}"
        self.words.setText(str(error) if is_sentence else told("It could not be made ({fault}).", fault=fault))

    # beside the window: pages of a score, and files

    def _begin_painting(self) -> None:
        if self.pages is not None and self.pages.is_slow:
            self._paint_beside(self._images)
        else:
            super()._begin_painting()

    def _paint_beside(self, images: Iterator[QImage]) -> None:
        self.workers.submit(lambda: next(images, None), partial(self._on_painted, images), lambda _: None)

    def _on_painted(self, images: Iterator[QImage], image: QImage | None) -> None:
        if image is not None and images is self._images and self.is_painting:
            self._put(image)
            self._paint_beside(images)

    def save_to(self, path: str) -> bool:
        """Begin to write the pages; what came of it is said. False where there is nothing to write yet."""
        if self.pages is None or self.stop is not None:
            return False
        pages, where = self.pages, Path(path)
        stop = self.stop = Stop(self._progress.emit)
        self._show_state(is_busy=True)
        self._on_progress(self.tr("It is being saved …"))
        self.workers.submit(
            lambda: write_pages(pages, where), partial(self._on_saved, stop, where.name), partial(self._on_failed, stop)
        )
        return True

    def _on_saved(self, stop: Stop, name: str, _outcome: None) -> None:
        if not stop.asked:
            self.stop = None
            self._show_state(is_busy=False)
            self._say(self.tr("Saved {0}").format(name))

    def _do(self, deed: Deed) -> None:
        if self.pages is not None and self.stop is None:
            said = deed.do(self.pages)
            if said:
                self._note = said
                self._say(said)

    def done(self, result: int) -> None:
        """Closed: what is being made is given up."""
        self._forget_pages()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        """The same."""
        self._forget_pages()
        super().closeEvent(event)


def _wanted(make: Callable[[Asked], Printable], asked: Asked) -> Printable:
    if asked.stop.asked:  # it waited behind another that took long
        raise NoLongerWantedError
    return make(asked)
