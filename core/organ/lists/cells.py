"""Cuts lines into cells and cells into columns: tabs, pipes, runs of spaces, rows flattened to single spaces."""

from __future__ import annotations

import re

from core.organ.lists.keys import find_compasses
from core.organ.lists.lines import Piece
from core.organ.lists.remarks import is_half
from core.organ.lists.tokens import Sort, tokens_of
from core.organ.lists.vocabulary import fold

_TABLE = re.compile(r"[|\t]")
_WIDE = re.compile(r"\s{2,}")
TABLE_CELL = 1000  # cells of a table lie so far apart that their numbers serve as places
FROM_KEY = re.compile(
    r",?\s+((?:from|to|ab|af|vanaf|fra|fr\.?|depuis|desde|dal|dai|da)\s+(?:(?:middle|tenor|ten\.|d[ou])\s*[A-Ga-g]#?"
    r"|[a-g](?:[0-3°⁰]|'{1,3})?|[CFG](?:13)?|t\.?c\.?|sol|ut|do|fa)\d?)(?=\s|$|,)"
)
_REMARK_CELL = re.compile(
    r"t\.?c\.?|ten(?:or|\.)? c|ext(?:n|d|ension)?\.?(?: \d+)?|prep(?:ared)?(?: for)?(?: only)?"
    r"|g(?:r?)vd\.?(?: bass)?|grooved(?: bass)?"
    r"|(?:stopped|grooved|common|borrowed) bass|(?:stopped )?(?:wood|metal)"
    r"|transm(?:ission|issie|\.)?|emprunt|c13|enclosed|unenclosed"
    r"|(?:from|aus|uit|fra) \S+"
)
_HEADS_COMPASS = re.compile(r"[^\W\d_]+(?: [^\W\d_]+)?(?: ?\([IVX\d]+\))?:?")
_REMARK = re.compile(r"^[(\[].*[)\]]?$")


def cells_of(line: Piece) -> list[Piece]:
    """The cells of a line, a pitch or rank with the name before it, a number with the name after it."""
    text = line.text
    if not text.strip():
        return []
    if "\t" in text or text.count("|") >= 2:
        raw = [Piece(part.strip(), line.lines, at * TABLE_CELL) for at, part in enumerate(re.split(r"\t|\|", text))]
        raw = [piece for piece in raw if piece.text]
    else:
        raw = _by_spaces(line)
    return _merged(raw)


def _by_spaces(line: Piece) -> list[Piece]:
    made, start = [], 0
    for gap in _WIDE.finditer(line.text):
        if gap.start() > start:
            made.append(line.cut(start, gap.start()))
        start = gap.end()
    if start < len(line.text):
        made.append(line.cut(start))
    return [piece for piece in made if piece.text]


def _merged(raw: list[Piece]) -> list[Piece]:
    made: list[Piece] = []
    for at, piece in enumerate(raw):
        if made and re.match(r"(?:to|zu|auf|au|al|aan) [^\W\d]", piece.text) and len(made[-1].text) < 20:
            made[-1] = made[-1].joined(piece)  # "Swell  to Pedal"
            continue
        ranges = find_compasses(piece.text) if made and len(made[-1].text) <= 20 else []
        if ranges and ranges[0].start <= 1 and _HEADS_COMPASS.fullmatch(made[-1].text.strip()):
            made[-1] = made[-1].joined(piece)  # "Pedals   CC – f, 30 notes"
            continue
        if made and _is_remark(piece.text) and not is_figure(made[-1].text):
            made[-1] = made[-1].joined(Piece(f"({piece.text})", piece.lines, piece.at), "  ")
            continue
        near = at > 0 and piece.at - raw[at - 1].at - len(raw[at - 1].text) <= 4
        remark = _REMARK.match(piece.text) and (near or (piece.text.endswith((")", "]")) and at == len(raw) - 1))
        if made and (is_figure(piece.text) or remark) and not _leads(raw, at, made):
            made[-1] = made[-1].joined(piece, "  ")
        elif made and (is_figure(made[-1].text) or made[-1].text in ('"', "”", "″", "„", "do.", "id.")):
            made[-1] = made[-1].joined(piece)
        else:
            made.append(piece)
    return made


def _is_remark(text: str) -> bool:
    """Whether a cell of its own speaks of the stop before it: ``TC``, ``ext``, ``grooved bass``."""
    return bool(_REMARK_CELL.fullmatch(fold(text).strip(" .")))


def _leads(raw: list[Piece], at: int, made: list[Piece]) -> bool:
    """Whether a figure begins the next cell: the one before has its pitch, and a name follows."""
    if at + 1 >= len(raw) or is_figure(raw[at + 1].text) or _is_remark(raw[at + 1].text):
        return False
    if re.fullmatch(r"\d{1,3}[.)]", raw[at].text.strip()):
        return True
    gap = raw[at].at - raw[at - 1].at - len(raw[at - 1].text)
    after = raw[at + 1].at - raw[at].at - len(raw[at].text)
    if after <= 2 and gap >= 5 and raw[at].at < TABLE_CELL and not is_figure(raw[-1].text):
        return True
    tokens = tokens_of(made[-1].text)
    ended = bool(tokens) and tokens[-1].sort in (Sort.PITCH, Sort.RANKS, Sort.NUMERAL)
    first = is_figure(raw[0].text) or _only_name(raw[0].text)
    return first and (
        ended
        or (
            bool(re.match(r"^(?:\d{1,3}[.)]?|\d+\s*['′’])$", piece_text(raw[at])))
            and not ended
            and _only_name(made[-1].text)
        )
    )


def piece_text(piece: Piece) -> str:
    """The text of a piece without spaces at its ends."""
    return piece.text.strip()


def _only_name(text: str) -> bool:
    tokens = tokens_of(text)
    return bool(tokens) and tokens[0].sort in (Sort.PITCH, Sort.RANKS, Sort.NUMERAL) and len(tokens) > 1


def is_figure(text: str) -> bool:
    """Whether a cell holds only a pitch, ranks or a number."""
    if re.fullmatch(r"\s*\d{1,3}[.)]\s*", text):
        return True
    if re.fullmatch(r"\s*[IV]{1,3}\s?/\s?[IVP]{1,3}\s*", text):
        return False  # "II/I" couples
    text = FROM_KEY.sub(" ", text)
    if re.match(r"\s*(?:\d|[IVX]+\b)", text):
        text = " ".join(
            word for word in text.split() if not (is_half(word) and (len(word) > 2 or word in ("B", "D", "T")))
        )
    sorts = [token.sort for token in tokens_of(text)]
    if not sorts:
        return True
    if re.match(r"\s*(?:XII|XV|XIX|XXII|XXVI|XXIX|XXXIII|XXXVI)(?!\w)", text):
        return False
    figures = (Sort.PITCH, Sort.RANKS, Sort.NUMERAL, Sort.NUMBER, Sort.ORDINALS, Sort.MARK, Sort.SIGN)
    if all(sort in figures for sort in sorts):
        return True
    if sorts[0] in figures[:2] and all(sort in figures or sort is Sort.BRACKET for sort in sorts):
        return True
    if sorts[0] is Sort.BRACKET and len(sorts) > 1 and all(sort in figures for sort in sorts[1:]):
        return True
    words = [t.text for t in tokens_of(text) if t.sort is Sort.WORD]
    return all(
        re.fullmatch(r"(?:uit|aus|of|de|von|from|u\.?|und|and|no\.?|nr\.?)", word, re.I) for word in words
    ) and any(sort in figures for sort in sorts)


def columns_of(places: list[int], width: int = 7) -> list[int]:
    """The left edges of columns, from the places where cells begin; single strays make none."""
    edges: list[list[int]] = []
    for place in sorted(places):
        if edges and place - edges[-1][-1] <= width:
            edges[-1].append(place)
        else:
            edges.append([place])
    kept = [group for group in edges if len(group) >= max(1, len(places) // 20)]
    return [group[0] for group in kept] or [0]


def column_at(edges: list[int], place: int) -> int:
    """Which column a place lies in."""
    return max((at for at, edge in enumerate(edges) if edge <= place + 2), default=0)
