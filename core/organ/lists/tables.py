"""Lists of several divisions side by side: which cell belongs to which column."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

from core.organ.lists.aids import read_tremulant
from core.organ.lists.cells import FROM_KEY, TABLE_CELL, column_at, is_figure
from core.organ.lists.couplers import read_couplers
from core.organ.lists.headings import Heading
from core.organ.lists.keys import find_compasses
from core.organ.lists.knowing import is_spelling, likely
from core.organ.lists.lines import Piece
from core.organ.lists.stops import read_stops
from core.organ.lists.tokens import Sort, tokens_of
from core.organ.lists.vocabulary import fold, pattern, words
from core.organ.model import Family


def alternating(cells: list[Piece], count: int) -> list[list[Piece]]:
    """One cell a line, the columns by turns; a wider gap means that the columns to the right were empty."""
    gaps = Counter(b.lines[0] - a.lines[-1] for a, b in pairwise(cells))
    usual = gaps.most_common(1)[0][0] if gaps else 1
    columns: list[list[Piece]] = [[] for _ in range(count)]
    at, before = -1, None
    for cell in cells:
        gap = cell.lines[0] - before.lines[-1] if before else usual
        if is_figure(cell.text) and at >= 0 and columns[at]:
            columns[at][-1] = columns[at][-1].joined(cell)
        else:
            at = 0 if at < 0 or gap > usual else (at + 1) % count
            columns[at].append(cell)
        before = cell
    return columns


def by_place(heads: list[Heading], rows: list[list[Piece]]) -> list[list[Piece]] | None:
    """Columns by the places of the headings of one line, where the cells below stand under them."""
    if len({head.piece.lines for head in heads}) > 1:
        return None
    edges = sorted(head.piece.at for head in heads)
    if len(set(edges)) < len(heads) or not any(len(row) > 1 for row in rows):
        return None
    close = [min(abs(cell.at - edge) for edge in edges) <= 4 for row in rows for cell in row]
    if sum(close) * 10 < 8 * len(close):
        return None
    columns: list[list[Piece]] = [[] for _ in heads]
    places = [[min(range(len(edges)), key=lambda at: abs(edges[at] - cell.at)) for cell in row] for row in rows]
    table = all(cell.at % TABLE_CELL == 0 for row in rows for cell in row)
    for row, own in zip(rows, _past_ended(rows, places, len(edges)) if table else places, strict=True):
        for cell, place in zip(row, own, strict=True):
            columns[place].append(cell)
    return columns


def _past_ended(rows: list[list[Piece]], places: list[list[int]], count: int) -> list[list[int]]:
    """In a table that lost empty cells a stop below a column's tremulant stands in the next column, as do the rest."""
    ended = [False] * count
    made: list[list[int]] = []
    for row, own in zip(rows, places, strict=True):
        shift, moved = 0, []
        for cell, place in zip(row, own, strict=True):
            trembles = bool(pattern("tremulant").fullmatch(fold(cell.text)))
            stop = trembles or any(draft.complete for draft in read_stops(cell))
            while place + shift < count - 1 and ended[place + shift] and stop:
                shift += 1
            moved.append(min(place + shift, count - 1))
            if trembles:
                ended[min(place + shift, count - 1)] = True
        made.append(moved if len(set(moved)) == len(moved) else own)
    return made


def by_edges(rows: list[list[Piece]], count: int) -> list[list[Piece]] | None:
    """Columns by the places of the cells alone, where these make as many columns as there are headings."""
    wide = [row for row in rows if len(row) == count]
    table = all(cell.at % TABLE_CELL == 0 for row in rows for cell in row) and any(len(row) > 1 for row in rows)
    if len(wide) < 2 or len(wide) * (4 if table else 2) < len(rows):
        return None
    spans = [(min(row[n].at for row in wide), max(row[n].at for row in wide)) for n in range(count)]
    if any(left[1] + 8 > right[0] for left, right in pairwise(spans)):
        return None
    columns: list[list[Piece]] = [[] for _ in range(count)]
    places = [[min(range(count), key=lambda n: abs(spans[n][0] - cell.at)) for cell in row] for row in rows]
    for row, own in zip(rows, _past_ended(rows, places, count) if table else places, strict=True):
        for cell, place in zip(row, own, strict=True):
            columns[place].append(cell)
    return columns


def by_order(rows: list[list[Piece]], count: int) -> list[list[Piece]] | None:
    """Columns by the order of the stops in each row, where rows were flattened to single spaces."""
    cut = [_named_apart(cut_row(row), count) for row in rows]
    full = sum(len(items) == count for items in cut)
    if full < 2 or max((len(items) for items in cut), default=0) > count or full * 5 < len(cut):
        return None
    columns: list[list[Piece]] = [[] for _ in range(count)]
    ended = [_last_full(cut, column, count) for column in range(count)]
    for number, (row, items) in enumerate(zip(rows, cut, strict=True)):
        indent = row[0].at if row and row[0].at < TABLE_CELL else 0
        places = _columns_of(items, number, ended, count, indent)
        if indent < 2 and len(items) < count and columns[0] and _has_ended(columns[0], items[0], columns[1]):
            places = [place + 1 for place in places]
        for at, column in enumerate(places):
            columns[column].append(items[at])
    return columns


def _named_apart(items: list[Piece], count: int) -> list[Piece]:
    """``Hautboy Cremona``, ``Voce umana Flauto 4'``: in a row with too few items two known names are two stops."""
    for at, item in enumerate(items):
        if len(items) >= count:
            break
        halves = _two_names(item)
        if halves is not None:
            items = [*items[:at], *halves, *items[at + 1 :]]
    return items


def _two_names(item: Piece) -> list[Piece] | None:
    spoken = [token for token in tokens_of(item.text) if token.sort in (Sort.WORD, Sort.NUMERAL)]
    if not 2 <= len(spoken) <= 6 or read_couplers(item, within=None, section=False):
        return None
    whole = read_stops(item)
    if len(whole) == 1 and is_spelling(whole[0].name) and item.text.startswith(whole[0].name):
        return None
    for word in spoken[1:]:
        left, right = item.cut(0, word.start), item.cut(word.start)
        one, other = read_stops(left), read_stops(right)
        if len(one) != 1 or not (one[0].exact or is_spelling(one[0].name)):
            continue
        named = len(other) == 1 and (is_spelling(other[0].name) or (one[0].exact and likely(other[0].name)))
        if named or _odd(right):
            return [left, right]
    return None


def _has_ended(column: list[Piece], item: Piece, beside: list[Piece]) -> bool:
    """Whether the left column ended: with a reed, while the item is none and the column beside it goes on."""
    odd = pattern("tremulant").search(fold(item.text)) or read_couplers(item, within=None, section=False)
    last_row = bool(beside) and beside[-1].lines[0] > column[-1].lines[0]
    if last_row:
        return True
    if fold(item.text).split(" ")[0].strip("-") in words("swell_reeds") and _reed(beside[-1]):
        return True
    return _reed(column[-1]) and not odd and not _reed(item) and bool(beside) and not _reed(beside[-1])


def _last_full(cut: list[list[Piece]], column: int, count: int) -> int:
    return max((n for n, items in enumerate(cut) if len(items) == count), default=-1) if column == 0 else len(cut)


def _columns_of(items: list[Piece], number: int, ended: list[int], count: int, indent: int) -> list[int]:
    """Which columns a row's items belong to: the first ones, unless the row begins with an empty cell."""
    if len(items) == count or indent < 2:
        return list(range(len(items)))
    return list(range(count - len(items), count))


def cut_row(row: list[Piece]) -> list[Piece]:
    """The items of a row: cells, cut further after each pitch or rank."""
    return [item for cell in row for item in cut_cell(cell)]


def cut_cell(cell: Piece) -> list[Piece]:
    """A cell cut after each pitch or rank before the next name; couplers and tremulants stay whole."""
    if (compasses := _compasses_first(cell)) is not None:
        return compasses
    cell = Piece(FROM_KEY.sub(r" (\1)", cell.text), cell.lines, cell.at)
    couplers = read_couplers(cell, within=None, section=False)
    if couplers:
        return [cell] if len(couplers) == 1 or re.search(r"[,&]", cell.text) else _uncoupled(cell)
    cuts = [0]
    tokens = tokens_of(cell.text)
    named = closed = False
    for at, token in enumerate(tokens):
        word = token.sort is Sort.WORD and len(token.text) > 1 and not _glue(token.text)
        lead = token.sort in (Sort.NUMBER, Sort.MARK) and at + 1 < len(tokens) and tokens[at + 1].sort is Sort.WORD
        if closed and (word or lead):
            cuts.append(token.start)
            named = closed = False
        if word:
            if named and not closed and _tremulant_ends(cell.text[cuts[-1] : token.start]):
                cuts.append(token.start)
            named = True
        elif named and token.sort in (Sort.PITCH, Sort.RANKS, Sort.NUMERAL):
            closed = True
    made = [cell.cut(start, end) for start, end in zip(cuts, [*cuts[1:], None], strict=True)]
    return [part for item in made for part in _uncoupled(item)]


def _compasses_first(cell: Piece) -> list[Piece] | None:
    """``(CC to F, 54 notes) (CC to D, 27 notes) Great to Swell``: each compass, and what follows them."""
    found = find_compasses(cell.text)
    if len(found) < 2 or re.search(r"[^\W\d_]", cell.text[: found[0].start]):
        return None
    spots = [0, *(len(cell.text[: one.start].rstrip(" (")) for one in found[1:])]
    behind = _BEHIND_COMPASS.match(cell.text, found[-1].end)
    rest = behind.end() if behind else len(cell.text)
    between = [cell.text[one.end : other.start] for one, other in pairwise(found)]
    if any(_BEHIND_COMPASS.match(text + " x") is None for text in between):
        return None
    parts = [cell.cut(a, b) for a, b in pairwise([*spots, rest])]
    return [*parts, cell.cut(rest)] if cell.text[rest:].strip() else parts


_BEHIND_COMPASS = re.compile(
    r"[\s,;)]*(?:\d{2}\s*)?(?:(?:notes?|keys|tasten|toetsen|touches|tasti|töne|n\.)\b\.?)?[\s,;()|]*(?:(?:and|und|et|en|e|y)\s)?",
    re.IGNORECASE,
)


def _tremulant_ends(text: str) -> bool:
    return bool(pattern("tremulant").fullmatch(fold(text)))


def _uncoupled(item: Piece) -> list[Piece]:
    """``Tremulant Great to Pedal``, ``Swell to Choir Swell to Pedal``: two items without a pitch between."""
    if len(item.text) > 80 or any(token.sort is Sort.PITCH for token in tokens_of(item.text)):
        return _lead_coupler(item)
    spoken = [token for token in tokens_of(item.text) if token.sort is not Sort.BRACKET]
    for token in spoken[1:]:
        left, right = item.cut(0, token.start), item.cut(token.start)
        if _odd(left) and _odd(right):
            return [left, *_uncoupled(right)]
    return [item]


def _lead_coupler(item: Piece) -> list[Piece]:
    """``Swell to Great Contra Fagotto 16ft``: a coupler before a stop."""
    for token in tokens_of(item.text)[1:6]:
        left, right = item.cut(0, token.start), item.cut(token.start)
        if _odd(left):
            drafts = read_stops(right)
            if len(drafts) == 1 and drafts[0].complete and likely(drafts[0].name):
                return [left, right]
    return [item]


def _odd(piece: Piece) -> bool:
    if pattern("tremulant").fullmatch(fold(piece.text)):
        return True
    found = read_couplers(piece, within=None, section=False)
    return (bool(found) and len(found or []) == 1) or (
        read_tremulant(piece, None) is not None and len(piece.text.split()) == 1
    )


def _glue(text: str) -> bool:
    return fold(text).strip(".") in ("uit", "aus", "of", "de", "von", "from", "no", "nr", "ft", "and", "und")


def by_turns(heads: list[Heading], cells: list[Piece]) -> list[list[Piece]] | None:
    """A table printed cell by cell with blank lines between: its headings stand as far apart as its cells."""
    if len(cells) < 2 * len(heads) or any(len(cell.lines) > 1 for cell in cells):
        return None
    places = [head.piece.lines[-1] for head in heads] + [cell.lines[0] for cell in cells]
    gaps = [b - a for a, b in pairwise(places)]
    usual = gaps[0]
    if usual < 2 or any(gap != usual for gap in gaps[: len(heads)]) or gaps.count(usual) * 10 < 8 * len(gaps):
        return None
    columns = alternating(cells, len(heads))
    run, turns = _rises(cells), sum(_rises(column) for column in columns)
    return columns if turns <= run else None


def _rises(cells: list[Piece]) -> int:
    """How often a lower pitch follows a higher one."""
    heights = [height for cell in cells if (height := _height(cell)) is not None]
    return sum(b > a for a, b in pairwise(heights))


def by_rows(heads: list[Heading], rows: list[Piece]) -> list[Piece] | None:
    """All headings first, then a line for each of them that runs its stops together."""
    if len(rows) != len(heads) or len(heads) < 2:
        return None
    listed = [sum(draft.complete and likely(draft.name) for draft in read_stops(row)) >= 2 for row in rows]
    fits = [lists or head.section is not None for head, lists in zip(heads, listed, strict=True)]
    return rows if all(fits) and sum(listed) >= 2 else None


def restarts(pieces: list[Piece], count: int) -> list[list[Piece]]:
    """Cut one run of stops into divisions: where low pitches begin again after reeds, after a tremulant."""
    scores: list[tuple[float, int]] = []
    heights = [_height(piece) for piece in pieces]
    for at in range(1, len(pieces)):
        if heights[at] is None:
            continue
        score = 0.0
        before = next((h for h in reversed(heights[:at]) if h is not None), None)
        if heights[at] == 32:
            score += 3 if before != 32 else 0
        if heights[at] in (16, 8) and before is not None and _reed(pieces[at - 1]):
            score += 2 + (heights[at] == 16) - (1 if _reed(pieces[at]) else 0) * 3
        if pattern("tremulant").search(fold(pieces[at - 1].text)):
            score += 4
        if before is not None and heights[at] in (16, 8) and before <= 4 and not _reed(pieces[at]):
            score += 1.5
        scores.append((score, at))
    best = sorted(sorted(scores, key=lambda pair: (-pair[0], pair[1]))[: count - 1], key=lambda pair: pair[1])
    cuts = [0, *(at for _, at in best), len(pieces)]
    return [pieces[a:b] for a, b in pairwise(cuts)]


def _height(piece: Piece) -> int | None:
    drafts = read_stops(piece)
    pitch = drafts[0].pitch if len(drafts) == 1 else None
    return int(pitch) if pitch is not None and pitch.denominator == 1 else None


def _reed(piece: Piece) -> bool:
    from core.organ.names import know_stop

    drafts = read_stops(piece)
    match = know_stop(drafts[0].name) if drafts else None
    return match is not None and match.family is Family.REED


__all__ = ["alternating", "by_edges", "by_order", "by_place", "column_at", "cut_row", "restarts"]
