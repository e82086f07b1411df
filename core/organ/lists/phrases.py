"""Takes lines of couplers and aids apart: sentences, names that carry on to several sizes, labels."""

from __future__ import annotations

import re

from core.organ.lists.aids import read_tremulant
from core.organ.lists.couplers import read_couplers
from core.organ.lists.drafts import TremulantDraft
from core.organ.lists.items import split_at
from core.organ.lists.lines import Piece
from core.organ.lists.vocabulary import fold, pattern, short_words

_SIZE = r"(?:(?:16|8|4)\s?(?:['′’]|ft\.?)?|sub(?:[- ]?oct\w*)?|super(?:[- ]?oct\w*)?|octave|unison(?: off)?|u\.?o\.?)"
_SIZES = re.compile(rf"^(?P<name>\D{{2,40}}?)\s+(?P<sizes>{_SIZE}(?:\s*[,&–-]\s*{_SIZE})+)\.?$", re.IGNORECASE)
_SENTENCE_END = re.compile(r"(?<=[\w')’′])\.\s+(?=[A-ZÀ-Ý0-9])")
_SHORT_END = re.compile(r"(?<!\w)(?:sw|gt|ch|so|ped|pos|r[eé]c|oct|acc|g\.?o|tir)\.\s+[A-Z]", re.IGNORECASE)


def carried_on(piece: Piece) -> list[Piece] | None:
    """``Swell 16', Unison Off, 4'``: the name carries on to each size."""
    found = _SIZES.match(piece.text.strip())
    if found is None or not re.search(r"unison|u\.?o", found["sizes"], re.IGNORECASE):
        return None
    sizes = re.split(r"\s*[,&–-]\s*(?!oct)", found["sizes"], flags=re.IGNORECASE)
    return [Piece(f"{found['name']} {size}", piece.lines, piece.at) for size in sizes]


_STROKED = re.compile(
    r"(?:[IVX]{1,3}|P(?:ed)?\.?|[A-ZØÖ][A-Za-z]?[wWvV])\s?[-–/]\s?(?:[IVX]{1,3}|P(?:ed)?\.?|[A-ZØÖ][A-Za-z]?[wWvV])"
    r"(?:\s(?:16|4)['′’]?)?(?=\s|$)"
)


def _stroked(piece: Piece) -> list[Piece] | None:
    """``II-I III-I I-P II-P Tutti``: couplers of two abbreviations each, and what follows them."""
    made: list[Piece] = []
    end = 0
    while (found := _STROKED.match(piece.text, end)) is not None:
        made.append(piece.cut(found.start(), found.end()))
        end = len(piece.text) - len(piece.text[found.end() :].lstrip())
    if len(made) < 2:
        return None
    return [*made, piece.cut(end)] if piece.text[end:].strip() else made


def run_of_couplers(piece: Piece) -> list[Piece] | None:
    """``Great to Pedal Swell to Pedal Swell to Great``: couplers with nothing between them, and what follows them."""
    if (stroked := _stroked(piece)) is not None:
        return stroked
    words = [found.start() for found in re.finditer(r"\S+", piece.text)]
    made: list[Piece] = []
    start = 0
    while start < len(words):
        ends = range(start + 3, min(start + 7, len(words)) + 1)
        cut = next((end for end in ends if _one_coupler(piece, words, start, end)), None)
        if cut is None:
            break
        made.append(piece.cut(words[start], words[cut] if cut < len(words) else None))
        start = cut
    if len(made) < 2:
        return None
    return made if start == len(words) else [*made, piece.cut(words[start])]


def _one_coupler(piece: Piece, words: list[int], start: int, end: int) -> bool:
    part = piece.cut(words[start], words[end] if end < len(words) else None)
    return not part.text.endswith((",", ";")) and len(read_couplers(part, within=None, section=False) or ()) == 1


def labelled_tremulant(piece: Piece) -> TremulantDraft | None:
    """``Tremblant: Positif, Grand-Orgue``, ``Tremulant (II)``."""
    found = pattern("tremulant").match(fold(piece.text))
    if found is None or not re.match(r"\s*[:(]", fold(piece.text)[found.end() :]):
        return None
    drafted = read_tremulant(piece, None)
    return drafted if drafted is not None and drafted.named else None


def _abbreviated(before: str) -> bool:
    """Whether a full stop ends an abbreviation: ``Sw. to Gt. Sub``."""
    word = fold(before).split()[-1] if before.split() else ""
    return word.replace(".", "") in short_words()


def sentences_of(piece: Piece) -> list[Piece]:
    """The sentences of a line; a full stop behind an abbreviation ends none."""
    cut = _SENTENCE_END.search(piece.text)
    while cut is not None and (_abbreviated(piece.text[: cut.start()]) or piece.text[: cut.start()].strip().isdigit()):
        cut = _SENTENCE_END.search(piece.text, cut.end())
    if cut is None:
        return [piece]
    parts = [piece.cut(0, cut.start()), piece.cut(cut.end())]
    if _SHORT_END.search(parts[1].text):
        return parts
    return [parts[0], *split_at(parts[1], _SENTENCE_END)]
