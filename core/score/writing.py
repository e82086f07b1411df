"""Edits of a score's bytes: a direction put in, changed, moved or taken out; nothing else differs.

Everything is written in the file's own encoding, line ends and indentation. What a text means is not known
here; neither is what became of a marking's name (see `core.edits`).
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from core.errors import EditError, WriteError
from core.score.model import Score
from core.score.outline import Outline, read_outline
from core.score.packing import pack, replace_member
from core.score.placing import NOT_READ, AsRead, Child, Gap, divisions_before, find_gap, walk_measure
from core.score.ranges import Node, RecordText, read_node, record_text
from core.score.rereading import outline_of
from core.score.source import Source

_MARGIN = re.compile(rb"(\r\n|\n|\r)([ \t]*)\Z")
_PLAIN = (".musicxml", ".xml")
_END_OF_DIRECTION = re.compile(rb"</(?:[\w.-]+:)?direction>")
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Splice(NamedTuple):
    """Bytes of the text from `start` up to, not including, `end` become `new`."""

    start: int
    end: int
    new: bytes


@dataclass(frozen=True, slots=True)
class Place:
    """Where a direction stands: part, bar index, staff, quarters from the bar's start."""

    part: int
    bar: int
    staff: int
    time: Fraction


@dataclass(frozen=True, slots=True)
class Manuscript:
    """A score's text opened for editing: its bytes as UTF-8 and what stands where in them."""

    source: Source
    record: RecordText
    outline: Outline

    @property
    def text(self) -> bytes:
        """The text as UTF-8."""
        return self.record.text


def open_manuscript(source: Source, score: Score | None = None) -> Manuscript:
    """Find what stands where in a score's bytes.

    `score` is what was read from them, where the caller has it: it may know already what stands where.

    Raises:
        EditError: this file can be read, but not edited.
    """
    record = record_text(source.xml, source.encoding)
    kept = score.kept if score is not None else None
    outline = outline_of(kept) if kept is not None and kept.text == record.text else None
    return Manuscript(source, record, outline or read_outline(record.text))


def splice(manuscript: Manuscript, splices: Iterable[Splice]) -> Source:
    """The source with stretches of its bytes replaced; they must not overlap."""
    pieces: list[bytes] = []
    done = 0
    for start, end, new in sorted(splices, key=lambda one: one[:2]):
        if start < done or end < start:
            raise EditError("two changes at one place of the file")
        pieces += (manuscript.text[done:start], new)
        done = end
    pieces.append(manuscript.text[done:])
    return with_xml(manuscript.source, manuscript.record.encode(b"".join(pieces)))


def added_directions(
    manuscript: Manuscript, splices: Iterable[Splice]
) -> tuple[Callable[[int], int | None], frozenset[int]]:
    """Which direction becomes which: the new ordinal of an old one (None: gone), and the new ones."""
    ordered = sorted(splices, key=lambda one: one[:2])
    starts = [element.start for element in manuscript.outline.directions]
    shifts: list[tuple[int, int]] = []  # from this ordinal on, so much is added to it
    gone: set[int] = set()
    fresh: set[int] = set()
    shift = 0
    for start, end, new in ordered:
        first, last = bisect_left(starts, start), bisect_left(starts, end)
        gone.update(range(first, last))
        added = len(_END_OF_DIRECTION.findall(new)) if first == last else 0
        fresh.update(range(first + shift, first + shift + added))
        shift += added - (last - first)
        shifts.append((last, shift))

    def became(ordinal: int) -> int | None:
        if ordinal in gone:
            return None
        at = bisect_right(shifts, ordinal, key=lambda one: one[0]) - 1
        return ordinal + (shifts[at][1] if at >= 0 else 0)

    return became, frozenset(fresh)


def with_xml(source: Source, xml: bytes) -> Source:
    """The source with another score text; in an archive only that member changes."""
    if source.converted_from is not None:
        return replace(source, xml=xml)
    if source.member is None:
        return replace(source, data=xml, xml=xml)
    return replace(source, data=replace_member(source.data, source.member, xml), xml=xml)


def file_bytes(source: Source, path: str | Path) -> bytes:
    """What a file of that name holds: the source's own bytes, packed or unpacked where the ending says so.

    Raises:
        WriteError: a score converted from another format cannot be saved under that ending.
    """
    ending = Path(path).suffix.lower()
    if ending == ".mxl" and source.member is None:
        return pack(f"{Path(path).stem}.musicxml", source.xml)
    if source.converted_from is not None and ending not in _PLAIN:
        raise WriteError(
            f"the score was converted from {source.converted_from}, which cannot be written",
            path=path,
            remedy="Save it as .musicxml or .mxl.",
        )
    same_ending = source.path is not None and Path(source.path).suffix.lower() == ending
    unpacked = source.converted_from is not None or (ending in _PLAIN and not same_ending)
    return source.xml if unpacked else source.data


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBar:
    """A bar of one part opened for editing."""

    measure: Node
    children: list[Child]
    divisions: Fraction


def open_bar(manuscript: Manuscript, part: int, bar: int, read: AsRead = NOT_READ) -> OpenBar:
    """One part's bar with the times of its children.

    Raises:
        EditError: there is no such part or bar.
    """
    parts = manuscript.outline.parts
    measures = parts[part] if 0 <= part < len(parts) else []
    if not 0 <= bar < len(measures) or measures[bar].start < 0:
        raise EditError("this part has no such bar")
    measure = read_node(manuscript.text, manuscript.outline, measures[bar].start, measures[bar].end)
    divisions = divisions_before(manuscript.text, manuscript.outline, part, bar)
    children, divisions = walk_measure(measure, measures[bar], divisions, read)
    return OpenBar(measure=measure, children=children, divisions=divisions)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewDirection:
    """A direction to be written: what its direction-type holds, and where it stands."""

    content: str
    placement: str | None
    staff: int | None


def words(text: str, *, small: bool = False) -> str:
    """The content of a direction-type that prints a text, in the file's own face or in small italics."""
    face = ' font-style="italic" font-size="8"' if small else ""
    return f"<words{face}>{escape(text)}</words>"


def escape(text: str) -> str:
    """A text as XML character data.

    Raises:
        EditError: it holds a sign that no XML file can hold.
    """
    if _FORBIDDEN.search(text):
        raise EditError("the text holds a sign that no score file can hold", remedy="Leave it out.")
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def insert_direction(
    manuscript: Manuscript, opened: OpenBar, staff: int, time: Fraction, new: NewDirection, *, first: bool = False
) -> Splice:
    """The splice that puts a direction into a bar so that it is found at that time in that staff.

    `first`: before the directions that stand there; of texts above a staff the first in the file is printed lowest.
    """
    gap = find_gap(opened.children, staff, time)
    index = gap.index
    while first and index and opened.children[index - 1].node.name == "direction":
        index -= 1
    placed = f' placement="{new.placement}"' if new.placement else ""
    lines = [
        (0, f"<direction{placed}>"),
        (1, "<direction-type>"),
        (2, new.content),
        (1, "</direction-type>"),
    ]
    prefix = opened.measure.raw_name.rpartition(":")[0]
    if prefix:
        lines = [(depth, re.sub(r"<(/?)(?=[a-z])", rf"<\1{prefix}:", line)) for depth, line in lines]
    return insertion(manuscript, opened, index, lines + direction_tail(opened, gap, new.staff))


def direction_tail(opened: OpenBar, gap: Gap, staff: int | None) -> list[tuple[int, str]]:
    """The last lines of a direction: its offset where it needs one, its staff, its end tag."""
    prefix = opened.measure.raw_name.rpartition(":")[0]
    mark = f"{prefix}:" if prefix else ""
    offset = gap.offset * divisions_at(opened, gap) if gap.offset else Fraction(0)
    lines = [(1, f"<{mark}offset>{_decimal(offset)}</{mark}offset>")] if offset else []
    if staff is not None:
        lines.append((1, f"<{mark}staff>{staff}</{mark}staff>"))
    return [*lines, (0, f"</{mark}direction>")]


def divisions_at(opened: OpenBar, gap: Gap) -> Fraction:
    """The divisions in force at a gap of a bar."""
    later = [c.node for c in opened.children[gap.index :] if c.node.name == "attributes"]
    if not any(node.child("divisions") for node in later):
        return opened.divisions
    raise EditError("the bar changes its divisions after this place", remedy="Choose a place with a note.")


def _decimal(value: Fraction) -> str:
    """An exact decimal number for the file."""
    if value.denominator == 1:
        return str(value.numerator)
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    if rest != 1:
        raise EditError(
            "this place lies between the steps in which the file counts time",
            remedy="Choose a place with a note or rest.",
        )
    digits = 1
    while (value * 10**digits).denominator != 1:
        digits += 1
    whole = value * 10**digits
    sign = "-" if whole < 0 else ""
    text = str(abs(whole.numerator)).rjust(digits + 1, "0")
    return f"{sign}{text[:-digits]}.{text[-digits:]}"


def insertion(manuscript: Manuscript, opened: OpenBar, index: int, lines: list[tuple[int, str]]) -> Splice:
    """The splice that puts lines before the child of that index, indented as the bar's children are."""
    measure = opened.measure
    style = Layout.of(manuscript.text, measure)
    if measure.inner_start == measure.end:  # <measure number="1"/>
        tag = manuscript.text[measure.start : measure.end - 2].rstrip()
        new = tag + b">" + style.lead(style.write(lines)) + style.closing
        return Splice(measure.start, measure.end, new + f"</{measure.raw_name}>".encode())
    children = measure.children
    if index < len(children):
        at = children[index].start
        if at < 0:
            raise EditError("the note there comes out of an entity of the file", remedy="Choose another.")
        margin = margin_before(manuscript.text, at) if style.eol else None
        body = style.write(lines)
        return Splice(at, at, body + (style.eol + style.indent if margin else b""))
    at = children[-1].end if children else measure.inner_start
    return Splice(at, at, style.lead(style.write(lines)))


@dataclass(frozen=True, slots=True)
class Layout:
    """How a bar's children are laid out: line end, their indentation, one step of it, what ends the bar."""

    eol: bytes
    indent: bytes
    step: bytes
    closing: bytes

    @classmethod
    def of(cls, text: bytes, measure: Node) -> Layout:
        """The layout of a bar, from its first child and its own start."""
        outer = margin_before(text, measure.start)
        child = next((c for c in measure.children if c.start >= 0), None)
        inner = margin_before(text, child.start) if child is not None else None
        if inner is None:
            if outer is None or child is not None:
                return cls(b"", b"", b"", b"")
            step = b"\t" if outer[1].startswith(b"\t") else b"  "
            inner = (outer[0], outer[1] + step)
        eol, indent = inner
        base = outer[1] if outer is not None else b""
        step = indent[len(base) :] if indent.startswith(base) else b"  "
        return cls(eol, indent, step, eol + base)

    def write(self, lines: list[tuple[int, str]]) -> bytes:
        """Lines laid out alike, without the first one's margin."""
        written = [self.step * depth + self._line(line) for depth, line in lines]
        return (self.eol + self.indent).join(written) if self.eol else b"".join(written)

    def _line(self, line: str) -> bytes:
        data = line.encode("utf-8")
        return data.replace(b"\n", self.eol) if self.eol else data

    def lead(self, body: bytes) -> bytes:
        """The body on a line of its own, where the bar has lines."""
        return self.eol + self.indent + body


def margin_before(text: bytes, at: int) -> tuple[bytes, bytes] | None:
    """The line end and the white space before an element, where nothing else stands there."""
    line = text[max(0, at - 400) : at]
    found = _MARGIN.search(line)
    return (found[1], found[2]) if found else None
