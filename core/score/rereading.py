"""Reading an edited score again: only the bars whose directions differ, where nothing else does.

The files are compared bar by bar, by their bytes. Whatever is not the same but for directions within bars (or
texts of the title block) is no case for this module: it answers None, and the file is read from its start.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from lxml import etree

from core.errors import EditError, ScoreError
from core.score.assembling import assemble
from core.score.encoding import decoded
from core.score.gathering import BarSigns, FinerTicksError, Gathering, Sizes, TextDraft
from core.score.headings import find_title, heading_texts
from core.score.kept import BarRead, Kept, joined_signs
from core.score.model import Score, TextKind
from core.score.outline import START_TAG, MeasureRange, Outline, first_measure_in, moved_outline, read_outline
from core.score.source import Source
from core.score.timeline import PartWalk
from core.score.tree import MAX_ELEMENTS, BarElement, count_elements, parse_piece

Element = etree._Element

_DIRECTIONS = (TextKind.WORDS, TextKind.REHEARSAL, TextKind.OTHER_DIRECTION)
_COUNTS_TIME = ("divisions", "actual-notes")  # what the common measure of all times is made of
_TAG = b"<measure"
_END = b"</measure>"


class Changed(NamedTuple):
    """A measure whose bytes differ: part and bar index, where it starts and ends now."""

    part: int
    bar: int
    start: int
    end: int


def reread(source: Source, told: str | None, earlier: Score) -> Score | None:
    """The score in an edited source, with all that is the same taken from an earlier reading; None: read it anew."""
    kept = earlier.kept
    if kept is None or kept.told != told or not kept.is_readable_in_part:
        return None
    text = decoded(source.xml, source.encoding)
    if text == kept.text:
        return assemble(replace(kept), source, earlier.notes, earlier)
    outline = outline_of(kept)
    if outline is None:
        return None
    changed = _changed(kept.text, text, outline)
    if changed is None:
        return None
    try:
        again = _Again(kept, text, outline, changed).read()
    except (ScoreError, FinerTicksError, EditError):
        return None
    return None if again is None else assemble(again, source, earlier.notes, earlier)


def outline_of(kept: Kept) -> Outline | None:
    """What stands where in a score that was read, found once; None where bars cannot be told apart by their bytes."""
    if kept.outline is None and kept.is_readable_in_part:
        outline = read_outline(kept.text)
        if not _is_plain(kept, outline):
            kept.is_readable_in_part = False
            return None
        kept.outline = outline
    return kept.outline


def _is_plain(kept: Kept, outline: Outline) -> bool:
    """Whether every bar stands in the file as its own measure, and is counted as the reader counted."""
    root = START_TAG.match(kept.text, outline.root)
    if root is None or not root[0].startswith(b"<score-partwise") or b"[" in kept.text[: outline.root]:
        return False
    if any(credit.start > _first_measure(outline) for credit in outline.credits):
        return False
    lengths = [len(part) for part in outline.parts]
    if len(lengths) != len(kept.players.parts) or max(lengths, default=0) != len(kept.records):
        return False
    for bar, records in enumerate(kept.records):
        for record in records:
            measure = outline.parts[record.part][bar] if bar < lengths[record.part] else None
            if measure is None or measure.start < 0:
                return False
            if (measure.first_note - 1, measure.first_direction - 1) != (record.note, record.direction):
                return False
    return True


def _first_measure(outline: Outline) -> int:
    return outline.parts[0][0].start


def _changed(old: bytes, new: bytes, outline: Outline) -> list[Changed] | None:
    """The measures whose bytes differ; None where anything else between the first and the end of the file does."""
    found = []
    first = first_measure_in(new, outline.root)
    shift = first - _first_measure(outline)
    if first < 0:
        return None
    done = _first_measure(outline)  # up to here the files are compared
    for part, bar, measure in _measures(outline):
        if new[done + shift : measure.end + shift] == old[done : measure.end]:
            done = measure.end
            continue
        start = measure.start + shift
        if new[done + shift : start] != old[done : measure.start] or not new.startswith(_TAG, start):
            return None
        end = new.find(_END, start) + len(_END)
        if end < start:
            return None
        found.append(Changed(part, bar, start, end))
        shift = end - measure.end
        done = measure.end
    return found if new[done + shift :] == old[done:] else None


def _measures(outline: Outline) -> Iterator[tuple[int, int, MeasureRange]]:
    for part, measures in enumerate(outline.parts):
        for bar, measure in enumerate(measures):
            yield part, bar, measure


class _Again:
    """One rereading: the changed measures, into a copy of what was kept."""

    def __init__(self, kept: Kept, text: bytes, outline: Outline, changed: Sequence[Changed]) -> None:
        self.kept, self.text, self.outline, self.changed = kept, text, outline, changed
        self.moved = moved_outline(outline, text, changed)
        tag = START_TAG.match(kept.text, outline.root)
        assert tag is not None
        self.root_tag = tag[0]
        self.elements = kept.elements

    def read(self) -> Kept | None:
        """What is kept of the new text; None where it cannot be had this way."""
        kept = self.kept
        head = self._head()
        if head is None:
            return None
        signs = list(kept.found.signs)
        records = list(kept.records)
        pieces: dict[tuple[int, int], Gathering] = {}
        for one in self.changed:
            read = self._bar(one)
            if read is None:
                return None
            record, pieces[one.part, one.bar] = read
            records[one.bar] = [record if each.part == one.part else each for each in records[one.bar]]
            signs[one.bar] = joined_signs([each.signs for each in records[one.bar]])
        if self.elements > MAX_ELEMENTS:
            return None
        found, placed = _spliced(kept, records, pieces, self.moved)
        found.signs = signs
        return replace(
            kept,
            text=self.text,
            elements=self.elements,
            title=head[0],
            headings=head[1],
            found=found,
            records=placed,
            outline=self.moved,
        )

    def _head(self) -> tuple[str, Sequence[TextDraft]] | None:
        """Title and texts of the title block; None where the list of parts is another."""
        kept, before = self.kept, self.kept.text[: _first_measure(self.outline)]
        after = self.text[: _first_measure(self.moved)]
        if before == after:
            return kept.title, kept.headings
        end = b"</part></score-partwise>"
        old, new = parse_piece(before + end), parse_piece(after + end)
        if old is None or new is None or not after.startswith(before[: self.outline.root] + self.root_tag):
            return None
        if [_bytes(c) for c in old if c.tag != "credit"] != [_bytes(c) for c in new if c.tag != "credit"]:
            return None
        self.elements += count_elements(after) - count_elements(before)
        players = kept.players
        organ = next((i for i, part in enumerate(players.parts) if part.organ), 0)
        return find_title(new), heading_texts(new, players.headers, players.parts, organ)

    def _bar(self, one: Changed) -> tuple[BarRead, Gathering] | None:
        """A changed measure read in the state in which the walk came to it; None where more than directions differ."""
        kept = self.kept
        record = next(r for r in kept.records[one.bar] if r.part == one.part)
        was = self.outline.parts[one.part][one.bar]
        old_bytes, new_bytes = kept.text[was.start : was.end], self.text[one.start : one.end]
        old, new = self._measure(old_bytes), self._measure(new_bytes)
        if old is None or new is None or not _differ_in_directions(old, new):
            return None
        self.elements += count_elements(new_bytes) - count_elements(old_bytes)
        found, signs = Gathering(kept.ticks), BarSigns()
        part = kept.players.parts[one.part]
        walk = PartWalk(one.part, found, part.hands, keys_as_written=part.organ, path=None)
        walk.resume(record.before, record.note, self.moved.parts[one.part][one.bar].first_direction - 1)
        walk.read_bar(BarElement(new, new), one.bar, kept.bars[one.bar].onset, record.number, signs)
        return None if walk.state() != record.after else (record._replace(signs=signs), found)

    def _measure(self, text: bytes) -> Element | None:
        root = parse_piece(self.root_tag + b"<part>" + text + b"</part></score-partwise>")
        if root is None or len(root) != 1 or len(root[0]) != 1 or root[0][0].tag != "measure":
            return None
        return root[0][0]


def _bytes(element: Element) -> bytes:
    return etree.tostring(element, with_tail=False)


def _differ_in_directions(old: Element, new: Element) -> bool:
    """Whether two measures are the same but for their directions, and these count time alike."""
    if old.attrib != new.attrib:
        return False
    kept = [[_bytes(child) for child in measure if child.tag != "direction"] for measure in (old, new)]
    counts = [{(e.tag, e.text) for e in measure.iter(*_COUNTS_TIME)} for measure in (old, new)]
    return kept[0] == kept[1] and counts[0] == counts[1]


def _spliced(
    kept: Kept,
    records: Sequence[Sequence[BarRead]],
    pieces: dict[tuple[int, int], Gathering],
    moved: Outline,
) -> tuple[Gathering, list[list[BarRead]]]:
    """All that was found, with that of the changed bars in its place; the records say where everything now stands."""
    former = kept.found
    found = Gathering(
        former.ticks,
        lines=list(former.lines),
        dynamics=list(former.dynamics),
        tempos=list(former.tempos),
        fermatas=list(former.fermatas),
        troubles=list(former.troubles),
    )
    grown = Sizes(*(0 for _ in Sizes._fields))
    placed: list[list[BarRead]] = []
    for bar, reads in enumerate(records):
        row: list[BarRead] = []
        for record in reads:
            direction = moved.parts[record.part][bar].first_direction - 1
            piece = pieces.get((record.part, bar))
            start = _plus(record.start, grown)
            if piece is None:
                found.texts += _moved(former.texts[record.start.texts : record.end.texts], direction - record.direction)
            else:
                found.texts += piece.texts
                _put(found, piece, start, record)
                grown = _plus(_plus(grown, piece.sizes()), _plus(record.end, record.start, -1), -1)
            end = _plus(record.end, grown)
            if start is record.start and end is record.end and direction == record.direction:
                row.append(record)
            else:
                row.append(record._replace(start=start, end=end, direction=direction))
        placed.append(row)
    return found, placed


def _plus(one: Sizes, other: Sizes, times: int = 1) -> Sizes:
    if not any(other):
        return one
    return Sizes(*(a + times * b for a, b in zip(one, other, strict=True)))


def _put(found: Gathering, piece: Gathering, start: Sizes, record: BarRead) -> None:
    """A bar's own things in the place of its former ones (the texts are put in order as they come)."""
    for name in Sizes._fields[1:]:
        at: int = getattr(start, name)
        until = at + getattr(record.end, name) - getattr(record.start, name)
        getattr(found, name)[at:until] = getattr(piece, name)


def _moved(texts: Sequence[TextDraft], by: int) -> Sequence[TextDraft]:
    """Texts whose directions have other ordinals in the file than before."""
    if not by:
        return texts
    return [
        text._replace(element=text.element + by)
        if text.kind in _DIRECTIONS or text.role.endswith("of direction")
        else text
        for text in texts
    ]
