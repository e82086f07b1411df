"""Work beside the window: a function, a callback on the window's thread, a result or an error.

One thread does the jobs one after the other. The collector is off during a job, and what it made is set
aside after it: a collection over a whole analysis would hold the window up.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

Done = Callable[[Any], None]
Failed = Callable[[Exception], None]

_SWITCH_SECONDS = 0.0005
_SOON_SEEN_THROUGH = 100_000
"""So many new objects the collector sees through in some milliseconds."""


class Workers(QObject):
    """Runs jobs; `idle` tells that none is left."""

    _finished = Signal(object)
    idle = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        sys.setswitchinterval(_SWITCH_SECONDS)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="stopwright")
        self._open = 0
        self._closed = False
        self._finished.connect(lambda call: call(), Qt.ConnectionType.QueuedConnection)

    @property
    def is_busy(self) -> bool:
        """Whether a job is running or waiting."""
        return self._open > 0

    def submit(self, job: Callable[[], Any], done: Done, failed: Failed) -> None:
        """Run `job` beside the window; then `done` or `failed` on the window's thread."""
        self._open += 1
        future = self._pool.submit(_quietly, job)
        future.add_done_callback(lambda f: self._hand_over(f, done, failed))

    def _hand_over(self, future: Future[Any], done: Done, failed: Failed) -> None:
        if not self._closed and not future.cancelled():
            self._finished.emit(lambda: self._deliver(future, done, failed))

    def _deliver(self, future: Future[Any], done: Done, failed: Failed) -> None:
        self._open -= 1
        error = future.exception()
        if self._closed:
            return
        if error is None:
            done(future.result())
        elif isinstance(error, Exception):
            failed(error)
        if self._open == 0:
            self.idle.emit()

    def close(self, *, wait: bool = True) -> None:
        """Drop what waits and hand over nothing more; `wait` for the running job, or let it end by itself."""
        self._closed = True
        self._pool.shutdown(wait=wait, cancel_futures=True)
        gc.unfreeze()  # what was set aside may go: nobody waits for this window any more


def _quietly(job: Callable[[], Any]) -> Any:
    gc.disable()
    try:
        return job()
    finally:
        if gc.get_count()[0] < _SOON_SEEN_THROUGH:
            gc.collect(0)  # what goes in circles would be set aside for good, and hold whole scores with it
        gc.freeze()
        gc.enable()
