"""A word to work that goes on beside the window: how far it is, and that it is no longer wanted."""

from __future__ import annotations

from collections.abc import Callable

from app.engraving import NoLongerWantedError


class Stop:
    """Held by the window and by the work; `asked` is set by the window."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self.asked = False
        self._tell = tell

    def is_wanted(self) -> bool:
        """Whether the outcome is wanted still."""
        return not self.asked

    def tell(self, words: str) -> None:
        """Say what is being done.

        Raises:
            NoLongerWantedError: nobody waits for it.
        """
        if self.asked:
            raise NoLongerWantedError
        try:
            self._tell(words)
        except RuntimeError as error:  # the view has gone meanwhile
            raise NoLongerWantedError from error
