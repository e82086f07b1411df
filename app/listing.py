"""The window's actions about stop lists and specification pages: paste, open, take over, print."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt

from app.commands import EditCommand
from app.paste_view import PasteView
from app.translation import catalogue
from core.document import OrganFile
from core.organ.ids import slug

if TYPE_CHECKING:
    from app.paper_view import PaperView
    from app.window import Window
    from core.export.paper import Paper

LISTS = (".txt",)


def is_list(path: str) -> bool:
    """Whether a file is a plain stop list by its name."""
    return Path(path).suffix.lower() in LISTS


class Listing(QObject):
    """Opens the views and takes over what they give."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.view: PasteView | None = None

    def paste(self) -> PasteView:
        """The paste view with what the clipboard holds."""
        view = self._open_view()
        view.paste()
        return view

    def open_list(self, path: str) -> PasteView:
        """The paste view with a text file."""
        view = self._open_view()
        view.open_file(path)
        return view

    def _open_view(self) -> PasteView:
        if self.view is not None:
            return self.view
        view = PasteView(self.window.colours, self.window)
        view.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        view.taken.connect(self.take)
        view.finished.connect(self._forget)
        self.view = view
        view.open()
        return view

    def _forget(self) -> None:
        self.view = None

    def take(self, file: OrganFile) -> None:
        """The organ becomes the open one, as one step of undo; it has no file until it is saved."""
        before = self.session.document
        after = replace(before, organs=(*before.organs, file), chosen=len(before.organs))
        name = self.tr("take over the stop list of {0}").format(file.organ.name)
        self.session.undo.push(EditCommand(self.session, name, before, after))
        self.window.organ.setVisible(True)
        self.window.actions_by_id["fold_organ"].setChecked(True)
        self.window.say(self.tr("{0} is open; it has no file until you save it.").format(file.organ.name))

    def show_page(self) -> PaperView | None:
        """The specification page of the chosen organ, before it is saved or printed."""
        organ = self.session.organ
        if organ is None:
            self.window.say(self.tr("Open an organ first; its specification page is made of it."))
            return None
        from app.paper_view import PaperView
        from core.export.specification_page import specification_page

        def make(large: bool) -> Paper:
            return specification_page(organ, large=large, catalogue=catalogue())

        page = PaperView(make, slug(organ.name), self.window.colours, self.window)
        page.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        page.told.connect(self.window.say)
        page.open()
        return page
