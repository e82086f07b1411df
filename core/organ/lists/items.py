"""Cuts run-in lists into items and joins what was wrapped over lines."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from core.organ.lists.cells import is_figure
from core.organ.lists.couplers import read_couplers
from core.organ.lists.keys import find_compasses
from core.organ.lists.knowing import is_spelling, knows, likely
from core.organ.lists.lines import Piece
from core.organ.lists.nameruns import cut_run
from core.organ.lists.prose import is_prose, is_wind
from core.organ.lists.stops import read_stops
from core.organ.lists.tables import cut_cell
from core.organ.lists.vocabulary import fold, pattern

_SEPARATORS = (
    re.compile(r"\s*;\s*"),
    re.compile(
        r"\s*,\s+(?!\d+\s*(?:ranks|rks|fach|f\b|st\b|rangs)|no\b|wood\b|metal\b|tin\b|zinc\b|(?:bass|treble|basse|dessus|bassi|soprani)\b(?!\s*\d))(?=[^()]*(?:\(|$))",
        re.IGNORECASE,
    ),
    re.compile(r"\s*[•●▪·|]\s*"),
    re.compile(r"\s+/\s+"),
    re.compile(r"\s+[–—-]\s+"),
    re.compile(r"(?<=[\w')’′])\.\s+(?=[A-ZÀ-Ý\"])"),
)


@lru_cache(maxsize=2048)
def is_stop_like(text: str) -> bool:
    """Whether a text would do as one stop, by a known name, or a likely one with its pitch."""
    drafts = read_stops(Piece(text, (0,)))
    if len(drafts) != 1 or re.match(r"\s*no\.", text, re.IGNORECASE):
        return False
    return knows(drafts[0].name) or (drafts[0].complete and likely(drafts[0].name))


def run_in(piece: Piece) -> re.Pattern[str] | None:
    """The separator of a run-in list, or None where a line is no such list."""
    if is_wind(piece.text):
        return None
    text = re.sub(r"\([^()]*\)", lambda found: "·" * len(found.group()), piece.text)
    best, most = None, 1
    numbers = [int(number) for number in re.findall(r"(?<!\S)(\d{1,3})\.(?=\s+[^\W\d])", text)]
    numbered = len(numbers) >= 2 and 2 * sum(b - a == 1 for a, b in pairwise(numbers)) >= len(numbers) - 1
    for separator in _SEPARATORS[:-1] if numbered or re.match(r"\s*[ivxl]{1,6}\.\s", text) else _SEPARATORS:
        if len(separator.findall(text)) < 1:
            continue
        parts = [part for part in separator.split(piece.text) if part.strip()]
        good = sum(is_stop_like(part) for part in parts[:40])
        if good > most and good * 10 >= min(len(parts), 40) * 5:
            best, most = separator, good
    return best


def split_at(piece: Piece, separator: re.Pattern[str]) -> list[Piece]:
    """The parts of a piece between separators; those within brackets do not cut."""
    made, start = [], 0
    masked = re.sub(r"\([^()]*\)", lambda found: "x" * len(found.group()), piece.text)
    for found in separator.finditer(masked):
        if piece.text[start : found.start()].strip():
            made.append(piece.cut(start, found.start()))
        start = found.end()
    if piece.text[start:].strip():
        made.append(piece.cut(start))
    return made


def unrolled(pieces: list[Piece]) -> list[Piece]:
    """Pieces with run-in lists cut into items, what is broken at a line's end joined again."""
    made: list[Piece] = []
    open_item: Piece | None = None
    separator: re.Pattern[str] | None = None
    for piece in pieces:
        found = run_in(piece)
        follows = separator is not None and made and piece.lines[0] - made[-1].lines[-1] <= 1
        if found is None and not follows:
            made, open_item = _closed(made, open_item), None
            made.extend(_run_together(piece))
            separator = None
            continue
        separator = found or separator
        assert separator is not None
        parts = [item for part in split_at(piece, separator) for item in _sentences_apart(part)]
        if open_item is None and parts and made and is_figure(parts[0].text) and _figure_fits(made[-1], parts[0]):
            open_item = made.pop()
        if open_item is not None and parts and _begins_anew(open_item, parts[0]):
            made.append(open_item)
            open_item = None
        if open_item is not None and parts:
            parts[0] = open_item.joined(parts[0])
            open_item = None
        parts[-1:] = _and_split(parts[-1]) if parts else []
        tail = piece.text.rstrip()
        if parts and tail[-1:] not in ",;.•/–-" and not _whole(parts[-1].text):
            open_item = parts.pop()
        made.extend(parts)
    return _closed(made, open_item)


_AND = re.compile(r"\s+(?:y|e|et|und|and|en|och|og|i|a)\s+", re.IGNORECASE)


def _and_split(part: Piece) -> list[Piece]:
    """``octava y tapadillo.``: the last two stops of a run-in list, unless the pair itself is the name of a stop."""
    found = _AND.search(part.text)
    if found is None or any(sign.isdigit() for sign in part.text) or len(part.text.split()) > 6:
        return [part]
    left, right = part.cut(0, found.start()), part.cut(found.end())
    names = [piece.text.strip(" .;,") for piece in (left, right)]
    both = is_spelling(part.text.strip(" .;,")) or not all(is_spelling(name) for name in names)
    return [part] if both else [left, right]


def _begins_anew(open_item: Piece, part: Piece) -> bool:
    """Whether a line that ends in a known name without its pitch is complete: the next begins with another item."""
    if not knows(open_item.text.strip(" .,")) or not part.text[:1].isupper():
        return False
    return bool(pattern("tremulant").match(fold(part.text))) or _whole(part.text) or is_stop_like(part.text)


@lru_cache(maxsize=2048)
def _run_together(piece: Piece) -> tuple[Piece, ...]:
    return tuple(_apart(piece))


def _apart(piece: Piece) -> list[Piece]:
    """``Principal 8' Gedackt 8' … Tremulant``: items with nothing but their pitches between."""
    if (names := cut_run(piece)) is not None:
        return names
    if (two := _behind_half(piece)) is not None:
        return two
    if is_prose(piece.text) or (
        len(piece.text) < 24 and not pattern("tremulant").match(fold(piece.text)) and "erza mano" not in piece.text
    ):
        return [piece]
    halves = piece.text.split(";")
    if len(halves) > 1 and all(read_couplers(Piece(half, piece.lines), within=None, section=False) for half in halves):
        return [piece]
    parts = [name for part in cut_cell(piece) for name in cut_run(part) or [part]]
    stops = [is_stop_like(part.text) for part in parts]
    if (
        len(parts) >= 3
        and any(stops)
        and all(stop or _whole(part.text) for stop, part in zip(stops, parts, strict=True))
    ):
        return parts
    good = sum(_whole(part.text) or is_stop_like(part.text) for part in parts)
    complete = sum(any(draft.complete for draft in read_stops(part)) for part in parts)
    if complete < (2 if is_stop_like(parts[0].text) else 1):
        return [piece]
    return parts if len(parts) >= 2 and good == len(parts) else [piece]


_HALF_LETTER = re.compile(r"(?<=[\w'’′])\s+(?:[bsBS]\.?|bassi|soprani|ped\.)\s+(?=[A-Z][a-z])")


def _behind_half(piece: Piece) -> list[Piece] | None:
    """``Viola b Decima quinta``, ``Timpani Trigesima sesta``: two stops, the first ended by its half, or an effect."""
    found = _HALF_LETTER.search(piece.text)
    effect = pattern("aids", "other").match(fold(piece.text)) if len(piece.text) < 50 else None
    if found is not None:
        left, right = piece.cut(0, found.end()), piece.cut(found.end())
        return [left, right] if is_stop_like(left.text) and _whole_name(right.text) else None
    if effect is not None and effect.end() < len(piece.text) and piece.text[effect.end() : effect.end() + 1] == " ":
        left, right = piece.cut(0, effect.end()), piece.cut(effect.end())
        return [left, right] if right.text[:1].isupper() and _whole_name(right.text) else None
    return None


def _whole_name(text: str) -> bool:
    drafts = read_stops(Piece(text, (0,)))
    return len(drafts) == 1 and (is_spelling(drafts[0].name) or drafts[0].ranks is not None)


def _sentences_apart(piece: Piece) -> list[Piece]:
    """``Trumpet. It replaced a Cremona``, ``Octavbaß 8 Fuß. Tremulant``: the item before the full stop by itself."""
    found = re.search(r"(?<=[\w')])\.\s+(?=[A-ZÀ-Ý][^\W\d_]{2})", piece.text)
    if found is None:
        return [piece]
    left, right = piece.cut(0, found.start()), piece.cut(found.end())
    if is_prose(right.text):
        first = right.text.split(". ")[0]
        return [left, Piece(first, right.lines, right.at)] if first != right.text and _whole(first) else [left]
    if len(left.text.split()) >= 4 and _whole(right.text) and not _whole(left.text) and not is_stop_like(left.text):
        return [right]  # "one manual and pedals. Open Diapason 8"
    return [left, *_sentences_apart(right)] if _whole(left.text) else [piece]


def _closed(made: list[Piece], open_item: Piece | None) -> list[Piece]:
    return made if open_item is None else [*made, open_item]


def _whole(text: str) -> bool:
    if read_couplers(Piece(text, (0,)), within=None, section=False) or pattern("tremulant").fullmatch(fold(text)):
        return True
    drafts = read_stops(Piece(text, (0,)))
    return len(drafts) == 1 and drafts[0].complete


def mended(pieces: list[Piece]) -> list[Piece]:
    """Pieces with open brackets closed, wrapped names and lone figures joined to what they belong to."""
    made: list[Piece] = []
    for piece in pieces:
        if made and _continues(made[-1], piece):
            made[-1] = made[-1].joined(piece)
        else:
            made.append(piece)
    return made


def _continues(before: Piece, piece: Piece) -> bool:
    near = piece.lines[0] - before.lines[-1] <= 2
    if near and _open(before.text) and len(before.text) < 200:
        return True
    if is_figure(piece.text):
        return _figure_fits(before, piece)
    if find_compasses(before.text):
        return False
    drafts = read_stops(before) if near and len(before.text) < 60 else []
    if len(drafts) != 1 or drafts[0].complete or drafts[0].numeral:
        return False
    after = read_stops(piece)
    if len(after) != 1 or not after[0].complete or re.match(r"\s*(?:\d+[.)]|[*•])", piece.text):
        return False
    if piece.at >= before.at + 2 and piece.at - before.at < 12:
        return True
    joined = f"{drafts[0].name} {after[0].name}"
    return knows(joined) and not knows(after[0].name) and not before.text.rstrip().endswith(":")


def _figure_fits(before: Piece, piece: Piece) -> bool:
    drafts = read_stops(before) if len(before.text) < 60 else []
    if len(drafts) != 1:
        return False
    draft = drafts[0]
    if not draft.complete and not draft.numeral:
        return True
    text = fold(piece.text)
    return text.startswith(("uit ", "aus ", "von ")) or (draft.ranks is not None and draft.pitch is None)


def _open(text: str) -> bool:
    return text.count("(") > text.count(")") or text.count("[") > text.count("]")
