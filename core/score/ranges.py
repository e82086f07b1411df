"""A score file's text for editing, and any element of it in full with the ranges of its parts.

All ranges are offsets into the file's text as UTF-8 (`RecordText.text`): a UTF-8 file's own bytes, and for
another encoding its exact transcription, turned back when written. A file that does not come back to its own
bytes that way is read, but not edited.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from core.errors import EditError
from core.score.outline import START_TAG, Outline, element_end

_BOMS = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_BARE = ((b"<\0\0\0", "utf-32-le"), (b"\0\0\0<", "utf-32-be"), (b"<\0", "utf-16-le"), (b"\0<", "utf-16-be"))
_DECLARED = re.compile(rb"""\A\s*<\?xml[^>]*?\sencoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")


@dataclass(frozen=True, slots=True)
class RecordText:
    """A score file's text as UTF-8, and the codec that leads back to its bytes."""

    text: bytes
    codec: str

    def encode(self, text: bytes) -> bytes:
        """A text in the file's own encoding; a sign that it lacks becomes a character reference."""
        if self.codec == "utf-8":
            return text
        return text.decode("utf-8").encode(self.codec, "xmlcharrefreplace")


def record_text(xml: bytes, encoding: str | None = None) -> RecordText:
    """The text of a score file for editing.

    Args:
        xml: the file's bytes (of an archive: the member's).
        encoding: what the reader found it to be in; else byte-order mark, first bytes and declaration tell.

    Raises:
        EditError: in this encoding the file can only be read.
    """
    codec = _codec(xml, encoding)
    try:
        text = xml.decode(codec)
        if codec == "utf-8":
            return RecordText(xml, codec)
        exact = text.encode(codec) == xml
    except (LookupError, UnicodeError):
        exact = False
    if not exact:
        problem = f"a file in the encoding {encoding or codec} can be read here, but not edited"
        raise EditError(problem, remedy="Save it as UTF-8 with the program it came from, and open that.")
    return RecordText(text.encode("utf-8"), codec)


def _codec(xml: bytes, encoding: str | None) -> str:
    for mark, codec in (*_BOMS, *_BARE):
        if xml.startswith(mark):
            return codec
    declared = _DECLARED.match(xml[:400])
    name = encoding or (declared[1].decode("ascii") if declared else "utf-8")
    try:
        codec = codecs.lookup(name).name
    except LookupError:
        return name
    # Without a byte-order mark these bytes are none of the wide encodings, whatever was declared.
    return "utf-8" if codec.startswith(("utf-16", "utf-32", "utf-8")) else codec


@dataclass(slots=True)
class Node:
    """An element read in full, with the range of itself and of what its tags enclose."""

    name: str
    raw_name: str
    start: int
    end: int = -1
    inner_start: int = -1
    inner_end: int = -1
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Node] = field(default_factory=list)
    text: str = ""

    def child(self, name: str) -> Node | None:
        """The first child of that name, or None."""
        return next((c for c in self.children if c.name == name), None)

    def words_of(self, name: str, default: str = "") -> str:
        """The trimmed text of the first child of that name."""
        found = self.child(name)
        return found.text.strip() if found is not None else default

    def walk(self) -> Iterator[Node]:
        """This node and all below it, in document order."""
        yield self
        for child in self.children:
            yield from child.walk()


def read_node(text: bytes, outline: Outline, start: int, end: int) -> Node:
    """The element that fills a range, in full, its ranges being offsets into `text`.

    The file's own prolog goes before it, so that entities declared there are known.
    """
    if start < 0:
        raise EditError("it comes out of an entity of the file and cannot be edited here")
    reader = _NodeReader(text, text[: outline.root].lstrip(), start, end)
    try:
        return reader.read()
    except expat.ExpatError as error:
        raise EditError(f"its XML is faulty ({expat.ErrorString(error.code)})") from error


class _NodeReader:
    """One run of expat over the prolog and one element."""

    def __init__(self, text: bytes, prolog: bytes, start: int, end: int) -> None:
        self._text = text
        self._shift = start - len(prolog)
        self._document = prolog + text[start:end]
        self._open: list[Node] = []
        self._root: Node | None = None
        self._parser = expat.ParserCreate("utf-8")
        self._parser.buffer_text = True

    def read(self) -> Node:
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._characters
        self._parser.Parse(self._document, True)
        assert self._root is not None
        return self._root

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        start = self._parser.CurrentByteIndex + self._shift
        tag = START_TAG.match(self._text, start)
        node = Node(name.rpartition(":")[2], name, start if tag else -1, attributes=attributes)
        node.inner_start = tag.end() if tag else -1
        if self._open:
            self._open[-1].children.append(node)
        else:
            self._root = node
        self._open.append(node)

    def _end(self, name: str) -> None:
        node = self._open.pop()
        index = self._parser.CurrentByteIndex + self._shift
        node.end = element_end(self._text, node.start, index)
        node.inner_end = min(index, node.end) if node.start >= 0 else -1

    def _characters(self, text: str) -> None:
        self._open[-1].text += text
