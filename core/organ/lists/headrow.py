"""Reads several headings that stand side by side on one line: ``Hauptwerk (I) Positiv (II) Pedal``."""

from __future__ import annotations

import re
from dataclasses import replace

from core.organ.lists.headings import Heading, told_brackets, whole_heading
from core.organ.lists.keys import find_compasses
from core.organ.lists.lines import Piece
from core.organ.lists.vocabulary import division_words, fold, short_words, words


def read_headings(piece: Piece) -> list[Heading]:
    """Several headings on one line with single spaces: ``Hauptwerk (I) Positiv (II) Pedal``; [] for none."""
    if len(piece.text) > 140 or (len(piece.text) < 60 and _COUPLES.search(fold(piece.text))):
        return []
    piece = replace(piece, text=_GLUED.sub(" ", " ".join(told_brackets(piece.text).split())))
    if (short := _abbreviated(piece)) is not None:
        return short
    compasses = {one.start for one in find_compasses(piece.text)}
    begins = re.finditer(r"(?<!\S)(?=[^\W\d_(])|(?<!\S)(?=[IVX]+[.:]?\s)", piece.text)
    spots = [found.start() for found in begins if found.start() not in compasses]
    if not 2 <= len(spots) <= 14:
        return []
    outside = re.findall(r"[^\W\d_]+(?:[ '’-][^\W\d_]+)?", re.sub(r"\([^)]*\)", " ", piece.text))
    single = [fold(word) for two in outside for word in (two, *re.split(r"[ -]", two))]
    roles = {division_words()[word][0].role for word in single if word in division_words() and word not in _LEANING}
    manuals = sum(fold(word) in words("manual") for word in re.findall(r"[^\W\d_]+", piece.text))
    if len(roles - {"manual-1"}) >= 2 or manuals >= 2:
        return _partition(piece, 0, spots, ()) or []
    return []


def _abbreviated(piece: Piece) -> list[Heading] | None:
    """``G.O. O.E. Pedale``, ``HW SW Ped``: a row of abbreviations, each by itself, or None."""
    parts = [(found.start(), found.end()) for found in re.finditer(r"\S+", piece.text)]
    if not 2 <= len(parts) <= 6 or not piece.text[:1].isupper():
        return None
    texts = [piece.text[start:end].strip(".:") for start, end in parts]
    shorts = [fold(text).replace(".", "") in short_words() and fold(text) not in division_words() for text in texts]
    if not any(shorts) or not all(text[:1].isupper() for text in texts):
        return None
    heads: list[Heading] = []
    for (start, end), short in zip(parts, shorts, strict=True):
        part = piece.cut(start, end)
        head = whole_heading(part, part.text, colon=short)
        if head is None or (head.word is None and head.section is None) or head.phrase:
            return None
        heads.append(head)
    roles = [head.word.role if head.word else head.section for head in heads]
    return heads if len(set(roles)) == len(roles) else None


_COUPLES = re.compile(r"\w\s(?:au|aux|to|zum|zur|al|alla|naar|aan|til|till)\s\w")
_GLUED = re.compile(r"(?<=[a-zß-ÿłęąśćżźňřěčšžů)IVX\d])(?=[A-ZÀ-ÝŁŚŻŹČŘŠŽ][a-zß-ÿłęąśćżźňřěčšžů]{2})(?<![\s(])")
_JOINED = re.compile(r"^(?:in|im|en|dans|met|mit|sur|auf)\b|\b(?:in|im|en|op|met|mit|dans|sur|auf)$")
_LEANING = frozenset(("organo", "manuaal", "manuael", "werck", "espressivo", "expresivo", "expresion"))


def _partition(piece: Piece, start: int, spots: list[int], roles: tuple[str, ...]) -> list[Heading] | None:
    """The shortest parts, each a heading of a division of its own, that fill the line."""
    for end in [spot for spot in spots if spot > start] + [len(piece.text)]:
        part = piece.cut(start, end)
        head = whole_heading(part, part.text) if part.text else None
        role = _part_role(head, part) if head is not None else None
        last = end == len(piece.text)
        least = {"couplers": 1, "accessories": 2}.get(head.section or "", 0) if head is not None else 0
        if head is None or role is None or role in roles or len(roles) < least:
            continue
        if head.section is None and roles and roles[-1] in ("couplers", "accessories") and not last:
            continue
        if end == len(piece.text):
            return [head] if roles else None
        rest = _partition(piece, end, spots, (*roles, role))
        if rest is not None:
            return [head, *rest]
    return None


def _part_role(head: Heading, part: Piece) -> str | None:
    """What tells one heading of a row from the others: its role, its keyboard, its section; None for none."""
    if head.section in ("couplers", "accessories"):
        return head.section
    if head.section or head.phrase or head.permanent or _JOINED.search(part.text):
        return None
    if head.word is None or head.word.role == "manual-1":
        named = head.keyboard is not None and re.search(r"[^\W\d_]{3,}", part.text)
        return f"keyboard {head.keyboard}" if named else None
    exact = any(fold(w).strip("().,:") in division_words() for w in part.text.split())
    return head.word.role if exact else None
