"""Reads tremulants and playing aids."""

from __future__ import annotations

import re

from core.organ.lists.couplers import longest_tokens, reference
from core.organ.lists.drafts import AidDraft, TremulantDraft
from core.organ.lists.lines import Piece
from core.organ.lists.vocabulary import branches, fold, pattern, words

_NUMBERING = re.compile(r"^\s*(?:\d{1,3}[.)]?|[ivx]+[.)])\s+")


def read_tremulant(piece: Piece, within: int | None, *, free: bool = False) -> TremulantDraft | None:
    """The tremulant that an item is; with `free` one that a sentence speaks of."""
    folded = fold(piece.text)
    found = pattern("tremulant").search(folded)
    if found is None:
        return None
    rest = folded[: found.start()] + " " + re.sub(r"\bby .*", " ", folded[found.end() :])
    tokens = [token.strip(".") for token in longest_tokens(rest) if re.search(r"[^\W\d_]", token)]
    named = tuple(ref for word in tokens if (ref := _named(word)) is not None)
    left = [
        word
        for word in tokens
        if reference(word) is None
        and word not in words("heading_noise")
        and word not in words("connectors")
        and not word.isdigit()
    ]
    if not free and len(left) > (3 if named or within is None else 2):
        return None
    return TremulantDraft(within=within, named=named, text=piece.text.strip(), lines=piece.lines)


_COUNT = re.compile(r"^\W*(?P<count>\d{1,4}|[^\W\d_]+)(?:\s|-fach)(?!\s*(?:ft|feet|foot|inch))")
_WORDS = {
    word: number
    for number, words_ in enumerate(
        ("one", "two zwei deux due dos twee", "three drei trois tre tres drie", "four vier quatre quattro cuatro",
         "five funf cinq cinque cinco vijf", "six sechs sei seis zes", "seven sieben sept sette siete zeven",
         "eight acht huit otto ocho", "nine neun neuf nove nueve", "ten zehn dix dieci diez tien",
         "eleven elf onze", "twelve zwolf douze dodici doce twaalf"), 1,
    )
    for word in words_.split()
}  # fmt: skip


def count_of(text: str) -> int | None:
    """How many aids an item tells of: ``8 general pistons``, ``Three composition pedals``; None where it does not."""
    found = _COUNT.match(fold(text))
    if found is None:
        return None
    return int(found["count"]) if found["count"].isdigit() else _WORDS.get(found["count"])


def _named(word: str) -> str | int | None:
    if word in ("a", "i", "e", "en", "o", "p", "so", "ch", "an", "pos") and len(word) < 2 and word != "i":
        return None
    return reference(word)


def read_aid(piece: Piece, within: int | None, *, section: bool = False) -> AidDraft | None:
    """The aid that an item is; under a heading for them everything is one."""
    folded = _NUMBERING.sub("", fold(piece.text))
    for kind in branches("aids"):
        found = pattern("aids", kind).search(folded)
        if found and (section or len(folded) - len(found.group()) <= 40 or found.start() == 0):
            return AidDraft(kind=kind, text=piece.text.strip(), within=within, lines=piece.lines)
    if section:
        return AidDraft(kind="other", text=piece.text.strip(), within=within, lines=piece.lines)
    return None
