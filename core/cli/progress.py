"""Says on standard error what is being done, when it takes over half a second and somebody is looking."""

from __future__ import annotations

import sys
import threading
from types import TracebackType

_PATIENCE = 0.5  # seconds
_WIDTH = 24


class Progress:
    """A bar over the stages of a command: ``with Progress(4) as progress: progress.begin("reading")``.

    Nothing is printed before half a second has gone, nor where standard error is no terminal.
    """

    def __init__(self, stages: int) -> None:
        self._stages = stages
        self._done = -1
        self._words = ""
        self._shown = False
        self._lock = threading.Lock()
        self._timer = threading.Timer(_PATIENCE, self._patience_ends)
        self._timer.daemon = True

    def __enter__(self) -> Progress:
        if sys.stderr.isatty():
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._timer.cancel()
        with self._lock:
            if self._shown:
                sys.stderr.write("\r\x1b[K")
                sys.stderr.flush()
            self._shown = False
            self._stages = 0

    def begin(self, words: str) -> None:
        """The next stage begins; `words` say what is done in it."""
        with self._lock:
            self._done += 1
            self._words = words
            if self._shown:
                self._draw()

    def _patience_ends(self) -> None:
        with self._lock:
            if self._stages:
                self._shown = True
                self._draw()

    def _draw(self) -> None:
        filled = _WIDTH * max(self._done, 0) // self._stages
        sys.stderr.write(f"\r[{'=' * filled}{' ' * (_WIDTH - filled)}] {self._words}\x1b[K")
        sys.stderr.flush()
