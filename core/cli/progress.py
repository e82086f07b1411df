"""Says on standard error what is being done, when it takes over half a second and somebody is looking.

The bar itself is rich's; it is imported only when it is shown, since most commands are done before.
"""

from __future__ import annotations

import sys
import threading
from types import TracebackType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

_PATIENCE = 0.5  # seconds


class Progress:
    """A bar over the stages of a command: ``with Progress(4) as progress: progress.begin("reading")``.

    Nothing is printed before half a second has gone, nor where standard error is no terminal.
    """

    def __init__(self, stages: int) -> None:
        self._stages = stages
        self._done = -1
        self._words = ""
        self._ended = False
        self._bar: Bar | None = None
        self._task: TaskID | None = None
        self._lock = threading.Lock()
        self._timer = threading.Timer(_PATIENCE, self._show)
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
            self._ended = True
            if self._bar is not None:
                self._bar.stop()

    def begin(self, words: str) -> None:
        """The next stage begins; `words` say what is done in it."""
        with self._lock:
            self._done += 1
            self._words = words
            if self._bar is not None and self._task is not None:
                self._bar.update(self._task, completed=self._done, description=words)

    def _show(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, TextColumn
        from rich.progress import Progress as Bar

        with self._lock:
            if self._ended:
                return
            console = Console(file=sys.stderr)
            self._bar = Bar(BarColumn(), TextColumn("{task.description}"), console=console, transient=True)
            self._task = self._bar.add_task(self._words, total=self._stages, completed=max(self._done, 0))
            self._bar.start()
