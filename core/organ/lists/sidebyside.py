"""Reads a block below several headings: columns, a line for each, or all stops in one run."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

from core.organ.lists.cells import is_figure
from core.organ.lists.columns import read_column
from core.organ.lists.couplers import read_couplers
from core.organ.lists.headings import Heading
from core.organ.lists.items import unrolled
from core.organ.lists.lines import Piece
from core.organ.lists.rows import Row, is_item
from core.organ.lists.state import Gathered, Place
from core.organ.lists.tables import alternating, by_edges, by_order, by_place, by_rows, by_turns, cut_row, restarts
from core.texts import say


def one_piece(row: Row) -> Piece:
    """A row as one piece, its spaces levelled."""
    return Piece(" ".join(row.line.text.split()), row.line.lines, row.line.at)


def begins_with_pitch(block: list[Row]) -> bool:
    """Whether the pitches stand before the names: most lines begin with one, and few end with one."""
    first = last = 0
    for row in block:
        for cell in unrolled(row.cells):
            begins = re.match(r"\s*\d+(?:\s*\d/\d|[⅓⅔⅗½])?\s*(?:['′’]|ft\b|p\.)?\.?\s+[^\W\d]", cell.text)
            first += bool(begins)
            last += bool(
                re.search(
                    r"[^\W\d_].*\s\d+(?:\s?\d/\d|\s?[⅓⅔⅗½⅕])?\s*(?:['′’]|ft\.?|pieds?|p\.|voet|vt)?\s*$",
                    cell.text,
                )
            )
    return first >= 2 and last * 3 <= first and not _numbered(block)


def _numbered(block: list[Row]) -> bool:
    numbers = [
        int(m[1]) for row in block for cell in row.cells if (m := re.match(r"\s*(\d{1,3})[.)]?\s+[^\W\d]", cell.text))
    ]
    steps = Counter(b - a for a, b in pairwise(numbers))
    return len(numbers) >= 3 and steps[1] * 3 >= 2 * (len(numbers) - 1)


def read_columns(gathered: Gathered, heads: list[Heading], block: list[Row]) -> bool:
    """Several headings over rows that hold a stop of each: read them as columns. Was it so?"""
    block, after = _tail(block)
    most = max((len(cut_row(row.cells)) for row in block), default=0)
    while len(heads) > max(most, 2) and heads[-1].section:
        heads = heads[:-1]  # a column of couplers in which nothing stands
    single = all(len(row.cells) == 1 for row in block)
    figures = sum(is_figure(row.cells[0].text) for row in block) if single else 0
    if single and block and figures * 10 >= 3 * len(block):
        columns = alternating([row.cells[0] for row in block], len(heads))
    elif (
        (found := by_place(heads, [row.cells for row in block])) is not None
        or (one_line(heads) and (found := by_edges([row.cells for row in block], len(heads))) is not None)
    ) or (found := by_order([row.cells for row in block], len(heads))) is not None:
        columns = found
    else:
        return False
    for head, column in zip(heads, columns, strict=True):
        if head.section is None:
            first = begins_with_pitch([Row(cell, [cell]) for cell in column])
            place = Place(within=gathered.open_division(head), pitch_first=first)
        else:
            place = Place(section=head.section, label=head.printed if head.section == "couplers" else "")
        read_column(gathered, column, place)
    read_column(gathered, [cell for row in after for cell in row.cells], Place())
    return True


def one_line(heads: list[Heading]) -> bool:
    """Whether headings stand side by side."""
    return len({head.piece.lines for head in heads}) == 1


def _tail(block: list[Row]) -> tuple[list[Row], list[Row]]:
    """Rows below a table, behind a gap, that hold no stop: couplers and the like of the whole organ."""
    cut = len(block)
    for at in range(len(block) - 1, 0, -1):
        row = block[at]
        wide = len(row.cells) > 1
        if any(is_item(cell) or is_figure(cell.text) or (wide and _couples(cell)) for cell in row.cells):
            break
        if row.line.lines[0] - block[at - 1].line.lines[0] > 1:
            cut = at
    spread = any(len(row.cells) > 1 for row in block) or sum(len(cut_row(row.cells)) > 1 for row in block[:cut]) >= 2
    return (block[:cut], block[cut:]) if spread else (block, [])


def _couples(cell: Piece) -> bool:
    return len(cell.text) < 60 and bool(read_couplers(cell, within=None, section=False))


def lists_stops(block: list[Row]) -> bool:
    """Whether a block below several headings holds stops, though the last of them heads couplers."""
    return sum(is_item(cell) for row in block for cell in row.cells) >= 3


def read_row_each(gathered: Gathered, heads: list[Heading], block: list[Row]) -> bool:
    """All headings first, then a line of stops for each of them. Was it so?"""
    lines = by_rows(heads, [one_piece(row) for row in block])
    for head, line in zip(heads, lines or (), strict=False):
        if head.section is None:
            read_column(gathered, [line], Place(within=gathered.open_division(head)))
        else:
            read_column(gathered, [line], Place(section=head.section, label=head.printed))
    return lines is not None


def read_in_one_run(gathered: Gathered, heads: list[Heading], block: list[Row]) -> Place:
    """All headings first, then all stops: a new division where 16 ft begins again after reeds or a tremulant."""
    pieces = [cell for row in block for cell in row.cells]
    stretches = by_turns(heads, pieces) or restarts(pieces, len(heads))
    place = Place()
    for head, stretch in zip(heads, stretches, strict=False):
        place = Place(within=gathered.open_division(head), pitch_first=begins_with_pitch(block))
        if stretch:
            gathered.doubt(stretch[0], say("the stops of {name} are taken to begin here", name=head.printed))
        read_column(gathered, stretch, place)
    return place
