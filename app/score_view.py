"""The score: engraved pages on paper, one below the other, with the registration lane under each system."""

from __future__ import annotations

from time import perf_counter

from PySide6.QtCore import QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QWidget

from app.engraver import Engraver
from app.lettering import text_font
from app.overlay import LANE_ROOM, LANE_TOP, finding_spots, lane_gap, lane_step
from app.overlay_painting import OverlayPainter
from app.page_desk import PageDesk
from app.page_store import PageStore
from app.palette import Colours
from app.session import Session
from app.tiles import SIDE, Tiles, tiles_over
from app.title_block import TitleLine, lay_out, paint_title
from core.score.source import Source

_PAINT_BUDGET = 0.008
_IDLE_BUDGET = 0.004
_AHEAD = 700


class ScoreView(PageDesk):
    """Shows the session's score.

    Signals:
        first_page_shown: the first page of a score has been painted.
    """

    first_page_shown = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.engraver = Engraver(self)
        self.store = PageStore()
        self.tiles = Tiles()
        self.title: list[TitleLine] = []
        self.failed_pages: set[int] = set()
        self._shown_first = False
        self._engraved = b""
        self._path: str | None = None
        self._is_cursor_wanted = False  # its page is not engraved yet
        self._idle = QTimer(self)
        self._idle.setInterval(0)
        self._idle.timeout.connect(self._paint_ahead)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setMouseTracking(True)
        self.setAccessibleName(self.tr("Score"))
        self.setAccessibleDescription(self.tr("Engraved pages. Left and right arrow move from beat to beat."))
        self._connect()

    def _connect(self) -> None:
        self.engraver.prepared.connect(self._on_prepared)
        self.engraver.loaded.connect(self._on_loaded)
        self.engraver.page_ready.connect(self._on_page)
        self.engraver.page_failed.connect(self._on_page_failed)
        self.session.changed.connect(self._on_changed)
        self.session.source_read.connect(self.engrave)
        self.session.derived_ready.connect(self._on_derived)
        self.session.cursor_moved.connect(self._on_cursor)
        self.session.finding_chosen.connect(lambda _: self.viewport().update())
        self.session.marking_chosen.connect(lambda _: self.viewport().update())
        self.verticalScrollBar().valueChanged.connect(self._on_scrolled)

    # what comes from the session and the engraver

    def _on_changed(self, is_other_score: bool) -> None:
        if is_other_score:
            self.engrave(self.session.document.source)

    def engrave(self, source: Source | None) -> None:
        """Begin to engrave a score, unless it is the one on the desk already."""
        score = source.xml if source is not None else b""
        if score == self._engraved:
            return
        is_same_piece = bool(score) and source is not None and source.path == self._path and self.page_count > 0
        self._engraved = score
        self._path = source.path if source is not None else None
        self.failed_pages.clear()
        if is_same_piece:  # an edit: the old pages stay until the new ones come
            self.engraver.load(score, lane_gap(LANE_ROOM))
            return
        self.store.clear()
        self.tiles.clear()
        self.title, self.title_height = [], 0.0
        self.page_count = 1 if score else 0
        self._shown_first = False
        if score:
            self.engraver.load(score, lane_gap(LANE_ROOM))
        self.verticalScrollBar().setValue(0)
        self.set_ranges()
        self.viewport().update()

    def _on_prepared(self, headings: list[dict[str, object]], bars: int) -> None:
        self.title, self.title_height = lay_out(headings)
        self.set_ranges()

    def _on_loaded(self, pages: int) -> None:
        self.page_count = pages
        self.set_ranges()
        self.engraver.look_at(self.first_visible() + 1)

    def _on_page(self, page: int, bars: tuple[int, int], body: bytes) -> None:
        self.store.put(page - 1, bars, body)
        self.tiles.forget(page - 1)
        top, bottom = self.page_rect(page - 1).top(), self.page_rect(page - 1).bottom()
        if bottom > 0 and top < self.viewport().height():
            self.viewport().update()
        if self._is_cursor_wanted and self._cursor_page() == page - 1:
            self.show_cursor()
        self._idle.start()

    def _on_page_failed(self, page: int) -> None:
        self.failed_pages.add(page - 1)
        self.viewport().update()

    def _on_derived(self) -> None:
        derived = self.session.derived
        self.store.set_derived(derived)
        self.viewport().update()

    def _on_cursor(self) -> None:
        self.show_cursor()
        self.viewport().update()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = colours
        self.tiles.clear()
        self.viewport().update()

    def _on_scrolled(self) -> None:
        self.engraver.look_at(self.first_visible() + 1)
        self._idle.start()

    def cursor_rect(self) -> QRectF | None:
        """Where the cursor stands in the viewport, from the system's top to its lane's end."""
        found = self._cursor_on_page()
        if found is None:
            return None
        page, x, top, bottom = found
        rect = self.page_rect(page)
        lift = self.title_height if page == 0 else 0.0
        return QRectF(
            rect.x() + x * self.scale,
            rect.y() + (top + lift) * self.scale,
            1,
            (bottom - top) * self.scale,
        )

    def _cursor_page(self) -> int | None:
        """The page with the cursor's bar, as far as it has come."""
        score = self.session.score
        if score is None or not score.bars:
            return None
        return self.store.page_of(score.bar_at(self.session.cursor.onset).index)

    def _cursor_on_page(self) -> tuple[int, float, float, float] | None:
        score = self.session.score
        page = self._cursor_page()
        if score is None or page is None:
            return None
        bar = score.bar_at(self.session.cursor.onset).index
        places = self.store.places(page) if page is not None else None
        if places is None or bar not in places.bars:
            return None
        system = places.systems[places.bars[bar].system]
        x = places.x_of(bar, self.session.cursor.onset)
        lines = len(self.store.lines)
        lane = LANE_TOP + lane_step(lines) * lines
        return page, x or 0.0, min(system.top, system.staves[0][0]) - 60, system.bottom + lane

    def show_cursor(self) -> None:
        """Scroll so that the cursor's system is in view."""
        rect = self.cursor_rect()
        score = self.session.score
        self._is_cursor_wanted = rect is None
        if rect is None:
            if score is not None and score.bars and self.page_count:
                bar = score.bar_at(self.session.cursor.onset).index
                page = self.store.page_of(bar)
                guess = page if page is not None else bar * self.page_count // max(len(score.bars), 1)
                self.engraver.look_at(guess + 1)
            return
        room = self.viewport().height()
        bar_ = self.verticalScrollBar()
        if rect.top() < 0 or rect.bottom() > room:
            middle = rect.center().y() - room / 2
            target = rect.top() - 30 if rect.height() > room - 60 else middle
            bar_.setValue(round(bar_.value() + target))
        side = self.horizontalScrollBar()
        if not 20 < rect.x() < self.viewport().width() - 20:
            side.setValue(round(side.value() + rect.x() - self.viewport().width() / 2))

    # painting

    def paintEvent(self, event: QPaintEvent) -> None:
        """Copy tiles, then paint what stands over them."""
        painter = QPainter(self.viewport())
        painter.fillRect(self.viewport().rect(), self.colours.colour("desk"))
        if self.page_count == 0:
            return
        self.tiles.set_look(self.scale, self.devicePixelRatioF(), self.colours)
        deadline = perf_counter() + _PAINT_BUDGET
        late = False
        for page in self.visible_pages():
            late = self._paint_page(painter, page, deadline) or late
        painter.end()
        if late:
            self._idle.start()
        elif not self._shown_first and self.store.is_ready(0):
            self._shown_first = True
            QTimer.singleShot(0, self, self.first_page_shown.emit)

    def _paint_page(self, painter: QPainter, page: int, deadline: float) -> bool:
        """Paint one page; True where something of it is still missing."""
        rect = self.page_rect(page)
        painter.fillRect(rect.translated(2, 2), self.colours.colour("rule", 120))
        painter.fillRect(rect, self.colours.colour("page"))
        if self.failed_pages & {page, -1}:
            self._say(painter, rect, self.tr("This page could not be engraved."))
            return False
        # a page is made ready in an idle moment, never here: that takes longer than a frame
        if not self.store.is_ready(page):
            self._say(painter, rect, self.tr("Being engraved …"))
            return self.store.has(page)
        late = self._paint_tiles(painter, page, rect, deadline)
        painter.save()
        painter.setClipRect(rect)
        painter.translate(rect.topLeft())
        if page == 0:
            derived = self.session.derived
            marked = frozenset(derived.index.by_credit) if derived is not None else frozenset()
            paint_title(painter, self.title, self.colours, self.scale, marked)
            painter.translate(0, self.title_height * self.scale)
        self._paint_overlay(painter, page)
        painter.restore()
        return late

    def _paint_tiles(self, painter: QPainter, page: int, rect: QRectF, deadline: float) -> bool:
        late = False
        shown = rect.intersected(QRectF(self.viewport().rect())).translated(-rect.topLeft())
        painter.save()
        painter.setClipRect(rect)
        for key in tiles_over(page, shown):
            tile = self.tiles.get(key)
            if tile is None and perf_counter() < deadline:
                tile = self._make_tile(key)
            if tile is None:
                late = True
                continue
            painter.drawPixmap(QPointF(rect.x() + key[1] * SIDE, rect.y() + key[2] * SIDE), tile)
        painter.restore()
        return late

    def _make_tile(self, key: tuple[int, int, int]) -> QPixmap | None:
        compiled = self.store.compiled(key[0])
        if compiled is None:
            return None
        return self.tiles.paint(key, compiled, self.colours, self.title_height if key[0] == 0 else 0.0)

    def _paint_overlay(self, painter: QPainter, page: int) -> None:
        overlay = self.store.overlay(page)
        over = OverlayPainter(painter, self.colours, self.scale)
        finding, places = self.session.finding_at(self.session.finding), self.store.places(page)
        if finding is not None and places is not None and places.index is not None:
            for spot in finding_spots(places, places.index, finding):
                over.spot(spot)
        if overlay is not None:
            over.paint(overlay, self.session.finding, self.session.marking)
        cursor = self._cursor_on_page()
        if cursor is not None and cursor[0] == page:
            over.cursor(*cursor[1:])

    def _say(self, painter: QPainter, rect: QRectF, words: str) -> None:
        painter.setFont(text_font(1.1, italic=True))
        painter.setPen(self.colours.colour("faint"))
        where = rect.intersected(QRectF(self.viewport().rect()))
        painter.drawText(where, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_ahead(self) -> None:
        """In idle moments: tiles in view and a little beyond, a few milliseconds a turn."""
        end = perf_counter() + _IDLE_BUDGET
        room = QRectF(self.viewport().rect()).adjusted(0, -_AHEAD / 2, 0, _AHEAD)
        for page in range(max(0, self.first_visible() - 1), self.page_count):
            rect = self.page_rect(page)
            if rect.top() > room.bottom():
                break
            if not self.store.has(page) or not rect.intersects(room):
                continue
            if not self.store.is_ready(page):
                self.store.compiled(page)
                self.viewport().update()
                return
            for key in tiles_over(page, rect.intersected(room).translated(-rect.topLeft())):
                if self.tiles.get(key) is None:
                    self.tiles.set_look(self.scale, self.devicePixelRatioF(), self.colours)
                    self._make_tile(key)
                    if perf_counter() > end:
                        self.viewport().update()
                        return
        self._idle.stop()
        self.viewport().update()
