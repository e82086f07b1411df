"""Keeps the engraved pages: what came from the engraver, and the few that are ready to paint."""

from __future__ import annotations

from collections import OrderedDict
from typing import Any

from app.engraver import read_answer
from app.lane import LaneLine
from app.overlay import Overlay, make_overlay
from app.page_painting import CompiledPage, Glyphs, compile_page
from app.page_places import PagePlaces
from app.session import Derived

READY_AT_ONCE = 12


class PageStore:
    """Pages by number, from 0."""

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """Forget everything: another score."""
        self._raw: dict[int, bytes] = {}
        self._glyphs = Glyphs()
        self._spans: dict[int, tuple[int, int]] = {}
        self._compiled: OrderedDict[int, CompiledPage] = OrderedDict()
        self._places: dict[int, PagePlaces] = {}
        self._overlays: dict[int, Overlay] = {}
        self.derived: Derived | None = None
        self.lines: tuple[LaneLine, ...] = ()

    def put(self, page: int, bars: tuple[int, int], body: bytes) -> list[dict[str, Any]]:
        """A page came from the engraver; returns its systems as drawn."""
        self._raw[page] = body
        self._spans[page] = bars
        self._forget(page)
        # signs travel only with the first page that has them, so each page is read in order of arrival
        content = read_answer(body)
        self._glyphs.learn(content["glyphs"])
        systems: list[dict[str, Any]] = content["systems"]
        return systems

    def set_derived(self, derived: Derived | None) -> None:
        """Another analysis: places and overlays are made anew, the engraving stays."""
        self.derived = derived
        self.lines = derived.lines if derived is not None else ()
        self._places.clear()
        self._overlays.clear()

    def _forget(self, page: int) -> None:
        self._compiled.pop(page, None)
        self._places.pop(page, None)
        self._overlays.pop(page, None)

    def has(self, page: int) -> bool:
        """Whether the page has come."""
        return page in self._raw

    def is_ready(self, page: int) -> bool:
        """Whether the page can be painted at once."""
        return page in self._compiled

    def page_of(self, bar: int) -> int | None:
        """The page that holds a bar, as far as is known."""
        for page, (first, last) in self._spans.items():
            if first <= bar <= last:
                return page
        return None

    def compiled(self, page: int) -> CompiledPage | None:
        """The page ready to paint; made now where it was not yet."""
        if page in self._compiled:
            self._compiled.move_to_end(page)
            return self._compiled[page]
        body = self._raw.get(page)
        if body is None:
            return None
        made = compile_page(read_answer(body), self._glyphs)
        self._compiled[page] = made
        while len(self._compiled) > READY_AT_ONCE:
            oldest = next(iter(self._compiled))
            self._forget(oldest)
        return made

    def places(self, page: int) -> PagePlaces | None:
        """The places of a page."""
        if page not in self._places:
            compiled = self.compiled(page)
            if compiled is None:
                return None
            self._places[page] = PagePlaces(compiled, self.derived.index if self.derived else None)
        return self._places[page]

    def overlay(self, page: int) -> Overlay | None:
        """What stands on the page besides the engraving, once the piece is worked through."""
        if self.derived is None:
            return None
        if page not in self._overlays:
            places = self.places(page)
            if places is None:
                return None
            self._overlays[page] = make_overlay(places, self.derived.analysis, self.derived.index, self.lines)
        return self._overlays[page]
