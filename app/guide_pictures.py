"""The pictures of the user guide, from the real window: ``python -m app.guide_pictures FOLDER`` (``make pictures``)."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.builtin import demo_organ, demo_piece
from app.pictures import is_complete, png, wait_until
from app.settings import Settings
from app.start import make_application
from app.window import Window
from core.files import make_folder, write_bytes

WIDTH, HEIGHT = 1280, 800
LIST = """St Osyth, Marlingford (invented)

GREAT ORGAN
Open Diapason 8
Stopped Diapason 8
Principal 4
Fifteenth 2
Mixture 19.22.26 III

SWELL ORGAN (enclosed)
Gedackt 8
Salicional 8
Voix Celestes (tenor C) 8
Oboe 8
Grumfelt 8
Tremulant

PEDAL ORGAN
Bourdon 16

COUPLERS
Swell to Great, Swell to Pedal, Great to Pedal
"""


def main(folder: Path, names: Iterable[str] | None = None) -> None:
    """Write pictures into a folder: those named, else every one."""
    make_folder(folder)
    running = QApplication.instance()
    app = running if isinstance(running, QApplication) else make_application()
    for name in SCENES if names is None else names:
        scene = SCENES[name]
        window = Window(Settings(width=WIDTH, height=HEIGHT))
        window.show()
        if name != "opening":
            _open_demo(window)
        shown = scene(window)
        _settle(window)
        write_bytes(folder / f"{name}.png", png(shown.grab().toImage()))
        for widget in QApplication.topLevelWidgets():
            if widget is not window:
                widget.close()
        window.session.undo.setClean()
        window.session.drop_unsaved_organs()
        window.close()
        window.deleteLater()
        app.processEvents()


def _open_demo(window: Window) -> None:
    organ = demo_organ()
    window.open(demo_piece(), [str(organ)] if organ else [])
    wait_until(lambda: is_complete(window))


def _settle(window: Window) -> None:
    wait_until(lambda: not window.workers.is_busy)
    wait_until(lambda: False, 0.6)


def _do(window: Window, action: str) -> None:
    window.actions_by_id[action].trigger()
    _settle(window)


# ---------------------------------------------------------------- scenes
def opening(window: Window) -> QWidget:
    """The three ways in."""
    return window


def desk(window: Window) -> QWidget:
    """The whole window with the built-in piece."""
    return window


def writing(window: Window) -> QWidget:
    """A marking being written, with what it draws."""
    _do(window, "write")
    field = QApplication.focusWidget()
    if field is not None:
        QTest.keyClicks(field, "Sw. soft strings 8, box closed")
    return window


def remark(window: Window) -> QWidget:
    """A remark opened, with its reason and remedy."""
    for _ in range(4):
        _do(window, "next_finding")
    return window


def paste(window: Window) -> QWidget:
    """A pasted stop list beside what was understood."""
    QApplication.clipboard().setText(LIST)
    _do(window, "paste_list")
    _settle(window)
    return _newest(window)


def colours(window: Window) -> QWidget:
    """The sounds that the organ can make."""
    _do(window, "colours")
    return window


def needs(window: Window) -> QWidget:
    """What the piece asks of an organ."""
    _do(window, "show_needs")
    return window


def sheet(window: Window) -> QWidget:
    """The registration sheet before it is printed."""
    _do(window, "sheet")
    wait_until(lambda: not window.workers.is_busy)
    wait_until(lambda: False, 2.0)
    return _newest(window)


def _newest(window: Window) -> QWidget:
    """A view that was opened over the window; the window itself where there is none."""
    others = [w for w in QApplication.topLevelWidgets() if w.isVisible() and w is not window]
    large = [w for w in others if w.width() > WIDTH // 3]
    return large[-1] if large else window


SCENES: dict[str, Callable[[Window], QWidget]] = {
    "opening": opening,
    "desk": desk,
    "writing": writing,
    "remark": remark,
    "paste": paste,
    "colours": colours,
    "needs": needs,
    "sheet": sheet,
}

if __name__ == "__main__":
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "docs/pictures"))
