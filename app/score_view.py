"""The score: engraved pages, one below the other or in one strip, with the registration lane under each system."""

from __future__ import annotations

from time import perf_counter

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QWidget

from app.engraver import Engraver
from app.lettering import text_font
from app.overlay import LANE_ROOM, LANE_TOP, finding_spots, lane_gap, lane_step
from app.overlay_painting import OverlayPainter
from app.page_desk import Piece
from app.palette import Colours
from app.score_places import ScorePlaces
from app.session import Session
from app.strip import JOIN
from app.tiles import SIDE, Tiles, tiles_over
from app.title_block import TitleLine, lay_out, paint_title
from core.score.source import Source

_PAINT_BUDGET = 0.008
_IDLE_BUDGET = 0.004
_AHEAD = 700


class ScoreView(ScorePlaces):
    """Shows the session's score.

    Signals:
        first_page_shown: the first page of a score has been painted.
    """

    first_page_shown = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.colours = colours
        self.engraver = Engraver(self)
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
        for bar in (self.verticalScrollBar(), self.horizontalScrollBar()):
            bar.valueChanged.connect(self._on_scrolled)

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
        self.strip.clear()
        self.tiles.clear()
        self.title, self.title_height = [], 0.0
        self.page_count = 1 if score else 0
        self._shown_first = False
        if score:
            self.engraver.load(score, lane_gap(LANE_ROOM))
        self.verticalScrollBar().setValue(0)
        self.horizontalScrollBar().setValue(0)
        self.set_ranges()
        self.viewport().update()

    def show_strip(self, is_strip: bool) -> None:
        """One strip, or pages; the cursor stays in view."""
        if is_strip == self.is_strip:
            return
        self.is_strip = is_strip
        self.set_ranges()
        self.show_cursor(in_middle=True)
        self.zoom_changed.emit(self.zoom_per_cent)
        self.viewport().update()

    def _on_prepared(self, headings: list[dict[str, object]], bars: int) -> None:
        self.title, self.title_height = lay_out(headings)
        self.set_ranges()

    def _on_loaded(self, pages: int) -> None:
        self.page_count = pages
        self._set_ranges_in_place()
        self.engraver.look_at(self.first_visible() + 1)

    def _on_page(self, page: int, bars: tuple[int, int], body: bytes) -> None:
        self.strip.put(page - 1, self.store.put(page - 1, bars, body))
        self.tiles.forget(page - 1)
        if self.is_strip:
            self._set_ranges_in_place()
        if page - 1 in self.visible_pages():
            self.viewport().update()
        if self._is_cursor_wanted and self._cursor_page() == page - 1:
            self.show_cursor()
        self._idle.start()

    def _set_ranges_in_place(self) -> None:
        """There is more or less of it than was thought: what is at the view's beginning stays there."""
        corner = QPointF(0, 0)
        held = self.held_at(corner) if self.is_strip and self.horizontalScrollBar().value() > 0 else None
        self.set_ranges()
        self.hold(held, corner)

    def _on_page_failed(self, page: int) -> None:
        self.failed_pages.add(page - 1)
        self.viewport().update()

    def _on_derived(self) -> None:
        derived = self.session.derived
        self.store.set_derived(derived)
        self.lane_height = LANE_TOP + lane_step(len(self.store.lines)) * (len(self.store.lines) + 0.6)
        if self.is_strip:
            self._set_ranges_in_place()
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

    def show_cursor(self, *, in_middle: bool = False) -> None:
        """Scroll so that the cursor's system is in view; on the strip, so that some of what follows is too."""
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
        side, width = self.horizontalScrollBar(), self.viewport().width()
        if in_middle or not 20 < rect.x() < width - 20:
            side.setValue(round(side.value() + rect.x() - width / (3 if self.is_strip else 2)))

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
        if self.is_strip:
            band = QRectF(0, self.strip_top, self.viewport().width(), self.strip_height * self.scale)
            painter.fillRect(band, self.colours.colour("page"))
        for piece in self.pieces():
            late = self._paint_piece(painter, piece, deadline) or late
        if self.is_strip:
            self._paint_lane_names(painter)
        painter.end()
        if late:
            self._idle.start()
        elif not self._shown_first and self.store.is_ready(0):
            self._shown_first = True
            QTimer.singleShot(0, self, self.first_page_shown.emit)

    def _paint_piece(self, painter: QPainter, piece: Piece, deadline: float) -> bool:
        """Paint a page or a system; True where something of it is still missing."""
        page, area = piece.page, piece.area
        if not self.is_strip:
            painter.fillRect(area.translated(2, 2), self.colours.colour("rule", 120))
            painter.fillRect(area, self.colours.colour("page"))
        if self.failed_pages & {page, -1}:
            self._say(painter, area, self.tr("This page could not be engraved."))
            return False
        # a page is made ready in an idle moment, never here: that takes longer than a frame
        if not self.store.is_ready(page):
            self._say(painter, area, self.tr("Being engraved …"))
            return self.store.has(page)
        if page == 0 and piece.system in (None, 0) and self.title_height:
            area = area.adjusted(0, min(0.0, piece.origin.y() - self.title_height * self.scale - area.top()), 0, 0)
        late = self._paint_tiles(painter, piece, area, deadline)
        painter.save()
        painter.translate(piece.origin)
        # on the strip a sign stands in the room between two systems
        clip = area.adjusted(0, 0, JOIN * self.scale if self.is_strip else 0, 0)
        painter.setClipRect(clip.translated(-piece.origin))
        self._paint_title(painter, piece)
        self._paint_overlay(painter, piece)
        painter.restore()
        return late

    def _paint_title(self, painter: QPainter, piece: Piece) -> None:
        if piece.page == 0 and piece.system in (None, 0):
            derived = self.session.derived
            marked = frozenset(derived.index.by_credit) if derived is not None else frozenset()
            painter.translate(0, -self.title_height * self.scale)
            paint_title(painter, self.title, self.colours, self.scale, marked)
            painter.translate(0, self.title_height * self.scale)

    def _paint_tiles(self, painter: QPainter, piece: Piece, area: QRectF, deadline: float) -> bool:
        late = False
        corner = self._corner(piece)
        shown = area.intersected(QRectF(self.viewport().rect())).translated(-corner)
        painter.save()
        painter.setClipRect(area)
        for key in tiles_over(piece.page, shown):
            tile = self.tiles.get(key)
            if tile is None and perf_counter() < deadline:
                tile = self._make_tile(key)
            if tile is None:
                late = True
                self.tiles.stretch(painter, piece.page, corner)
                continue
            painter.drawPixmap(corner + QPointF(key[1] * SIDE, key[2] * SIDE), tile)
        painter.restore()
        return late

    def _corner(self, piece: Piece) -> QPointF:
        """Where a page's tiles begin: its corner with the title block."""
        return piece.origin - QPointF(0, self.title_height * self.scale if piece.page == 0 else 0.0)

    def _make_tile(self, key: tuple[int, int, int]) -> QPixmap | None:
        compiled = self.store.compiled(key[0])
        if compiled is None:
            return None
        return self.tiles.paint(key, compiled, self.colours, self.title_height if key[0] == 0 else 0.0)

    def _paint_overlay(self, painter: QPainter, piece: Piece) -> None:
        page = piece.page
        overlay = self.store.overlay(page)
        over = OverlayPainter(painter, self.colours, self.scale)
        finding, places = self.session.finding_at(self.session.finding), self.store.places(page)
        if finding is not None and places is not None and places.index is not None:
            for spot in finding_spots(places, places.index, finding):
                over.spot(spot)
        if overlay is not None:
            over.paint(overlay, self.session.finding, self.session.marking)
        painter.setClipping(self.is_strip is False)
        if overlay is not None:
            drop = self.lane_drop(piece) * self.scale
            painter.translate(0, drop)
            over.lane([row for row in overlay.rows if piece.system in (None, row.system)], names=not self.is_strip)
            painter.translate(0, -drop)
        self.paint_over(over, page)
        cursor = self._cursor_on_page()
        if cursor is not None and cursor[0] == page and self._is_on(piece, cursor[2]):
            over.cursor(*cursor[1:])

    def paint_over(self, over: OverlayPainter, page: int) -> None:
        """More that stands over a page, for those who add to this view."""

    def _is_on(self, piece: Piece, y: float) -> bool:
        """Whether a height of its page belongs to a piece."""
        found = self.piece_with(piece.page, y)
        return found is not None and found.system == piece.system

    def _paint_lane_names(self, painter: QPainter) -> None:
        """On the strip the names of the lane's lines stay at the view's left edge."""
        lines = self.store.lines
        if lines:
            y = self.strip_top + (self.strip.above + self.strip.below + LANE_TOP) * self.scale
            painter.save()
            painter.translate(0, y)
            over = OverlayPainter(painter, self.colours, self.scale)
            over.lane_names([line.name for line in lines], lane_step(len(lines)))
            painter.restore()

    def _say(self, painter: QPainter, rect: QRectF, words: str) -> None:
        painter.setFont(text_font(1.1, italic=True))
        painter.setPen(self.colours.colour("faint"))
        where = rect.intersected(QRectF(self.viewport().rect()))
        painter.drawText(where, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_ahead(self) -> None:
        """In idle moments: tiles in view and a little beyond, a few milliseconds a turn."""
        end = perf_counter() + _IDLE_BUDGET
        room = QRectF(self.viewport().rect())
        room.adjust(-_AHEAD / 2, -_AHEAD / 2, _AHEAD, _AHEAD)
        for piece in self.pieces(_AHEAD / 2, _AHEAD):
            page = piece.page
            if not self.store.has(page):
                continue
            if not self.store.is_ready(page):
                self.store.compiled(page)
                self.viewport().update()
                return
            corner = self._corner(piece)
            area = piece.area.united(QRectF(corner, QSizeF(1, 1))) if piece.system == 0 and page == 0 else piece.area
            for key in tiles_over(page, area.intersected(room).translated(-corner)):
                if self.tiles.get(key) is None:
                    self.tiles.set_look(self.scale, self.devicePixelRatioF(), self.colours)
                    self._make_tile(key)
                    if perf_counter() > end:
                        self.viewport().update()
                        return
        self._idle.stop()
        self.tiles.drop_old()
        self.viewport().update()
