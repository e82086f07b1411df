"""How long the window takes from the last key of a marking to new findings, and how long it ever stands still.

Usage: python tests/bench/window.py [BARS ...]

For each size: loading, scrolling and editing, offscreen, with real keys. "Gap" is the longest time between two turns
of the event loop; the main thread's own time within the longest turns is given beside it, for on a busy machine
a turn also waits for its processor.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections.abc import Callable
from types import TracebackType

from bench_reading import write_score
from PySide6.QtCore import Qt, QTimer, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from run import ORGAN, WRITTEN

from app.lettering import load_fonts
from app.settings import Settings
from app.window import Window
from core.document import Document, OrganFile
from core.organ.reading import load_organ
from core.score.source import source_from_bytes


def document_of(bars: int) -> Document:
    """A piece of so many bars on the sample organ."""
    organ = OrganFile(path=None, text="", organ=load_organ(ORGAN))
    return Document(source=source_from_bytes(write_score(bars).encode()), organs=(organ,), chosen=0)


def wait_for(ready: Callable[[], bool], seconds: float) -> None:
    """Let events happen until something is so."""
    end = time.monotonic() + seconds
    while not ready():
        if time.monotonic() > end:
            raise TimeoutError
        QApplication.processEvents()
        time.sleep(0.002)


class Gaps:
    """The longest turns of the event loop, by the clock and by the main thread's own time, in milliseconds."""

    def __enter__(self) -> Gaps:
        self.clock, self.own = [0.0], [0.0]
        self._last = (time.perf_counter(), time.thread_time())
        self._timer = QTimer()
        self._timer.setInterval(1)
        self._timer.timeout.connect(self._tick)
        self._timer.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._timer.stop()

    def _tick(self) -> None:
        now = (time.perf_counter(), time.thread_time())
        self.clock.append(1000 * (now[0] - self._last[0]))
        self.own.append(1000 * (now[1] - self._last[1]))
        self._last = now

    def __str__(self) -> str:
        clock, own = sorted(self.clock)[-2:], sorted(self.own)[-2:]
        return f"longest gaps {clock[1]:.0f} and {clock[0]:.0f} ms (own time {own[1]:.0f} and {own[0]:.0f} ms)"


def settle(window: Window, seconds: float = 120) -> None:
    """Wait until nothing is left to engrave or to work out."""
    engraver = window.score.engraver
    wait_for(lambda: not window.workers.is_busy and 0 < engraver.pages <= len(engraver._done), seconds)


def run_for(seconds: float) -> None:
    """Let events happen."""
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        QApplication.processEvents()
        time.sleep(0.001)


def write(window: Window, text: str, bar: int) -> tuple[float, float]:
    """Type a marking and press Enter: milliseconds until the findings are shown, by the clock and all threads' own."""
    session = window.session
    score = session.score
    assert score is not None
    session.move_to(score.bars[bar].onset)
    run_for(0.05)
    window.score.writing.write(text[0])
    card = window.score.writing.card
    for letter in text[1:]:
        QTest.keyClicks(card.field, letter)
        run_for(0.05)
    card.list.setCurrentRow(-1)
    done: list[float] = []
    count = session.undo.count()
    told = session.derived_ready.connect(lambda: done.append(time.perf_counter()))
    clock, own = time.perf_counter(), time.process_time()
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    end = clock + 30
    while not (done and session.undo.count() > count) and time.perf_counter() < end:
        QApplication.processEvents()
        time.sleep(0.002)
    session.derived_ready.disconnect(told)
    return 1000 * (time.perf_counter() - clock), 1000 * (time.process_time() - own)


def measure(bars: int) -> None:
    """Load, scroll and edit a piece of so many bars."""
    window = Window(Settings(width=1280, height=800))
    window.show()
    shown: list[float] = []
    window.score.first_page_shown.connect(lambda: shown.append(time.perf_counter()))
    document = document_of(bars)
    run_for(0.5)
    begun = time.perf_counter()
    with Gaps() as loading:
        window.session.set_document(document)
        wait_for(lambda: bool(shown) and window.session.derived is not None, 120)
        found = time.perf_counter() - begun
        settle(window)
    print(f"{bars} bars: first page {shown[0] - begun:.2f} s, findings {found:.2f} s; {loading}")
    with Gaps() as scrolling:
        for step in range(120):
            window.score.verticalScrollBar().setValue(step * 60)
            run_for(1 / 60)
    print(f"  scrolling: {scrolling}")
    times = []
    with Gaps() as editing:
        for turn, text in enumerate(WRITTEN * 2):
            times.append(write(window, text, bars // 2 + 3 * turn))
            run_for(0.3)
    clock, own = sorted(t for t, _ in times), sorted(t for _, t in times)
    print(f"  Enter to findings: median {clock[len(clock) // 2]:.0f}, worst {clock[-1]:.0f} ms by the clock;"
          f" {own[len(own) // 2]:.0f} and {own[-1]:.0f} ms of the process's own time; {editing}")  # fmt: skip
    settle(window)
    window.session.undo.setClean()
    window.close()
    QApplication.processEvents()


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("bars", type=int, nargs="*", default=[300, 2000])
    arguments = parser.parse_args()
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    qInstallMessageHandler(lambda *_: None)
    with tempfile.TemporaryDirectory() as folder:
        for kind in ("CONFIG", "STATE", "CACHE", "DATA"):
            os.environ[f"XDG_{kind}_HOME"] = folder
        application = QApplication([])
        load_fonts()
        for bars in arguments.bars:
            measure(bars)
        application.quit()


if __name__ == "__main__":
    main()
