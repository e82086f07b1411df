"""Cuts names that run on without pitches between them: ``Principale Voce umana Ottava Quintadecima``."""

from __future__ import annotations

import re
from functools import lru_cache

from core.organ.lists.knowing import is_spelling, knows
from core.organ.lists.lines import Piece
from core.organ.lists.remarks import is_half
from core.organ.lists.vocabulary import fold
from core.organ.model import Family
from core.organ.names import find_kind

_LONGEST = 4
_MOST_WORDS = 120
_FEWEST_PARTS = 3
_OF_RIPIENO = re.compile(r"(?:due|tre|quattro|cinque) di ripieno")
_SECOND = frozenset(("celeste", "celestes", "flute", "bass", "diapason", "flöte"))
_FIRST_HALVES = frozenset(("decima", "vigesima", "trigesima", "quinta"))
_WORD = re.compile(r"\S+")
_TAIL = re.compile(
    r"(?:i{1,3}|iv|[ivx]+a|8'?|16'?|4'?|2'?|\d+ ?['′’]"
    r"|alla|al|ai|tastiera|pedale?|ped|do\d|re\d|sol\d|fa\d|intero|intera|[*†]+)",
    re.IGNORECASE,
)


@lru_cache(maxsize=2048)
def name_run(text: str) -> tuple[tuple[int, int], ...]:
    """The places of the names in a run of three or more known ones that fill a text; () where it is none."""
    words = [(found.start(), found.end()) for found in _WORD.finditer(text)]
    if not _FEWEST_PARTS < len(words) <= _MOST_WORDS or knows(text):
        return ()
    best: list[tuple[float, int] | None] = [None] * (len(words) + 1)  # cost, where the last part began
    best[0] = (0, 0)
    for end in range(1, len(words) + 1):
        for start in range(max(0, end - _LONGEST - 3), end):
            before = best[start]
            cost = None if before is None else _cost(text[words[start][0] : words[end - 1][1]])
            if before is None or cost is None:
                continue
            known = best[end]
            if known is None or before[0] + cost <= known[0]:
                best[end] = (before[0] + cost, start)
    last = best[-1]
    if last is None or last[0] < _FEWEST_PARTS:
        return ()
    places: list[tuple[int, int]] = []
    end = len(words)
    while end > 0:
        step = best[end]
        assert step is not None
        places.append((words[step[1]][0], words[end - 1][1]))
        end = step[1]
    return tuple(reversed(places))


@lru_cache(maxsize=8192)
def _cost(text: str) -> float | None:
    """What it costs to take a stretch for one name, with its half, number or pitch behind it; None for no name."""
    words = text.strip(" .,;*").split()
    while len(words) > 1 and (is_half(words[-1]) or _TAIL.fullmatch(fold(words[-1]).strip(".,"))):
        words.pop()
    if not words or len(words) > _LONGEST:
        return None
    name = " ".join(words)
    if re.fullmatch(r"X[IVX]+(?:[-–]X[IVX]+)*", name) or _OF_RIPIENO.fullmatch(fold(name)):
        return 1
    if not re.search(r"[^\W\d_]{3,}", words[0]) or not knows(name):
        return None
    several = (
        not _is_one(name, words[0])
        and len(words) > 1
        and words[-1].casefold() not in _SECOND
        and all(len(w) > 3 and knows(w) for w in words)
    )
    return len(words) + 0.5 if several else 1


def _is_one(name: str, first: str) -> bool:
    """Whether words are one name: ``Flauto dolce``, ``Decima quinta``, but not ``Decimanona Vigesimaseconda``."""
    if not is_spelling(name):
        return False
    kind = find_kind(name)
    return fold(first) in _FIRST_HALVES or (kind is not None and kind.family is not Family.MIXTURE)


def cut_run(piece: Piece) -> list[Piece] | None:
    """The names of a run by themselves, or None where a piece is no such run."""
    if len(piece.text) < 20 or re.search(r"[,;:|\t]|\([^()]{9}", piece.text):
        return None
    places = name_run(piece.text.rstrip(" ."))
    return [piece.cut(start, end) for start, end in places] or None
