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
from core.score.gathering import NOTHING, BarSigns, FinerTicksError, Gathering, TextDraft
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
_MOST = 100  # more bars changed at once are another file


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
        return assemble(replace(kept), source, earlier)
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
    return None if again is None else assemble(again, source, earlier)


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
    if not outline.parts or not outline.parts[0]:
        return False  # parts within parts: no measure stands where the first is looked for
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
        if len(found) > _MOST:
            return None
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
        for one in self.changed:
            record = self._bar(one)
            if record is None:
                return None
            records[one.bar] = [record if each.part == one.part else each for each in records[one.bar]]
            signs[one.bar] = joined_signs([each.signs for each in records[one.bar]])
        if self.elements > MAX_ELEMENTS:
            return None
        found = _gathered(kept, records, self.moved)
        found.signs = signs
        return replace(
            kept,
            text=self.text,
            elements=self.elements,
            title=head[0],
            headings=head[1],
            found=found,
            records=records,
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

    def _bar(self, one: Changed) -> BarRead | None:
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
        before = self.moved.parts[one.part][one.bar].first_direction - 1
        walk.resume(record.before, record.note, before)
        walk.read_bar(BarElement(new, new), one.bar, kept.bars[one.bar].onset, record.number, signs)
        if walk.state() != record.after:
            return None
        return record._replace(direction=before, piece=found.since((0, 0, 0, 0, 0, 0)), signs=signs)

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


def _gathered(kept: Kept, records: Sequence[Sequence[BarRead]], moved: Outline) -> Gathering:
    """All that was found, bar by bar."""
    found = Gathering(kept.ticks)
    for bar, reads in enumerate(records):
        for record in reads:
            piece = record.piece
            if piece is NOTHING:
                continue
            by = moved.parts[record.part][bar].first_direction - 1 - record.direction
            found.take(piece._replace(texts=_moved(piece.texts, by)) if by and piece.texts else piece)
        if bar in kept.troubles:
            found.troubles += kept.troubles[bar]
    return found


def _moved(texts: Sequence[TextDraft], by: int) -> tuple[TextDraft, ...]:
    """Texts whose directions have other ordinals in the file than when they were read."""
    return tuple(
        text._replace(element=text.element + by)
        if text.kind in _DIRECTIONS or text.role.endswith("of direction")
        else text
        for text in texts
    )
