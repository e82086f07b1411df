"""Makes a list of the stops that a sentence tells of: articles dropped, lengths in words behind their names."""

from __future__ import annotations

import re
from dataclasses import replace

from core.organ.lists.lines import Piece

_LENGTHS = {"cincuenta y dos": 52, "veintiséis": 26, "veintiseis": 26, "trece": 13, "seis y medio": 7}
_WORDS = "|".join(_LENGTHS)
_BEHIND = re.compile(rf"(?<=[^\W\d_])\s*,\s*(?P<length>{_WORDS})(?=\s*[,;.]|$)", re.IGNORECASE)
_BEFORE = re.compile(
    rf"(?P<lead>^|[,;]\s*)(?P<length>{_WORDS})[\s-]+(?P<name>[^\W\d_]+(?: [^\W\d_]+)*?)(?=\s*(?:[,;.]|\sy\s|$))",
    re.IGNORECASE,
)
_ARTICLE = re.compile(
    r"(?P<lead>^|[:;,]\s*|[;,]?\sy\s+)(?:la|el|los|las|un|una|il|lo|le|les|gli|the|der|die|das|de)\s+(?=[^\W\d_])",
    re.IGNORECASE,
)
_LABEL = re.compile(
    r"[;,.]?\s*(?:y|et|e|und|and)\s+(?:como|comme|als|come|as)\s+(?:registros?\s+)?(?:de\s+)?[^\W\d_]+\s*:\s*",
    re.IGNORECASE,
)


def spoken(piece: Piece) -> Piece:
    """The stops of a sentence as a list: ``la trompeta real; el clarín`` → ``trompeta real; clarín``."""
    text = _LABEL.sub("; ", " ".join(piece.text.split()))
    text = _BEFORE.sub(lambda one: f"{one['lead']}{one['name']} {_length(one['length'])}", text)
    text = _BEHIND.sub(lambda one: f" {_length(one['length'])}", text)
    text = _AND.sub("; " if ";" in text else ", ", text)
    return replace(piece, text=_ARTICLE.sub(lambda one: one["lead"], text))


_AND = re.compile(r"\s*[;,]?\s+(?:y|e)\s+(?=[^\W\d_]{3}|el |la )")


def _length(words: str) -> str:
    return f"{_LENGTHS[words.casefold()]} palmos"
