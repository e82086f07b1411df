"""Finds the headings of divisions within a line that runs them and their stops together."""

from __future__ import annotations

import re
from collections.abc import Sequence

from core.organ.lists.columns import heading_of
from core.organ.lists.headings import Heading
from core.organ.lists.items import is_stop_like, run_in
from core.organ.lists.knowing import likely
from core.organ.lists.lines import Piece
from core.organ.lists.prose import is_prose
from core.organ.lists.spoken import spoken
from core.organ.lists.stops import read_stops
from core.organ.lists.tokens import Sort, Token, tokens_of
from core.organ.lists.vocabulary import division_words, fold, ordinal_values, pattern, words

_CLOSED = (Sort.PITCH, Sort.RANKS, Sort.NUMERAL, Sort.BRACKET, Sort.ORDINALS)
_LONGEST = 10
_SHORTEST_LINE = 60
_LONGEST_TITLE = 120
_SHORT_LAYOUT = re.compile(r"[|\t]|\S {3,}\S")


def cut_midline(line: Piece) -> list[Piece] | None:
    """``HAUPTWERK Bordun 16' … PEDAL Subbass 16' …``: each heading and its stops by themselves, or None.

    The line begins with a heading; another follows only where a stop is complete, and stops come after it.
    """
    if len(line.text) < _SHORTEST_LINE or _SHORT_LAYOUT.search(line.text):
        return None
    named = [word for word in re.findall(r"[^\W\d_]+", fold(line.text)) if word in division_words()]
    if len(named) < 2 and not re.search(r"(?:\b[IVX]+\b.*){2}", line.text):
        return None
    tokens = tokens_of(line.text)
    if sum(token.sort in (Sort.PITCH, Sort.RANKS) for token in tokens) < 4:
        return None
    found = _headings_in(line, tokens)
    if len(found) < 2 or (found[0][0] > 0 and not _is_title(line.cut(0, found[0][0]))):
        return None
    pieces: list[Piece] = []
    for number, (start, end, _head) in enumerate(found):
        after = found[number + 1][0] if number + 1 < len(found) else len(line.text)
        pieces += [line.cut(start, end), line.cut(end, after)]
    pieces[1::2] = [_uncaptioned(piece) for piece in pieces[1::2]]
    listed = all(head.section or _lists_stops(piece) for (_, _, head), piece in zip(found, pieces[1::2], strict=True))
    title = [line.cut(0, found[0][0])] if found[0][0] > 0 else []
    return [*title, *pieces] if listed else None


def cut_told(line: Piece) -> list[Piece] | None:
    """``… El teclado mayor tiene los siguientes registros: flautado, violón …``: it heads the list."""
    if len(line.text) < _SHORTEST_LINE or not is_prose(re.split(r"\s?: ", line.text)[0]):
        return None
    for found in re.finditer(r"\s?:\s+", line.text):
        before, rest = line.cut(0, found.start()), spoken(line.cut(found.end()))
        clause = re.split(r"(?<=\w\w)[.;]\s", before.text)[-1]
        named = _division_in(clause)
        if named and run_in(rest) is not None and sum(is_stop_like(part) for part in re.split(r"[,;]", rest.text)) >= 3:
            return [before, Piece(named, line.lines, before.at), rest]
    return None


def _division_in(clause: str) -> str:
    """The division that a clause is about, as words that a heading could have; "" for none or several."""
    folded = f" {re.sub(r'[^a-z ]', ' ', fold(clause))} "
    long = [word for word in division_words() if " " in word and f" {word} " in folded]
    if len(long) == 1:
        return long[0]
    numbered = re.search(r"\b(\w+) (?:manual|teclado|tastiera|clavier|klavier|keyboard)\b", folded)
    if numbered and numbered[1] in ordinal_values():
        return numbered.group() + (" expresivo" if re.search(r"\bde expresion\b", folded) else "")
    short = {
        word
        for word in folded.split()
        if word in division_words() and len(word) > 4 and division_words()[word][0].role != "manual-1"
    }
    return short.pop() if len(short) == 1 else ""


def _is_title(piece: Piece) -> bool:
    """Whether what stands before the first heading names the organ and no stop."""
    longest = 4 * _LONGEST_TITLE if piece.text.rstrip()[-1:] in ":." else _LONGEST_TITLE
    return len(piece.text) <= longest and not any(draft.complete and likely(draft.name) for draft in read_stops(piece))


def _uncaptioned(piece: Piece) -> Piece:
    """Stops without the captions of their columns before them: ``Feet Pipes 1 Double Diapason 16``."""
    found = re.match(r"(?:[^\W\d]+\s+)+?(?=\d|[A-Z])", piece.text)
    while found and all(fold(word) in words("captions") for word in found.group().split()):
        piece = piece.cut(found.end())
        found = re.match(r"(?:[^\W\d]+\s+)+?(?=\d|[A-Z])", piece.text)
    return piece


def _lists_stops(piece: Piece) -> bool:
    drafts = read_stops(piece)
    return bool(drafts) and sum(draft.complete and likely(draft.name) for draft in drafts) * 2 >= len(drafts)


def _headings_in(line: Piece, tokens: Sequence[Token]) -> list[tuple[int, int, Heading]]:
    found: list[tuple[int, int, Heading]] = []
    at, taken = 0, set()
    while at < len(tokens):
        spot = _heading_at(line, tokens, at) if _may_begin(line, tokens, at) else None
        if spot is None:
            at += 1
            continue
        count, head = spot
        role = head.section or (head.word.role if head.word else "") + str(head.keyboard or "")
        if role in taken:
            at += 1
            continue
        taken.add(role)
        end = tokens[at + count].start if at + count < len(tokens) else len(line.text)
        found.append((tokens[at].start, end, head))
        at += count
    return found


def _may_begin(line: Piece, tokens: Sequence[Token], at: int) -> bool:
    if at == 0:
        return True
    before = tokens[at - 1]
    between = line.text[before.end : tokens[at].start]
    sort = before.sort in _CLOSED or bool(pattern("tremulant").fullmatch(fold(before.text).strip(".,")))
    return (
        sort or "." in between or before.text.endswith((".", ";", ":")) or before.text in (".", ";", "-", "–", "—", "/")
    )


def _heading_at(line: Piece, tokens: Sequence[Token], at: int) -> tuple[int, Heading] | None:
    """The longest heading that begins at a token and before which a name of a stop follows."""
    for count in range(min(_LONGEST, len(tokens) - at - 1), 0, -1):
        after = tokens[at + count]
        if after.sort not in (Sort.WORD, Sort.NUMBER, Sort.PITCH) or fold(after.text) in words("connectors"):
            continue
        part = line.cut(tokens[at].start, after.start)
        text = part.text.strip(" -–—/")
        head = heading_of(Piece(text, part.lines, part.at))
        if head is not None and head.rest is None and _plain(head, text):
            return count, head
    return None


def _plain(head: Heading, text: str) -> bool:
    """Whether a stretch names a division by its own word, and no stop could have that name."""
    if head.phrase or head.section in ("accessories", "compass"):
        return False
    if head.section:
        return text.endswith(":") or text.isupper()
    colon = text.endswith(":")
    if head.word is None:
        return head.keyboard is not None and any(fold(word).strip("().,:") in words("manual") for word in text.split())
    if head.short and not colon:
        return False
    named = [fold(word).strip("().,:") for word in text.split()]
    exact = any(word in division_words() for word in named) or " ".join(named) in division_words()
    return exact and (colon or not head.word.stop)
