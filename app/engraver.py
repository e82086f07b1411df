"""The window's side of the engraving: a child process that is asked for pages, restarted when it falls.

Pages are asked for one at a time, newest wish first, then outwards from where the reader is; only answers of
the newest revision count.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from core.score.drawing import Page

CHILD = Path(__file__).with_name("engraving_child.py")
_FALLS_ALLOWED = 2
_LENGTH_DIGITS = 10
_SENT_AT_ONCE = 1 << 18  # bytes


class Engraver(QObject):
    """Engraves one score at a time.

    Signals:
        prepared: headings of the title block, number of bars.
        loaded: number of pages.
        page_ready: page number (from 1), its first and last bar, raw JSON bytes.
        page_failed: page number, or 0 for the whole score.
        progress: pages ready, pages in all.
    """

    prepared = Signal(object, int)
    loaded = Signal(int)
    page_ready = Signal(int, object, object)
    page_failed = Signal(int)
    progress = Signal(int, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._ending: list[QProcess] = []
        self._buffer = bytearray()
        self._revision = 0
        self._score = b""
        self._outgoing = memoryview(b"")
        self._gap = 4
        self._reset()

    def _reset(self) -> None:
        self.pages = 0
        self._done: set[int] = set()
        self._failed: dict[int, int] = {}
        self._asked: int | None = None
        self._near = 1
        self._falls = 0
        self._is_loaded = False

    def load(self, score: bytes, gap: int) -> None:
        """Engrave a score (its XML bytes); `gap` is the room below each system in the engraver's units."""
        is_idle = self._process is not None and self._is_loaded and self._asked is None
        self._revision += 1
        self._score, self._gap = score, gap
        self._reset()
        if is_idle:
            self._send_load()
        else:
            self._restart()

    def look_at(self, page: int) -> None:
        """The reader is at this page: it and its neighbours come first."""
        self._near = max(1, page)
        self._ask_next()

    def stop(self) -> None:
        """End the child; nothing more is answered."""
        self._let_go()
        for process in self._ending:
            process.blockSignals(True)
            process.waitForFinished(1000)
            process.deleteLater()
        self._ending.clear()

    def _let_go(self) -> None:
        """Tell the child to end, without waiting for it: a large one takes its time."""
        process, self._process = self._process, None
        if process is not None:
            process.readyReadStandardOutput.disconnect()
            process.readyReadStandardError.disconnect()
            process.started.disconnect()
            process.finished.disconnect()
            process.errorOccurred.disconnect()
            process.bytesWritten.disconnect()
            if process.state() is QProcess.ProcessState.NotRunning:
                process.deleteLater()
                return
            self._ending.append(process)
            # a method, which the toolkit holds weakly: a closure would hold this object, die in the middle of the
            # process's destruction, and so have this object delete the process, its child, a second time
            process.finished.connect(self._drop_ended)
            process.kill()

    def _drop_ended(self) -> None:
        for process in [one for one in self._ending if one.state() is QProcess.ProcessState.NotRunning]:
            self._ending.remove(process)
            process.deleteLater()

    def _restart(self) -> None:
        self._let_go()
        self._buffer.clear()
        process = QProcess(self)
        process.setProcessChannelMode(QProcess.ProcessChannelMode.SeparateChannels)
        process.readyReadStandardOutput.connect(self._on_output)
        process.readyReadStandardError.connect(process.readAllStandardError)
        process.finished.connect(self._on_finished)
        process.errorOccurred.connect(self._on_error)
        process.bytesWritten.connect(self._send_more)
        process.started.connect(self._send_load)
        self._process = process
        process.start(sys.executable, ["-I", str(CHILD)])

    def _send_load(self) -> None:
        request = {"do": "load", "revision": self._revision, "size": len(self._score), "gap": self._gap}
        self._outgoing = memoryview(json.dumps(request).encode() + b"\n" + self._score)
        self._send_more()

    def _send_more(self) -> None:
        """Hand on the next piece of what is to be sent: a long score at once would hold the window up."""
        process = self._process
        if process is not None and self._outgoing and process.bytesToWrite() < _SENT_AT_ONCE:
            process.write(bytes(self._outgoing[:_SENT_AT_ONCE]))
            self._outgoing = self._outgoing[_SENT_AT_ONCE:]

    def _write(self, data: bytes) -> None:
        if self._process is not None:
            self._process.write(data)

    def _on_output(self) -> None:
        if self._process is None:
            return
        self._buffer += bytes(self._process.readAllStandardOutput().data())
        while len(self._buffer) >= _LENGTH_DIGITS:
            length = int(self._buffer[:_LENGTH_DIGITS])
            if len(self._buffer) < _LENGTH_DIGITS + length:
                return
            body = bytes(self._buffer[_LENGTH_DIGITS : _LENGTH_DIGITS + length])
            del self._buffer[: _LENGTH_DIGITS + length]
            self._answer(body)

    def _answer(self, body: bytes) -> None:
        # pages are big: their head tells enough, the rest is read when they are painted
        head = _head(body)
        if head.get("revision") != self._revision:
            return
        kind = head["is"]
        if kind == "prepared":
            content = json.loads(body)
            self.prepared.emit(content["headings"], content["bars"])
        elif kind == "slice":
            self.page_ready.emit(1, (head["first"], head["last"]), body)
        elif kind == "loaded":
            self._is_loaded = True
            self.pages = json.loads(body)["pages"]
            self.loaded.emit(self.pages)
            self._ask_next()
        elif kind == "page":
            self._page_came(int(head["page"]), (head["first"], head["last"]), body)
        elif kind == "failed":
            self.page_failed.emit(0)

    def _page_came(self, page: int, bars: tuple[int, int], body: bytes) -> None:
        self._asked = None
        self._done.add(page)
        self.page_ready.emit(page, bars, body)
        self.progress.emit(len(self._done), self.pages)
        QTimer.singleShot(0, self, self._ask_next)

    def _ask_next(self) -> None:
        if not self._is_loaded or self._asked is not None or self._process is None:
            return
        page = self._next_wish()
        if page is None:
            return
        self._asked = page
        self._write(json.dumps({"do": "page", "revision": self._revision, "page": page}).encode() + b"\n")

    def _next_wish(self) -> int | None:
        """From the reader's page outwards: the page, +1, +2, −1, +3, −2 and so on."""
        near = min(self._near, self.pages)
        order = [near, near + 1, near + 2, near - 1, near + 3]
        for distance in range(2, self.pages + 1):
            order += [near - distance, near + distance + 2]
        for page in order:
            if 1 <= page <= self.pages and page not in self._done and self._failed.get(page, 0) < 2:
                return page
        return None

    def _on_error(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._process = None
            self.page_failed.emit(0)

    def _on_finished(self) -> None:
        """The child fell: start another; what made it fall twice is given up."""
        fallen = self._asked
        self._falls += 1
        self._asked = None
        if fallen is None:
            if self._falls >= _FALLS_ALLOWED:
                self.page_failed.emit(0)
                return
        else:
            self._failed[fallen] = self._failed.get(fallen, 0) + 1
            if self._failed[fallen] >= _FALLS_ALLOWED:
                self.page_failed.emit(fallen)
        self._is_loaded = False
        self._restart()


def _head(body: bytes) -> dict[str, Any]:
    """The first plain fields of an answer without reading the lists after them."""
    text = body[:200].decode(errors="replace")
    head: dict[str, Any] = {}
    for name in ("is", "revision", "page", "first", "last"):
        start = text.find(f'"{name}":')
        if start < 0:
            continue
        value = text[start + len(name) + 3 :].split(",", 1)[0].rstrip("}")
        head[name] = value.strip('"') if name == "is" else int(value)
    return head


def read_answer(body: bytes) -> Page:
    """A whole page answer as draw lists."""
    page: Page = json.loads(body)
    return page
