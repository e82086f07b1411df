"""Finds names that no list of stops knows where a list gives names without pitches."""

from __future__ import annotations

import re
from collections.abc import Sequence

from core.organ.lists.aids import read_aid
from core.organ.lists.couplers import read_couplers
from core.organ.lists.knowing import knows, likely
from core.organ.lists.lines import Piece
from core.organ.lists.stops import read_stops
from core.organ.lists.vocabulary import fold, pattern, words

_NAME = re.compile(r"[A-ZÀ-Ý][a-zß-ÿ'’]+(?:[ -][A-Za-zÀ-ÿ'’]{2,}){0,3}\.?")
_FEWEST = 3


def unknown_names(pieces: Sequence[Piece]) -> frozenset[int]:
    """Which pieces are names of unknown stops: short, between two known stops, in a list with names without pitches."""
    known = [_known(piece) for piece in pieces]
    bare = sum(one == "bare" for one in known)
    if bare < _FEWEST:
        return frozenset()
    return frozenset(at for at, piece in enumerate(pieces) if known[at] == "" and _between(known, at) and _named(piece))


def _known(piece: Piece) -> str:
    """``bare`` for a known name without its pitch, ``full`` for a stop with it, else nothing."""
    if len(piece.text) > 60:
        return ""
    drafts = read_stops(piece)
    if len(drafts) != 1:
        return ""
    if drafts[0].complete:
        return "full"
    return "bare" if knows(drafts[0].name) or likely(drafts[0].name) else ""


def _between(known: Sequence[str], at: int) -> bool:
    """Whether known stops stand before and behind, at most one more unknown between."""
    before = [one for one in known[max(0, at - 2) : at] if one]
    behind = [one for one in known[at + 1 : at + 3] if one]
    return bool(before) and bool(behind)


def _named(piece: Piece) -> bool:
    text = piece.text.strip()
    folded = fold(text).strip(" .")
    return (
        _NAME.fullmatch(text) is not None
        and not read_couplers(piece, within=0, section=False)
        and read_aid(piece, None) is None
        and not pattern("tremulant").search(folded)
        and folded not in words("column_captions")
        and not any(word in words("about") or word in words("function_words") for word in folded.split()[:1])
        and folded.split()[-1] not in words("function_words")
    )
