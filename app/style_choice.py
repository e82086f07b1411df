"""Which house style the markings are proved against: none, a built-in one, or a file of the user's own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.session import Session
from app.translation import tr
from core.errors import StopwrightError
from core.files import write_bytes
from core.markings.house_style import BUILT_IN, read_style, style_text


class StyleChoice(ChoiceBox):
    """Offers the house styles; what is chosen is in force at once.

    Signals:
        chosen: another style holds (argument: its name, or the path of its file; empty for none).
    """

    chosen = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.style_name = ""
        self.setFont(text_font())
        self.setAccessibleName(self.tr("House style"))
        self.setToolTip(self.tr("Prove the wording of the markings against a house style."))
        self._fill()
        self.currentIndexChanged.connect(lambda _: self.take(str(self.currentData() or "")))

    def _fill(self) -> None:
        """Offer the styles; the one that holds is shown."""
        choices = [("", self.tr("No house style"))]
        choices += [(name, self.tr("Style: {0}").format(tr(read_style(name).title))) for name in BUILT_IN]
        if self.style_name and self.style_name not in BUILT_IN:
            choices.append((self.style_name, self.tr("Style: {0}").format(Path(self.style_name).name)))
        self.offer(choices)
        self.blockSignals(True)
        self.setCurrentIndex(max(self.findData(self.style_name), 0))
        self.blockSignals(False)

    def ask_for_file(self) -> None:
        """Let the user name a style file of her own."""
        path, _ = QFileDialog.getOpenFileName(
            self, self.tr("A house style"), "", self.tr("House styles (*.yaml *.yml)")
        )
        if path:
            self.take(path)

    def copy_to_file(self) -> None:
        """Write the built-in style that holds (else the English one) to a file, which is the style from then on."""
        name = self.style_name if self.style_name in BUILT_IN else BUILT_IN[0]
        path, _ = QFileDialog.getSaveFileName(
            self, self.tr("Copy the style to"), f"{name}-house.yaml", self.tr("House styles (*.yaml *.yml)")
        )
        if not path:
            return
        try:
            write_bytes(path, style_text(name).encode("utf-8"))
        except StopwrightError as error:
            self.session.failed.emit(str(error))
        else:
            self.take(path)

    def take(self, name: str) -> None:
        """Let a style hold, by its name or its file; one that cannot be used is told, and what held before stays."""
        try:
            style = read_style(name) if name else None
        except StopwrightError as error:
            self.session.failed.emit(str(error))
        else:
            self.style_name = name
            self.session.use(replace(self.session.aids, style=style))
            self.chosen.emit(name)
        self._fill()
