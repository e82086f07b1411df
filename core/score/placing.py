"""Where in a measure's bytes a direction must stand to be found at a given time in a given staff."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from core.errors import EditError
from core.score.outline import MeasureRange, Outline
from core.score.ranges import Node, read_node

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Child:
    """A child of a measure with its times in quarters from the bar's start.

    Attributes:
        before: where the file's own count stands before it.
        after: where it stands behind it.
        onset: where a note begins, exactly (a file may round a tuplet's notes to its divisions).
    """

    node: Node
    before: Fraction
    after: Fraction
    onset: Fraction
    note: int | None = None
    direction: int | None = None

    @property
    def staff(self) -> int:
        """The staff it names, else the first."""
        return whole(self.node.words_of("staff"), 1)

    @property
    def is_chord_member(self) -> bool:
        """A further note of a chord: nothing may stand between it and the one before."""
        return self.node.child("chord") is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A place between two children of a measure.

    Attributes:
        index: it stands before the child of that index (the number of children: at the measure's end).
        offset: quarters from the place in document order to the place meant.
        time: where a reader that goes by the file's own count finds it.
    """

    index: int
    offset: Fraction
    time: Fraction


def whole(text: str, default: int) -> int:
    """A whole number of the file, or the default where it is none."""
    try:
        return int(text.strip())
    except ValueError:
        return default


def exact(text: str) -> Fraction | None:
    """A decimal number of the file, exact; None where it is none."""
    try:
        return Fraction(text.strip())
    except (ValueError, ZeroDivisionError):
        return None


def divisions_before(text: bytes, outline: Outline, part: int, bar: int) -> Fraction:
    """The divisions of a quarter in force where a bar begins (1 where the file never says)."""
    for measure in reversed(outline.parts[part][:bar]):
        for element in reversed(measure.attributes):
            if b"divisions" not in text[element.start : element.end]:
                continue
            found = _divisions(read_node(text, outline, element.start, element.end))
            if found is not None:
                return found
    return Fraction(1)


def _divisions(attributes: Node) -> Fraction | None:
    value = exact(attributes.words_of("divisions"))
    return value if value is not None and value > 0 else None


@dataclass(frozen=True, slots=True)
class AsRead:
    """What the reader found in a bar: where its notes begin (by ordinal), how long it is, in quarters."""

    onsets: Mapping[int, Fraction] = field(default_factory=dict)
    length: Fraction | None = None


NOT_READ = AsRead()


def walk_measure(
    measure: Node, range_: MeasureRange, divisions: Fraction, read: AsRead
) -> tuple[list[Child], Fraction]:
    """The children of a measure in exact time, and the divisions in force at its end.

    Args:
        measure: the measure element in full.
        range_: its ordinals.
        divisions: those in force at its start.
        read: what the reader found: it may have mended the file's count.
    """
    children: list[Child] = []
    now = last = ZERO
    note, direction = range_.first_note, range_.first_direction
    for node in measure.children:
        before = onset = now
        note_ordinal = direction_ordinal = None
        if node.name == "attributes":
            divisions = _divisions(node) or divisions
        elif node.name == "note":
            note_ordinal = note
            note += 1
            if node.child("chord") is not None:
                before = last
            else:
                before = last = _mended(now, read.onsets.get(note_ordinal), divisions)
                now = before + _note_duration(node, divisions, read.length)
            onset = read.onsets.get(note_ordinal, before)
        elif node.name == "forward":
            now += _duration(node, divisions)
        elif node.name == "backup":
            now = max(now - _duration(node, divisions), ZERO)
        elif node.name == "direction":
            direction_ordinal = direction
            direction += 1
        children.append(
            Child(
                node=node,
                before=before,
                after=now,
                onset=onset,
                note=note_ordinal,
                direction=direction_ordinal,
            )
        )
    return children, divisions


def _mended(now: Fraction, read: Fraction | None, divisions: Fraction) -> Fraction:
    """The count before a note: as the reader has it, unless it only undid a tuplet's rounding."""
    return now if read is None or abs(read - now) < 1 / divisions else read


def _note_duration(node: Node, divisions: Fraction, length: Fraction | None) -> Fraction:
    if node.child("grace") is not None:
        return ZERO
    duration = _duration(node, divisions)
    rest = node.child("rest")
    whole_bar = rest is not None and rest.attributes.get("measure") == "yes"
    return min(duration, length) if whole_bar and length is not None else duration


def _duration(node: Node, divisions: Fraction) -> Fraction:
    value = exact(node.words_of("duration"))
    return value / divisions if value is not None and value > 0 else ZERO


def find_gap(children: list[Child], staff: int, time: Fraction) -> Gap:
    """Best place for a direction of a staff at a time: before the note that begins there, if there is one.

    Raises:
        EditError: the time lies before the bar.
    """
    if time < 0:
        raise EditError("this place lies before its bar begins")
    notes = [
        (index, child) for index, child in enumerate(children) if child.note is not None and not child.is_chord_member
    ]
    for index, child in notes:
        if child.onset == time and child.staff == staff:
            return Gap(index=index, offset=ZERO, time=child.before)
    gaps = _open_gaps(children)
    exactly = [index for index, at in gaps if at == time]
    if exactly:
        return Gap(index=exactly[-1] if time else exactly[0], offset=ZERO, time=time)
    earlier = [(at, index) for index, at in gaps if at < time]
    same_staff = [(child.before, index) for index, child in notes if child.before < time and child.staff == staff]
    at, index = max(same_staff or earlier or [(ZERO, len(children))])
    return Gap(index=index, offset=time - at, time=time)


def _open_gaps(children: list[Child]) -> list[tuple[int, Fraction]]:
    """Places where a direction may stand: before a note, backup or forward, and at the end."""
    gaps = [
        (index, child.before)
        for index, child in enumerate(children)
        if child.node.name in ("note", "backup", "forward") and not child.is_chord_member
    ]
    end = children[-1].after if children else ZERO
    last = len(children)
    while last and children[last - 1].node.name == "barline":
        last -= 1
    return [*gaps, (last, end)]
