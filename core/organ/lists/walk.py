"""Walks through a list: finds its headings, and tells which stretch of it belongs to which of them."""

from __future__ import annotations

import re

from core.organ.lists.apart import lists_only_aids
from core.organ.lists.cells import cells_of, column_at, columns_of, is_figure
from core.organ.lists.columns import heading_of, read_column
from core.organ.lists.couplers import read_couplers
from core.organ.lists.headings import Heading
from core.organ.lists.headrow import read_headings
from core.organ.lists.items import run_in, unrolled
from core.organ.lists.keys import find_compasses
from core.organ.lists.knowing import knows
from core.organ.lists.lines import Piece
from core.organ.lists.nameruns import cut_run
from core.organ.lists.prose import is_caption, is_of_case, is_prose, is_unit_rank
from core.organ.lists.remarks import is_half_label
from core.organ.lists.rows import Row, cut_at_headings, is_item, led, present_state
from core.organ.lists.sentences import is_note, take_sentences
from core.organ.lists.sidebyside import (
    begins_with_pitch,
    lists_stops,
    one_piece,
    read_columns,
    read_in_one_run,
    read_row_each,
)
from core.organ.lists.state import Gathered, Place
from core.organ.lists.stops import read_stops
from core.organ.lists.vocabulary import fold, pattern, words
from core.texts import say


def walk(lines: list[Piece]) -> Gathered:
    """Read a whole list."""
    gathered = Gathered()
    rows = [Row(part, cells_of(part)) for line in lines if line.text.strip() for part in cut_at_headings(line)]
    rows = led(rows)
    rows = present_state(gathered, [row for row in rows if row.cells])
    pending: list[Heading] = []
    block: list[Row] = []
    place = Place()
    for at, row in enumerate(rows):
        heads = _headings(row, rows[at + 1 : at + 4], rows[at - 1] if at else None)
        if not heads:
            block.append(row)
            continue
        if block and (_has_items(block) or (pending and pending[-1].section)):
            place = _flush(gathered, pending, block, place)
            pending, block = [], []
        elif block:
            _aside(gathered, block)
            block = []
        _pend(pending, heads)
        if heads[-1].rest is not None and len(pending) > 1 and _lists(heads[-1].rest):
            place = _flush(gathered, pending[:-1], [], place)  # "I. Koppelmanual" before "II. Hauptwerk: …"
            del pending[:-1]
        if heads[-1].rest is not None:
            rest = heads[-1].rest
            block.append(Row(rest, [rest]))
    _flush(gathered, pending, block, place)
    return gathered


def _headings(row: Row, after: list[Row], before: Row | None) -> list[Heading]:
    """The headings that a row is made of, or none."""
    if len(row.line.text) > 160 and not re.search(r":| [-–—] ", row.line.text[:70]):
        return []
    if len(row.line.text) > 60 and is_prose(row.line.text) and ":" not in row.line.text:
        return []
    if len(row.cells) == 1 and (several := read_headings(row.cells[0])):
        listed = any(is_item(cell) for one in after for cell in one.cells)
        certain = not any(head.short for head in several) and "/" not in row.line.text
        return several if listed or certain else []
    told = [cell for cell in row.cells if not is_caption(cell.text) or is_figure(cell.text)] or row.cells
    found = [heading_of(cell) for cell in told]
    found = _with_unknown(found, told)
    heads = [head for head in found if head is not None]
    if len(heads) < len(found):
        whole = heading_of(Piece(" ".join(row.line.text.split()), row.line.lines, row.line.at))
        aside = all(head is not None or _beside(cell) for head, cell in zip(found, told, strict=True))
        fits = whole is not None and whole.rest is None and len(row.cells) <= 3 and (not heads or aside)
        heads = [whole] if fits and whole is not None else []
        if not heads:
            return []
    return [] if any(_doubtful(head, row, after) for head in heads) else heads


def _with_unknown(found: list[Heading | None], cells: list[Piece]) -> list[Heading | None]:
    """Among headings with their compasses the one cell that no list of words knows but that has a compass too."""
    odd = [at for at, head in enumerate(found) if head is None]
    told = sum(head is not None and (head.keys is not None or head.compass is not None) for head in found)
    if len(odd) != 1 or told < 2 or told < len(found) - 1:
        return found
    cell = cells[odd[0]]
    compasses = find_compasses(cell.text)
    name = cell.text[: compasses[0].start].strip(" (,:-–") if compasses else ""
    if not re.search(r"[^\W\d_]{4}", name):
        return found
    head = Heading(piece=cell, printed=name, compass=compasses[0])
    head.enclosed = True if pattern("enclosed").search(fold(name)) else None
    return [head if one is None else one for one in found]


def _beside(cell: Piece) -> bool:
    """Whether a cell tells beside a heading what belongs to it: a compass, a box."""
    return bool(find_compasses(cell.text)) or bool(pattern("enclosed").match(fold(cell.text).lstrip("( ")))


def _doubtful(head: Heading, row: Row, after: list[Row]) -> bool:
    """A name of a stop, a phrase or a bare number is a heading only where stops follow it."""
    text = head.piece.text.strip()
    stops_follow = any(is_item(cell) or run_in(cell) is not None for one in after for cell in one.cells)
    if head.section == "accessories" and head.rest is None and fold_is_aid(text) and not stops_follow:
        return False
    if head.rest is not None and _lists(head.rest):
        return False
    if head.phrase or (head.word is None and head.section is None):
        return not (stops_follow or any(heading_of(c) for one in after for c in one.cells))
    if head.word is not None and head.word.stop and head.rest is None and head.keyboard is None:
        plain = not (text.isupper() or ":" in text or re.search(r"organ|werk|clavier", text, re.IGNORECASE))
        gap = bool(after) and after[0].line.lines[0] - row.line.lines[-1] > 1
        return plain and not gap and not stops_follow
    return False


def _lists(rest: Piece) -> bool:
    return sum(draft.complete for draft in read_stops(rest)) >= 2


def fold_is_aid(text: str) -> bool:
    """Whether a heading for accessories could be an item itself."""
    return len(text.split()) <= 2


def _pend(pending: list[Heading], heads: list[Heading]) -> None:
    """Add headings to those that wait; a keyboard alone and a name alone on two lines are one heading."""
    if pending and len(heads) == 1 and pending[-1].rest is None:
        last, head = pending[-1], heads[0]
        if head.word is not None and head.word is last.word and head.phrase and head.piece.lines == last.piece.lines:
            return  # one line named it twice
        if last.section is None and head.section is None:
            fits = head.word is not None and head.word.role != "pedal" and head.keyboard in (None, last.keyboard)
            if last.word is None and fits:
                head.keyboard = last.keyboard
                _share(last, head)
                head.piece = last.piece.joined(head.piece)
                pending[-1] = head
                return
            if head.word is None and last.word is not None and last.keyboard is None and _close(last, head):
                last.keyboard = head.keyboard
                _share(head, last)
                last.piece = last.piece.joined(head.piece)
                return
    pending.extend(heads)


def _share(told: Heading, head: Heading) -> None:
    """What one of two lines of a heading tells beside the number of the keyboard: compass, keys, box."""
    head.compass = head.compass or told.compass
    head.keys = head.keys or told.keys
    head.enclosed = told.enclosed if head.enclosed is None else head.enclosed


def _close(one: Heading, other: Heading) -> bool:
    return other.piece.lines[0] - one.piece.lines[-1] <= 2


def _has_items(block: list[Row]) -> bool:
    return any(
        is_item(cell)
        or (run_in(cell) and not is_unit_rank(cell.text))
        or (is_figure(cell.text) and len(row.cells) == 1)
        for row in block
        for cell in row.cells
    )


def _aside(gathered: Gathered, block: list[Row]) -> None:
    """Lines between headings that list nothing."""
    read_column(gathered, [one_piece(row) for row in block], Place(section="aside"))


def _flush(gathered: Gathered, heads: list[Heading], block: list[Row], place: Place) -> Place:
    """Read a block under the headings that stand before it."""
    block = _without_prose(gathered, block, heads)
    if not heads:
        return _unheaded(gathered, block, place)
    sections = [head.section for head in heads]
    if len(heads) > 1 and (read_row_each(gathered, heads, block) or read_columns(gathered, heads, block)):
        return Place(within=len(gathered.divisions) - 1)
    if len(heads) > 1 and block and (not any(sections) or lists_stops(block)):
        return read_in_one_run(gathered, [head for head in heads if head.section is None], block)
    for head in heads:
        if head.section is None:
            place = Place(within=gathered.open_division(head))
        else:
            label = head.printed if head.section == "couplers" else ""
            near = len(gathered.divisions) - 1 if head.rest is not None and gathered.divisions else None
            place = Place(within=None, section=head.section, label=label, near=near)
    place.pitch_first = begins_with_pitch(block)
    _read_block(gathered, block, place)
    return place


def _without_prose(gathered: Gathered, block: list[Row], heads: list[Heading]) -> list[Row]:
    """Take sentences out of a block, so that they are no row of a table."""
    kept: list[Row] = []
    sentence: list[Piece] = []
    within = len(gathered.divisions) - 1 if not heads and gathered.divisions else None
    for row in block:
        one = one_piece(row)
        told = heads and heads[-1].section and row.line is heads[-1].rest and len(one.text) < 120
        if told and re.match(r"[^\d;]+,", one.text) and one.text.rstrip().endswith("."):
            kept.append(row)  # "Accessories: …, …"
            continue
        listed = _list_in_sentence(one)
        if listed is not None:
            take_sentences(gathered, [*sentence, one.cut(0, listed.at)], within)
            sentence = []
            kept.append(Row(listed, [listed]))
            continue
        follows = bool(sentence) and _goes_on(sentence[-1], one) and not is_half_label(one)
        spread = len(row.cells) > 1 and any(
            is_item(cell) or read_couplers(cell, within=None, section=False) for cell in row.cells
        )
        if not spread and (is_prose(one.text) or follows) and not is_note(one.text) and not _listed(one):
            if sentence and not follows:
                take_sentences(gathered, sentence, within)
                sentence = []
            sentence.append(one)
        else:
            kept.append(row)
    take_sentences(gathered, sentence, within)
    return kept


def _listed(piece: Piece) -> bool:
    """Whether a line that reads like a sentence lists stops, couplers or aids."""
    if is_of_case(piece.text):
        return False
    return run_in(piece) is not None or cut_run(piece) is not None or lists_only_aids(piece)


def _list_in_sentence(piece: Piece) -> Piece | None:
    """The run-in list that a sentence ends with: ``… The stops are: Open Diapason, Principal, …``."""
    found = re.search(r":\s", piece.text)
    if found is None or not is_prose(piece.text[: found.start()]):
        return None
    rest = Piece(piece.text[found.end() :].strip(), piece.lines, found.end())
    return rest if run_in(rest) is not None else None


def _goes_on(before: Piece, piece: Piece) -> bool:
    """Whether a line goes on with the sentence of the line before."""
    ends = before.text.rstrip()[-1:] in ".!?:"
    begins_small = piece.text[:1].islower()
    near = piece.lines[0] - before.lines[-1] == 1
    return near and (not ends or begins_small) and (begins_small or is_prose(piece.text) or len(before.text) > 50)


def _unheaded(gathered: Gathered, block: list[Row], place: Place) -> Place:
    """What stands before the first heading: the one manual's stops where there are enough of them."""
    cells = unrolled([cell for row in block for cell in row.cells])
    stops = sum(is_item(cell) for cell in cells)
    complete = sum(any(d.complete for d in read_stops(cell)) for cell in cells)
    known = sum(any(knows(d.name) for d in read_stops(cell)) for cell in cells)
    plain = known >= 5 and known * 2 >= len(block)
    if (
        plain
        or (stops >= 3 and complete * 2 >= stops and stops * 2 >= len(block))
        or (stops >= 2 and stops == len(block))
    ):
        first = next(
            row for row in block if any(map(is_item, unrolled(row.cells))) or any(map(is_half_label, row.cells))
        )
        before = [row for row in block if row.line.lines < first.line.lines]
        _aside(gathered, before)
        head = Heading(piece=Piece("", ()), printed="Manual", keyboard=None)
        place = Place(within=gathered.open_division(head))
        gathered.doubt(first.line, say("no heading: the stops are taken for those of one manual"))
        block = block[len(before) :]
        place.pitch_first = begins_with_pitch(block)
        _read_block(gathered, block, place)
        return place
    _aside(gathered, block)
    return place


def _read_block(gathered: Gathered, block: list[Row], place: Place) -> None:
    """One division's rows: column by column where they stand in columns, else row by row."""
    block = [Row(row.line, kept) for row in block if (kept := _listing(row))]
    if _halves_by_turns(gathered, block, place):
        return
    wide = [row for row in block if len(row.cells) >= 2]
    positional = len(wide) >= 2 and len(wide) * 4 >= len(block)
    if not positional:
        read_column(gathered, [cell for row in block for cell in row.cells], place)
        return
    edges = columns_of([cell.at for row in block for cell in row.cells if len(row.cells) >= 2])
    for number in range(len(edges)):
        column = [cell for row in block for cell in row.cells if column_at(edges, cell.at) == number]
        own = Place(place.within, place.section, place.label, place.pitch_first, place.near)
        read_column(gathered, column, own)


def _halves_by_turns(gathered: Gathered, block: list[Row], place: Place) -> bool:
    """``Mano izquierda`` and ``Mano derecha`` one below the other, then a stop of each by turns. Was it so?"""
    from core.organ.lists.tables import alternating

    labels = [row.cells[0] for row in block[:2] if len(row.cells) == 1 and is_half_label(row.cells[0])]
    cells = [row.cells[0] for row in block[2:] if len(row.cells) == 1]
    if len(labels) < 2 or len(cells) < len(block) - 2 or len(cells) < 4:
        return False
    for label, column in zip(labels, alternating(cells, 2), strict=True):
        read_column(gathered, [label, *column], Place(place.within, place.section))
    return True


def _listing(row: Row) -> list[Piece]:
    """The cells of a row but those that only say which family stands below (``_Foundation._``)."""
    return [cell for cell in row.cells if fold(cell.text).strip(" .:") not in words("column_captions")]
