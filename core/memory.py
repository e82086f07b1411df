"""What one walk worked out, for the next walk over nearly the same piece.

Values of pure functions are kept by the values of everything they depend on; nothing is marked as outdated by
hand, so a walk with a memory comes to the same result as one without. A memory belongs to one walk: it looks into
its predecessor's, and what the walk does not ask for again is gone with that.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class Memory:
    """The memory of one walk.

    Attributes:
        worked: how often something had to be worked out, by the name of the work (for tests).
    """

    __slots__ = ("_before", "_now", "worked")

    def __init__(self, before: Memory | None = None) -> None:
        self._before: dict[Hashable, tuple[object, Any]] = before._now if before is not None else {}
        self._now: dict[Hashable, tuple[object, Any]] = {}
        self.worked: dict[str, int] = {}

    def recall(self, work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """The value of a pure function; all its arguments are hashed by value (or are the same things for good)."""
        key: Hashable = (work, args, *kwargs.items()) if kwargs else (work, args)
        return self._value(key, None, lambda: work(*args, **kwargs))

    def settle(self, key: Hashable, inputs: object, work: Callable[[], T]) -> T:
        """The value of a work that depends on `inputs` alone; the last inputs under a key are remembered.

        Inputs are compared, not hashed: what is the very same thing is told at once.
        """
        return self._value(key, inputs, work)

    def _value(self, key: Hashable, inputs: object, work: Callable[[], T]) -> T:
        for known in (self._now, self._before):
            found = known.get(key)
            if found is not None and (found[0] is inputs or found[0] == inputs):
                self._now[key] = found
                value: T = found[1]
                return value
        value = work()
        name = str(key[0] if isinstance(key, tuple) else key) if not callable(key) else ""
        if isinstance(key, tuple) and callable(key[0]):
            name = key[0].__name__
        self.worked[name] = self.worked.get(name, 0) + 1
        self._now[key] = (inputs, value)
        return value

    def forget(self) -> None:
        """Let the predecessor's memory go: the walk is over."""
        self._before = {}
