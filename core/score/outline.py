"""What stands where in a score file's bytes: parts, measures, directions and credits.

All ranges are offsets into the file's text as UTF-8 (`core.score.ranges.RecordText`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.parsers import expat

from core.errors import EditError

START_TAG = re.compile(rb"""<[^\s/>"']+(?:[^>"']|"[^"]*"|'[^']*')*>""")
_ATTRIBUTES = rb"""[^>"']*(?:"[^"]*"[^>"']*|'[^']*'[^>"']*)*"""
_MEASURE = re.compile(rb"<measure[\s/>]")
_ID = re.compile(rb"""\sid\s*=\s*(?:"([^"]*)"|'([^']*)')""")


ChangedMeasure = tuple[int, int, int, int]
"""Part, bar index, and from where to where its measure now reaches."""


class Element(NamedTuple):
    """An element's name and range. One that comes out of an entity has no range: `start` is -1."""

    name: str
    start: int
    end: int


@dataclass(slots=True)
class MeasureRange:
    """One part's measure: its range, and the ordinals of its first note and direction.

    `attributes` are those of its children, in order.
    """

    start: int
    end: int = -1
    first_note: int = 0
    first_direction: int = 0
    attributes: list[Element] = field(default_factory=list)


@dataclass(slots=True)
class Outline:
    """What stands where in a score file.

    Attributes:
        root: where the root element starts (before it: declaration, DOCTYPE, comments).
        parts: each part's measures in order; parts in the order in which the file first has them.
        directions: all direction elements, by their ordinal in the file.
        credits: all credit elements, by their ordinal in the file.
        notes: how many notes there are.
    """

    root: int = -1
    parts: list[list[MeasureRange]] = field(default_factory=list)
    directions: list[Element] = field(default_factory=list)
    credits: list[Element] = field(default_factory=list)
    notes: int = 0


def read_outline(text: bytes) -> Outline:
    """The outline of a well-formed score file's text (partwise or timewise)."""
    root, name = _find_root(text)
    if b"<!ENTITY" in text[:root]:  # elements may come out of an entity
        return read_outline_exactly(text)
    return _read_by_tags(text, root, name)


def read_outline_exactly(text: bytes) -> Outline:
    """The same by way of the parser: seven times as slow, but entities are followed."""
    return _OutlineReader(text).read()


class _Builder:
    """Puts parts, measures and their children in order as they come, bar by bar or part by part."""

    def __init__(self, root: int, name: str) -> None:
        self.outline = Outline(root=root)
        self._timewise = name == "score-timewise"
        self._part: list[MeasureRange] = []
        self._by_id: dict[str, list[MeasureRange]] = {}
        self._bar = -1
        self._nth_part = 0
        self._measure: MeasureRange | None = None

    def open(self, name: str, start: int, part_id: str) -> None:
        """A part or measure begins."""
        if name == "part":
            self._enter_part(part_id)
        elif self._timewise:
            self._bar += 1
            self._nth_part = 0
        if name == ("part" if self._timewise else "measure"):
            outline = self.outline
            self._measure = MeasureRange(start, first_note=outline.notes, first_direction=len(outline.directions))

    def _enter_part(self, part_id: str) -> None:
        """Go on in the part that starts here: a new one, or timewise the one that bears its id."""
        self._nth_part += 1
        key = part_id or f"part {self._nth_part}"
        known = self._by_id.get(key) if self._timewise else None
        if known is None:
            known = self._by_id[key] = []
            self.outline.parts.append(known)
        self._part = known

    def close(self, name: str, end: int) -> None:
        """A part or measure ends."""
        if self._measure is None or name != ("part" if self._timewise else "measure"):
            return
        self._measure.end = end
        while len(self._part) < self._bar:  # timewise: a bar without this part
            self._part.append(MeasureRange(-1))
        if not self._timewise or len(self._part) == self._bar:
            self._part.append(self._measure)
        self._measure = None

    def child(self, name: str, start: int, end: int) -> None:
        """A credit, or a child of a measure, is whole."""
        if name == "credit":
            self.outline.credits.append(Element(name, start, end))
        elif self._measure is None:
            return
        elif name == "note":
            self.outline.notes += 1
        elif name == "direction":
            self.outline.directions.append(Element(name, start, end))
        elif name == "attributes":
            self._measure.attributes.append(Element(name, start, end))


class _FoundRootError(Exception):
    """The root element has begun: no need to read on."""


def _find_root(text: bytes) -> tuple[int, str]:
    """Where the root element starts, and its name with its prefix."""
    lead = len(text) - len(text.lstrip())
    parser = expat.ParserCreate("utf-8")
    found: list[tuple[int, str]] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        found.append((parser.CurrentByteIndex + lead, name))
        raise _FoundRootError

    parser.StartElementHandler = start
    try:
        parser.Parse(text[lead:] if lead else text, True)
    except _FoundRootError:
        pass
    except expat.ExpatError as error:
        raise _faulty(error) from error
    return found[0]


def _faulty(error: expat.ExpatError) -> EditError:
    return EditError(f"its XML is faulty ({expat.ErrorString(error.code)})", line=error.lineno)


def _read_by_tags(text: bytes, root: int, root_name: str) -> Outline:
    """The outline from the tags that matter; comments, CDATA and instructions are passed over."""
    prefix, _, name = root_name.rpartition(":")
    mark = re.escape(prefix.encode() + b":") if prefix else b""
    tags = re.compile(
        rb"<(?:!--.*?-->|!\[CDATA\[.*?\]\]>|\?.*?\?>|(" + mark + rb"note)[\s/>]|(/?)" + mark
        + rb"(part|measure|credit|direction|attributes)(?=[\s/>])(" + _ATTRIBUTES + rb")>)",
        re.DOTALL,
    )  # fmt: skip
    builder = _Builder(root, name)
    begun = -1
    for tag in tags.finditer(text, root):
        note, ends, kind, attributes = tag.groups()
        if note is not None:
            builder.child("note", tag.start(), -1)
        if kind is None:
            continue
        local = kind.decode("ascii")
        empty = attributes.endswith(b"/")
        if local in ("part", "measure"):
            if not ends:
                id_ = _ID.search(attributes)
                builder.open(local, tag.start(), (id_[1] or id_[2] or b"").decode() if id_ else "")
            if ends or empty:
                builder.close(local, tag.end())
        else:
            begun = begun if ends else tag.start()
            if ends or empty:
                builder.child(local, begun, tag.end())
    return builder.outline


class _OutlineReader:
    """One run of expat: measures and their children, nothing deeper."""

    def __init__(self, text: bytes) -> None:
        self._text = text
        self._builder = _Builder(-1, "")
        self._depth = 0
        self._names: list[str] = []
        self._starts: list[int] = []
        self._lead = len(text) - len(text.lstrip())  # an empty line before the declaration
        self._parser = expat.ParserCreate("utf-8")

    def read(self) -> Outline:
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        try:
            self._parser.Parse(self._text[self._lead :] if self._lead else self._text, True)
        except expat.ExpatError as error:
            raise _faulty(error) from error
        return self._builder.outline

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        if self._depth > 4:
            return
        start = self._parser.CurrentByteIndex + self._lead
        if self._text[start : start + 1] != b"<":
            start = -1
        local = name.rpartition(":")[2]
        self._names.append(local)
        self._starts.append(start)
        if self._depth == 1:
            self._builder = _Builder(start, local)
        elif local in ("part", "measure"):
            self._builder.open(local, start, attributes.get("id", ""))

    def _end(self, name: str) -> None:
        depth = self._depth
        self._depth -= 1
        if depth > 4:
            return
        start, local = self._starts.pop(), self._names.pop()
        end = element_end(self._text, start, self._parser.CurrentByteIndex + self._lead)
        if local in ("part", "measure"):
            self._builder.close(local, end)
        else:
            self._builder.child(local, start, end)


def element_end(text: bytes, start: int, index: int) -> int:
    """The end of an element from where expat stands when it ends: at its end tag, or behind an empty tag."""
    if start < 0:
        return -1
    if text[index - 2 : index] == b"/>":
        tag = START_TAG.match(text, start)
        if tag is not None and tag.end() == index:
            return index
    return text.index(b">", index) + 1


def moved_outline(outline: Outline, text: bytes, changed: Iterable[ChangedMeasure]) -> Outline:
    """The outline of an edited text, of which only some measures and what stands before the first were edited.

    `text` is the edited text; the changed measures come in the order of the file.
    """
    there = {(part, bar): (start, end) for part, bar, start, end in changed}
    first = outline.parts[0][0].start
    begins = first_measure_in(text, outline.root)
    credits = _read_by_tags(text[:begins], outline.root, "score-partwise").credits
    moved = Outline(root=outline.root, notes=outline.notes, credits=credits)
    shift = begins - first
    for part, measures in enumerate(outline.parts):
        row: list[MeasureRange] = []
        for bar, measure in enumerate(measures):
            after = measures[bar + 1] if bar + 1 < len(measures) else _first_of(outline, part + 1)
            own = outline.directions[measure.first_direction : after.first_direction if after else None]
            at = len(moved.directions)
            if (part, bar) in there:
                start, end = there[part, bar]
                row.append(_read_measure(text, start, end, moved, measure.first_note))
                shift = end - measure.end
            elif shift or at != measure.first_direction:
                moved.directions += _shifted(own, shift)
                row.append(
                    MeasureRange(
                        measure.start + shift,
                        measure.end + shift,
                        measure.first_note,
                        at,
                        _shifted(measure.attributes, shift),
                    )
                )
            else:
                moved.directions += own
                row.append(measure)
        moved.parts.append(row)
    return moved


def first_measure_in(text: bytes, root: int) -> int:
    """Where the first measure's tag stands behind the root's; -1: nowhere."""
    found = _MEASURE.search(text, root)
    return found.start() if found else -1


def _first_of(outline: Outline, part: int) -> MeasureRange | None:
    return outline.parts[part][0] if part < len(outline.parts) and outline.parts[part] else None


def _read_measure(text: bytes, start: int, end: int, moved: Outline, first_note: int) -> MeasureRange:
    """One measure of the edited text; its directions go into the outline."""
    lead = b"<part>"
    inner = _read_by_tags(lead + text[start:end] + b"</part>", 0, "score-partwise")
    shift = start - len(lead)
    attributes = inner.parts[0][0].attributes if inner.parts and inner.parts[0] else []
    found = MeasureRange(start, end, first_note, len(moved.directions), _shifted(attributes, shift))
    moved.directions += _shifted(inner.directions, shift)
    return found


def _shifted(elements: list[Element], shift: int) -> list[Element]:
    if not shift:
        return elements
    return [Element(name, start + shift, end + shift) for name, start, end in elements]
