"""Bring printed stop names to one spelling, so that they can be compared.

Case, accents, long s, hyphens, spaces, ä/ae and doubled letters are levelled by `key_of`; the wider
habits of spelling (c/k, y/i, th/t, plural endings) by `loose_key`. What a name means is not decided here.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_LETTERS = str.maketrans({"ø": "o", "œ": "oe", "æ": "ae", "ł": "l", "đ": "d", "ı": "i", "ß": "ss", "ð": "d", "þ": "th"})
_NOT_A_LETTER = re.compile(r"[^a-z0-9]+")
_DOUBLED = re.compile(r"([a-hj-wyz])\1+")  # not i and x: XXII is not XII
_PAIRS = ("ae", "oe", "ue", "qv")
_LOOSE = (("ph", "f"), ("th", "t"), ("ck", "k"), ("tz", "z"), ("dt", "t"), ("sch", "sh"), ("c", "k"))
_LOOSE_LETTERS = str.maketrans({"y": "i", "j": "i", "q": "k", "w": "v"})
_ENDING = re.compile(r"(?:en|es|er|e|n|s)$")


@lru_cache(maxsize=16384)
def key_of(text: str) -> str:
    """The name without case, accents, punctuation, spaces and doubled letters: ``Rohr=Flöte`` → ``rohrflote``."""
    plain = text.casefold()
    if not plain.isascii():
        plain = plain.translate(_LETTERS)
    if not plain.isascii():
        plain = unicodedata.normalize("NFKD", plain).encode("ascii", "ignore").decode()
    plain = _NOT_A_LETTER.sub("", plain)
    plain = _DOUBLED.sub(r"\1", plain)
    while any(pair in plain for pair in _PAIRS):
        plain = plain.replace("ae", "a").replace("oe", "o").replace("ue", "u").replace("qv", "qu")
        plain = _DOUBLED.sub(r"\1", plain)
    return plain


@lru_cache(maxsize=16384)
def loose_key(key: str) -> str:
    """The key without the habits of single languages and times: ``krummhorn``, ``crumhorn`` → ``krumhorn``."""
    for long, short in _LOOSE:
        key = key.replace(long, short)
    key = key.translate(_LOOSE_LETTERS)
    key = key[:1] + key[1:].replace("h", "")
    shorter = _ENDING.sub("", key)
    return _DOUBLED.sub(r"\1", shorter if len(shorter) > 3 else key)


def ocr_key(key: str) -> str:
    """The key with the letters levelled that poor print mixes up: rn/m, c/e/o, l/1/i/t, h/b, u/n."""
    for seen, one in (("rn", "m"), ("ii", "n"), ("li", "h"), ("cl", "d"), ("vv", "w")):
        key = key.replace(seen, one)
    return _DOUBLED.sub(r"\1", key.translate(_OCR_LETTERS))


_OCR_LETTERS = str.maketrans(
    {"e": "c", "o": "c", "0": "c", "1": "i", "l": "i", "t": "i", "f": "i", "b": "h", "u": "n", "v": "n",
     "6": "g", "5": "s", "8": "b"}
)  # fmt: skip


def within_one_edit(one: str, other: str) -> bool:
    """Whether two keys differ by one letter put in, left out, changed, or by two neighbours changed round."""
    if one == other:
        return True
    if abs(len(one) - len(other)) > 1:
        return False
    start = 0
    for a, b in zip(one, other, strict=False):
        if a != b:
            break
        start += 1
    rest, rest_other = one[start:], other[start:]
    if len(rest) == len(rest_other):
        swapped = rest[1:2] + rest[:1] == rest_other[:2]
        return rest[1:] == rest_other[1:] or (swapped and rest[2:] == rest_other[2:])
    return rest[1:] == rest_other or rest == rest_other[1:]
