"""The one undo command: an edit, the document before it and after it.

A long score is several megabytes, and undo has no limit: of all but the latest edits only what they changed in the
score's bytes is kept, and the bytes before (or after) are made from those that are there when the edit's turn comes.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from weakref import ref

from PySide6.QtGui import QUndoCommand

from core.document import Document
from core.errors import EditError
from core.score.source import Source

if TYPE_CHECKING:
    from app.session import Session


WHOLE = 8
"""Of so many edits the scores before and after are kept whole."""


@dataclass(frozen=True, slots=True)
class Patch:
    """What one edit changed in a score's bytes, with the sources before and after it, but for their bytes."""

    start: int
    old: bytes
    new: bytes
    before: Source
    after: Source
    length: int  # of the bytes before

    def backward(self, now: Source | None) -> Source:
        """The source before the edit, from the one after it."""
        return self._made(now, self.new, self.old, self.before)

    def forward(self, now: Source | None) -> Source:
        """The source after the edit, from the one before it."""
        return self._made(now, self.old, self.new, self.after)

    def _made(self, now: Source | None, gone: bytes, put: bytes, as_it_was: Source) -> Source:
        data = now.data if now is not None else b""
        end = self.start + len(gone)
        made = data[: self.start] + put + data[end:]
        if data[self.start : end] != gone or len(made) - len(put) != self.length - len(self.old):
            raise EditError("this step cannot be taken back: the score is not the one that it was made in")
        return replace(as_it_was, data=made, xml=made)


def patch_between(before: Source | None, after: Source | None) -> Patch | None:
    """What lies between two sources; None where they are no plain files, or the same."""
    if before is None or after is None or before is after:
        return None
    if before.data is not before.xml or after.data is not after.xml:
        return None
    old, new = before.data, after.data
    start = _alike(old, new)
    tail = _alike_at_end(old, new, min(len(old), len(new)) - start)
    empty = (replace(before, data=b"", xml=b""), replace(after, data=b"", xml=b""))
    return Patch(start, old[start : len(old) - tail], new[start : len(new) - tail], *empty, len(old))


def _alike(one: bytes, other: bytes) -> int:
    """How many bytes two texts begin with alike."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _alike_at_end(one: bytes, other: bytes, most: int) -> int:
    """How many bytes two texts end with alike, `most` at the most."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if one[len(one) - middle : len(one) - low] == other[len(other) - middle : len(other) - low]:
            low = middle
        else:
            high = middle - 1
    return low


class Recent:
    """The latest edits, kept whole; one that is no longer among them is packed."""

    def __init__(self) -> None:
        self._commands: deque[ref[EditCommand]] = deque()  # the undo list alone decides how long they live

    def add(self, command: EditCommand) -> None:
        """A new edit."""
        self._commands.append(ref(command))
        while len(self._commands) > WHOLE:
            old = self._commands.popleft()()
            if old is not None:
                old.pack()


class EditCommand(QUndoCommand):
    """Does and undoes one edit; which organs are open and chosen by now stays, unless the edit was about them."""

    def __init__(self, session: Session, name: str, before: Document, after: Document, group: int = -1) -> None:
        super().__init__(name)
        self._group = group  # edits of one group, one right after the other, are one step; -1: of none
        self._session = session
        self._before = before
        self._after = after
        self._patch: Patch | None = None
        session.recent.add(self)

    def pack(self) -> None:
        """Keep of the scores only where they differ."""
        self._patch = patch_between(self._before.source, self._after.source)
        if self._patch is not None:
            self._before = replace(self._before, source=None)
            self._after = replace(self._after, source=None)

    def id(self) -> int:
        """The group."""
        return self._group

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take the next edit of the same group into this step."""
        if not isinstance(other, EditCommand):
            return False
        self._after = other._after
        return True

    def redo(self) -> None:
        """Show the document after the edit."""
        after = self._after
        if self._patch is not None:
            after = replace(after, source=self._patch.forward(self._session.document.source))
        self._session.set_document(self._with_present_organs(after))

    def undo(self) -> None:
        """Show the document before it, to the byte."""
        before = self._before
        if self._patch is not None:
            before = replace(before, source=self._patch.backward(self._session.document.source))
        self._session.set_document(self._with_present_organs(before))

    def _with_present_organs(self, document: Document) -> Document:
        """The document with the organs that are open and chosen by now; those that the edit changed as it has them."""
        now, before, after = self._session.document, self._before, self._after
        if len(before.organs) != len(after.organs) or len(now.organs) < len(document.organs):
            return document
        organs = list(now.organs)
        for number, (old, new) in enumerate(zip(before.organs, after.organs, strict=True)):
            if old is new:
                continue
            mine, present = document.organs[number], organs[number]
            if present.path is not None and present.path not in (old.path, new.path, mine.path) and old.path:
                return document
            # a file that it was given since is its file still, unless this very edit took the organ from its file
            path = present.path if old.path == new.path else mine.path
            organs[number] = replace(mine, path=path)
        are_same = all(one is other for one, other in zip(organs, document.organs, strict=False))
        if len(organs) == len(document.organs) and are_same and now.chosen == document.chosen:
            return document
        chosen = document.chosen if before.chosen != after.chosen else now.chosen
        return replace(document, organs=tuple(organs), chosen=chosen)
