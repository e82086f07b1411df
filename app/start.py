"""Opens the window; where there is none to be had, writes the same view as files and says where."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from app.startup_check import explain, has_display, library_in, missing_libraries
from core.cli.output import warn
from core.errors import StopwrightError

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from core.export.paper import Paper, PaperSize

DEFAULT_FOLDER = "demo-output"


def open_window(
    score: str | Path | None = None, organs: Sequence[str | Path] = (), *, pictures: str | None = None
) -> int:
    """Show a score and organs in the window.

    Args:
        score: the score's file, or None for the opening page.
        organs: specifications or stop lists; the first is chosen.
        pictures: write pictures into this folder instead of opening the window.

    Raises:
        StopwrightError: the toolkit cannot be loaded.
    """
    shows = pictures is None and has_display()
    if shows and "QT_QPA_PLATFORM" not in os.environ and not os.environ.get("WAYLAND_DISPLAY"):
        missing = missing_libraries()
        if missing:
            warn(explain(missing) + " The view is written as pictures instead.")
            shows = False
    if not shows:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
    app = make_application()
    if shows:
        return _run(app, score, organs)
    return _write(app, score, organs, Path(pictures or DEFAULT_FOLDER))


def make_application() -> QApplication:
    """The application with our fonts.

    Raises:
        StopwrightError: a library of the system is missing, or no font can be used.
    """
    try:
        from PySide6.QtCore import Qt, qInstallMessageHandler
        from PySide6.QtGui import QGuiApplication
        from PySide6.QtWidgets import QApplication

        from app.lettering import load_fonts, missing_signs
    except ImportError as error:
        missing = library_in(error)
        if not missing:
            raise
        raise StopwrightError(explain(missing)) from error
    qInstallMessageHandler(_on_toolkit_message)
    rounding = Qt.HighDpiScaleFactorRoundingPolicy.PassThrough
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(rounding)
    running = QApplication.instance()
    app = running if isinstance(running, QApplication) else QApplication(sys.argv[:1])
    app.setApplicationName("Stopwright")
    sys.excepthook = _on_fault
    load_fonts()
    blank = missing_signs()
    if blank:
        warn(f"No font here can draw these signs: {blank}. The program's own fonts could not be loaded.")
    return app


def make_pdf(paper: Paper, path: str | Path, size: PaperSize) -> int:
    """Write a paper as a PDF file; no window and no display is needed.

    Raises:
        StopwrightError: the toolkit cannot be loaded, or the file not be written.
    """
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app = make_application()
    from app.paper import write_pdf

    write_pdf(paper, path, size)
    app.processEvents()
    return 0


def _on_fault(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """A fault of the program: one sentence where the user looks, the rest in the log."""
    from PySide6.QtWidgets import QApplication

    from app.translation import told

    warn("".join(traceback.format_exception(kind, error, trace)))
    for widget in QApplication.topLevelWidgets():
        banner = getattr(widget, "banner", None)
        if banner is not None:
            template = "Something went wrong in the program ({kind}); what was open is still here."
            banner.say(told(template, kind=kind.__name__))


def _on_toolkit_message(_kind: object, _context: object, message: str) -> None:
    if "propagateSizeHints" not in message:  # said by the offscreen platform at every window
        warn(message)


def _run(app: QApplication, score: str | Path | None, organs: Sequence[str | Path]) -> int:
    from PySide6.QtCore import QTimer

    from app.recovery import Recovery
    from app.settings import load_settings, save_settings, stored
    from app.translation import speak
    from app.window import Window

    store = stored()
    settings = load_settings(store)
    speak(settings.language)
    window = Window(settings)
    if settings.maximized:
        window.showMaximized()
    else:
        window.show()
    recovery = window.recovery = Recovery(window)

    def begin() -> None:
        if not recovery.offer() and (score is not None or organs):
            window.open(score, [str(organ) for organ in organs])

    QTimer.singleShot(0, window, begin)
    status = app.exec()
    window.shut_down()
    save_settings(store, window.settings)
    return int(status)


def _write(app: QApplication, score: str | Path | None, organs: Sequence[str | Path], folder: Path) -> int:
    from app.pictures import write_pictures
    from app.settings import load_settings, stored
    from app.translation import speak
    from app.window import Window

    speak(load_settings(stored()).language)
    window = Window()
    if score is not None or organs:
        window.open(score, [str(organ) for organ in organs])
    index = write_pictures(window, folder)
    window.close()
    app.processEvents()
    print(f"There is no display here. The view is in {index} and {folder / 'window.png'}.")
    return 0
