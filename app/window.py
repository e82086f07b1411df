"""The window: four places round one cursor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QLabel,
    QMainWindow,
    QMenu,
    QProgressBar,
    QSplitter,
    QStackedWidget,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from app.actions import ACTIONS, MENU_TITLES
from app.banner import Banner
from app.beat_panel import BeatPanel
from app.builtin import demo_piece, sample_organs
from app.colours_desk import ColoursDesk
from app.colours_panel import ColoursPanel
from app.disc_watch import DiscWatch
from app.doing import Doing
from app.drawings import drawing
from app.language_menu import LanguageMenu
from app.lettering import set_text_size, text_font
from app.listing import Listing, is_list
from app.manners import Manners
from app.newer import Newer
from app.organ_panel import OrganPanel
from app.palette import DARK, LIGHT, Colours, as_palette, style_sheet
from app.papers import Papers
from app.pencil import Pencil
from app.proof_panel import ProofPanel
from app.recovery import Recovery
from app.saving import Saving
from app.score_desk import ScoreDesk
from app.session import Session
from app.settings import Settings
from app.ways import Ways
from app.welcome import Welcome
from app.workers import Workers

ORGAN_WIDTH, PROOF_WIDTH, BEAT_HEIGHT = 290, 310, 116
NARROW = 1100
SCORES = (".musicxml", ".xml", ".mxl")
ORGANS = (".yaml", ".yml", ".txt")


class Window(QMainWindow):
    """One window for one piece."""

    def __init__(self, settings: Settings | None = None) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.colours: Colours = DARK if self.settings.dark else LIGHT
        set_text_size(self.settings.text_size)
        self.workers = Workers(self)
        self.session = Session(self.workers, self)
        self.setAcceptDrops(True)
        self.setWindowTitle("Stopwright")
        self._make_places()
        self.saving = Saving(self)
        self.listing = Listing(self)
        self.newer = Newer(self)
        self.pencil = Pencil(self)
        self.watch = DiscWatch(self)
        self.papers = Papers(self)
        self.doing = Doing(self)
        self.ways = Ways(self)
        self.manners = Manners(self)
        self.actions_by_id: dict[str, QAction] = {}
        self._make_menus()
        self._make_status()
        self._apply_colours()
        self.resize(self.settings.width, self.settings.height)
        self.recovery: Recovery | None = None  # made where the window is the user's own
        self.session.changed.connect(self._on_changed)
        self.session.failed.connect(self._on_failed)
        self.session.derived_ready.connect(self._on_derived)
        self.score.engraver.progress.connect(self._on_progress)
        self.score.zoom_changed.connect(self._on_zoom)
        self.score.first_page_shown.connect(self.session.start_deriving)
        self.score.engraver.page_failed.connect(lambda _: self.session.start_deriving())
        self.session.reading.connect(self._on_reading)
        self.show_opening()

    # making

    def _make_places(self) -> None:
        self.score = ScoreDesk(self.session, self.colours, self)
        self.score.is_strip = self.settings.strip
        self.score.by_bracket = self.settings.brackets
        self.score.said.connect(self.say)
        self.organ = OrganPanel(self.session, self.colours, self)
        self.organ.wants_organ.connect(lambda: self.doing.do_open_organ())
        self.organ.head.wants_changes.connect(lambda: self.doing.do_organ_changes())
        self.organ.head.wants_pencil.connect(lambda: self.doing.do_pencil_list())
        self.proof = ProofPanel(self.session, self.colours, self)
        self.proof.by_bracket = self.settings.brackets
        if self.settings.style:
            self.proof.by_style.take(self.settings.style)
        self.proof.by_style.chosen.connect(self._on_style)
        self.beat = BeatPanel(self.session, self.colours, self)
        self.beat.wants_marking.connect(lambda: self.doing.do_write())
        self.centre = QStackedWidget(self)
        self.centre.addWidget(self.score)
        self.across = QSplitter(Qt.Orientation.Horizontal, self)
        self.colour_book = ColoursPanel(self.session, self.colours, self)
        self.colours_desk = ColoursDesk(self, self.colour_book)
        self.organ.wants_colours.connect(self.colours_desk.show)
        for widget in (self.organ, self.colour_book, self.centre, self.proof):
            self.across.addWidget(widget)
        self.across.setStretchFactor(2, 1)
        self.down = QSplitter(Qt.Orientation.Vertical, self)
        self.down.addWidget(self.across)
        self.down.addWidget(self.beat)
        self.down.setStretchFactor(0, 1)
        self.banner = Banner(self.colours, self)
        middle = QWidget(self)
        layout = QVBoxLayout(middle)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.banner)
        layout.addWidget(self.down, 1)
        self.setCentralWidget(middle)
        is_narrow = self.settings.width < NARROW
        organ, proof = (ORGAN_WIDTH - 80, PROOF_WIDTH - 80) if is_narrow else (ORGAN_WIDTH, PROOF_WIDTH)
        self.organ.setMinimumWidth(190)
        self.proof.setMinimumWidth(200)
        self.across.setSizes([organ, organ, self.settings.width - organ - proof, proof])
        self.down.setSizes([700, BEAT_HEIGHT])

    def _make_menus(self) -> None:
        menus: dict[str, QMenu] = {}
        for name, title in MENU_TITLES.items():
            menus[name] = self.menuBar().addMenu(self.tr(title))
        undo = self.session.undo.createUndoAction(self, self.tr("Undo:"))
        redo = self.session.undo.createRedoAction(self, self.tr("Redo:"))
        undo.setShortcut(QKeySequence("Ctrl+Z"))
        redo.setShortcut(QKeySequence("Ctrl+Shift+Z"))
        menus["edit"].addActions([undo, redo])
        for spec in ACTIONS:
            if spec.apart:
                menus[spec.menu].addSeparator()
            action = QAction(self.tr(spec.title), self)
            action.setShortcuts([QKeySequence(key) for key in spec.keys])
            action.setStatusTip(self.tr(spec.tip))
            action.setCheckable(spec.checkable)
            if spec.checkable:
                action.setChecked(self._is_on(spec.id))
            action.triggered.connect(lambda _=False, name=spec.id: getattr(self.doing, f"do_{name}")())
            menus[spec.menu].addAction(action)
            self.actions_by_id[spec.id] = action
        menus["view"].addMenu(LanguageMenu(self))
        menus["organ"].addMenu(self.manners.console)

    def _is_on(self, name: str) -> bool:
        """Whether a remembered choice is on; what folds away is shown at first."""
        settings = self.settings
        return {"dark": settings.dark, "brackets": settings.brackets, "strip": settings.strip}.get(name, True)

    def _make_status(self) -> None:
        self.progress = QProgressBar(self)
        self.progress.setFixedWidth(140)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(self.tr("Pages engraved"))
        self.progress.hide()
        self.zoom_label = QLabel(self)
        self.zoom_label.setFont(text_font(0.95))
        self.zoom_label.setContentsMargins(6, 0, 14, 2)
        self.zoom_label.setAccessibleName(self.tr("Size of the score"))
        self.statusBar().addPermanentWidget(self.progress)
        self.statusBar().addPermanentWidget(self.zoom_label)
        self.statusBar().setSizeGripEnabled(False)

    def set_strip(self, is_strip: bool) -> None:
        """The score in one strip, or in pages."""
        self.settings = replace(self.settings, strip=is_strip)
        self.score.show_strip(is_strip)

    def set_brackets(self, by_bracket: bool) -> None:
        """Whether a solo is ended by a bracket, or by a marking."""
        self.settings = replace(self.settings, brackets=by_bracket)
        self.proof.by_bracket = self.score.by_bracket = by_bracket
        self.proof.refresh()

    def set_language(self, language: str) -> None:
        """Remember the window's language (empty: the system's); it is in force from the next start."""
        self.settings = replace(self.settings, language=language)

    def _on_style(self, name: str) -> None:
        self.settings = replace(self.settings, style=name)

    # looks

    def set_dark(self, dark: bool) -> None:
        """Light ink on dark paper, or the other way."""
        self.settings = replace(self.settings, dark=dark)
        self.colours = DARK if dark else LIGHT
        self._apply_colours()
        for place in (self.score, self.organ, self.colour_book, self.proof, self.beat, self.banner, self.ways.needs):
            place.set_colours(self.colours)

    def _apply_colours(self) -> None:
        palette = as_palette(self.colours)
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.setPalette(palette)
            app.setFont(text_font())
        QToolTip.setFont(text_font())
        self.menuBar().setFont(text_font())  # the platform gives menus a font of their own
        for menu in self.menuBar().findChildren(QMenu):
            menu.setFont(text_font())
        self.statusBar().setFont(text_font())
        self.setPalette(palette)
        self.setStyleSheet(style_sheet(self.colours))
        for spec in ACTIONS:
            self.actions_by_id[spec.id].setIcon(drawing(spec.icon, self.colours))

    # opening

    def show_opening(self) -> None:
        """The page with the ways in, in the score's place."""
        welcome = Welcome(self.settings.recent, sample_organs(), has_demo=demo_piece() is not None, parent=self)
        welcome.way_chosen.connect(self.ways.choose)
        welcome.file_chosen.connect(lambda path: self.open(path))
        welcome.organ_chosen.connect(lambda path: self.open(None, [path]))
        welcome.list_chosen.connect(lambda: self.doing.do_paste_list())
        welcome.organ_wanted.connect(lambda: self.doing.do_new_organ())
        welcome.demo_chosen.connect(lambda: self.doing.do_open_demo())
        self._drop_welcome()
        self.centre.addWidget(welcome)
        self.centre.setCurrentWidget(welcome)

    def _drop_welcome(self) -> None:
        for number in reversed(range(self.centre.count())):
            old = self.centre.widget(number)
            if isinstance(old, Welcome):
                self.centre.removeWidget(old)
                old.deleteLater()

    def open(
        self,
        score: str | Path | None,
        organs: list[str] | None = None,
        then: Callable[[], None] | None = None,
    ) -> None:
        """Open a score and organs, then call `then`."""
        self.statusBar().clearMessage()
        self.banner.say("")
        self.session.open(score, organs or [], partial(self._opened, score, then))

    def _opened(self, score: str | Path | None, then: Callable[[], None] | None) -> None:
        if score is not None:
            self.settings = self.settings.with_recent(str(Path(score).resolve()))
        if then is not None:
            then()

    def _on_reading(self, is_reading: bool) -> None:
        if is_reading:
            self.statusBar().showMessage(self.tr("Reading the file …"))

    def _on_changed(self, is_other_score: bool) -> None:
        if is_other_score and self.session.document.source is not None:
            self.centre.setCurrentWidget(self.score)
            self._drop_welcome()
            self.score.setFocus()
        source = self.session.document.source
        name = Path(source.path).name if source is not None and source.path else ""
        organ = self.session.organ
        parts = [part for part in (name, organ.name if organ else "") if part]
        self.setWindowTitle(" · ".join([*parts, "Stopwright"]))
        self._on_zoom(self.score.zoom_per_cent)
        if source is not None:
            self.statusBar().showMessage(self.tr("Reading the markings …"))

    def _on_derived(self) -> None:
        self.statusBar().clearMessage()

    def _on_progress(self, ready: int, pages: int) -> None:
        self.progress.setMaximum(pages)
        self.progress.setValue(ready)
        self.progress.setVisible(ready < pages)
        self.progress.setToolTip(self.tr("{0} of {1} pages engraved").format(ready, pages))

    def _on_zoom(self, per_cent: int) -> None:
        self.zoom_label.setText(f"{per_cent} %" if self.session.document.source is not None else "")

    def _on_failed(self, words: str) -> None:
        self.statusBar().clearMessage()
        self.banner.say(words)

    def say(self, words: str) -> None:
        """A sentence for the user, where it does not interrupt."""
        self.statusBar().showMessage(words.splitlines()[0] if words else "")
        self.statusBar().setToolTip(words)

    # drag and drop

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Scores and specifications are welcome anywhere."""
        if any(_kind_of(url.toLocalFile()) for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open what was dropped."""
        paths = [url.toLocalFile() for url in event.mimeData().urls()]
        scores = [path for path in paths if _kind_of(path) == "score"]
        organs = [path for path in paths if _kind_of(path) == "organ" and not is_list(path)]
        lists = [path for path in paths if is_list(path)]
        if scores and not self.saving.may_lose_changes():
            return
        if scores or organs:
            event.acceptProposedAction()
            self.open(scores[0] if scores else None, organs)
        if lists:
            event.acceptProposedAction()
            self.listing.open_list(lists[0])

    def places(self) -> list[QWidget]:
        """The four places, in the order F6 goes round; the colour book may stand in the organ's."""
        centre = self.centre.currentWidget() or self.score
        return [self.organ, self.colour_book, centre, self.proof, self.beat]

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A small window leaves the opening page its room."""
        super().resizeEvent(event)
        self.ways.fit()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about unsaved changes; then end what runs beside the window."""
        if not self.saving.may_lose_changes():
            event.ignore()
            return
        self.manners.note()
        self.shut_down()
        if self.recovery is not None:
            self.recovery.close()
        super().closeEvent(event)

    def shut_down(self) -> None:
        """Stop the engraver and the workers."""
        self.score.engraver.stop()
        self.papers.close()
        self.workers.close()


def _kind_of(path: str) -> str:
    """Whether a file is a score's or an organ's by its name, else empty."""
    suffix = Path(path).suffix.lower()
    if suffix in SCORES:
        return "score"
    return "organ" if suffix in ORGANS else ""
