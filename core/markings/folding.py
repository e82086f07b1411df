"""Folds a text for reading (case, accents, long s, typographic signs) and cuts it into atoms.

Every folded character keeps the place of the printed one, so that whatever is read, or not read,
can be shown where it stands. The printed text itself is never changed.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import NamedTuple

_SIGNS = {
    "ſ": "s",
    "ß": "ss",
    "œ": "oe",
    "æ": "ae",
    "ø": "o",
    "ł": "l",
    "ı": "i",
    "’": "'",
    "‘": "'",
    "′": "'",
    "ʹ": "'",
    "ʼ": "'",
    "`": "'",
    "´": "'",
    "‛": "'",
    "“": '"',
    "”": '"',
    "„": '"',
    "″": '"',
    "–": "-",
    "—": "-",
    "‐": "-",
    "‑": "-",
    "‒": "-",
    "―": "-",
    "−": "−",
    "⁄": "/",
    "∕": "/",
    "⅓": " 1/3",
    "⅔": " 2/3",
    "⅕": " 1/5",
    "⅖": " 2/5",
    "⅗": " 3/5",
    "⅘": " 4/5",
    "½": " 1/2",
    "¼": " 1/4",
    "⅛": " 1/8",
    "⅐": " 1/7",
    "№": "no",
    "|": ";",
    "\r": "\n",
    "\u2028": "\n",
    "\u2029": "\n",
    "\x85": "\n",
    "＆": "&",
}


@cache
def fold_sign(sign: str) -> str:
    """One character folded: lower case, no accent; it may become several, or none."""
    known = _SIGNS.get(sign) or _SIGNS.get(sign.lower())
    if known is not None:
        return known
    if "\ue000" <= sign <= "\uf8ff":
        return "?"
    folded = []
    for part in unicodedata.normalize("NFKD", sign.lower()):
        if not unicodedata.combining(part):
            folded.append(_SIGNS.get(part, part))
    return "".join(folded)


class Atom(NamedTuple):
    """A word, a number, or one sign.

    Attributes:
        text: folded.
        start, end: its place in the printed text.
        sort: ``w`` word, ``n`` number, ``o`` number with an ordinal's ending, ``l`` line break, ``p`` sign.
        gap: white space stands before it.
        capital: printed wholly in capitals.
    """

    text: str
    start: int
    end: int
    sort: str
    gap: bool
    capital: bool


_ATOM = re.compile(
    r"(?P<o>\d+(?:st|nd|rd|th|eme|ieme|er|re|e|a|o|da|do|ta|to|ra|ro|ma|mo|va|vo|vb|ve|ves|ere|mb|te|tes|ste|de)(?![^\W\d_]))"
    r"|(?P<n>\d+)|(?P<w>[^\W\d_]+)|(?P<l>\n)|(?P<s>[^\S\n]+)|(?P<p>.)",
    re.DOTALL,
)


_WORDS = re.compile(r"\d+(?:[a-z]+)?|[^\W\d_]+")


def fold_text(text: str) -> tuple[str, list[int]]:
    """The folded text and, for each of its characters and for its end, the place in the printed one."""
    if text.isascii():
        return text.lower().replace("\r", "\n").replace("`", "'").replace("|", ";"), list(range(len(text) + 1))
    parts = list(map(fold_sign, text))
    folded = "".join(parts)
    if len(folded) == len(text) and all(parts):
        return folded, list(range(len(text) + 1))
    places = [place for place, part in enumerate(parts) for _ in part]
    return folded, [*places, len(text)]


_SCANNED_NOUGHT = re.compile(r"(?<![^\W_])0(?=[a-z]{3})")  # 0boe
_SCANNED_SIX = re.compile(r"(?<![^\W_])[li]6(?![^\W_])")  # l6 ft., I6'


_WITHOUT = re.compile(r"(?<![^\W_])w/o")  # w/o, w/out


_DOUBLE_HYPHEN = re.compile(r"(?<=[^\W\d_])=(?=[^\W\d_])")  # Ober=Werck, in the type of old German prints


def cut(text: str) -> list[Atom]:
    """The atoms of a text, in order; white space but line breaks is left out."""
    folded, places = fold_text(text)
    if "0" in folded or "6" in folded:
        folded = _SCANNED_SIX.sub("16", _SCANNED_NOUGHT.sub("o", folded))
    if "w/o" in folded:
        folded = _WITHOUT.sub("w.o", folded)
    if "=" in folded:
        folded = _DOUBLE_HYPHEN.sub("-", folded)
    atoms: list[Atom] = []
    gap = False
    plain = text.isascii()  # each character folded to one, in its place
    for found in _ATOM.finditer(folded):
        sort = found.lastgroup or "p"
        if sort == "s":
            gap = True
            continue
        start, end = found.span()
        if not plain:
            first, last = start, end
            start = places[first]
            end = max(places[last] if places[last] > start else 0, places[last - 1] + 1)
        atoms.append(Atom(found.group(), start, end, sort, gap, sort == "w" and text[start:end].isupper()))
        gap = False
    return atoms


def fold_words(text: str) -> tuple[str, ...]:
    """The words and numbers of a text, folded: what the lexicon's index is keyed by."""
    if not text.isascii():
        text = "".join(map(fold_sign, text))
    return tuple(_WORDS.findall(text.lower()))
