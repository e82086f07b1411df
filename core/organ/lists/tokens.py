"""Cuts a stretch of a stop list into tokens: words, pitches, ranks, brackets, marks, separators."""

from __future__ import annotations

import re
from enum import Enum
from functools import lru_cache
from typing import NamedTuple

from core.organ.mixtures import RANK_MARK, read_ranks
from core.organ.model import Feet
from core.organ.pitch import FEET_MARK, NUMBER, PITCHES, feet_of_ordinal, read_feet


class Sort(Enum):
    """What a token is."""

    WORD = "word"
    PITCH = "pitch"
    RANKS = "ranks"
    NUMERAL = "numeral"
    ORDINALS = "ordinals"
    NUMBER = "number"
    BRACKET = "bracket"
    MARK = "mark"
    SIGN = "sign"


class Token(NamedTuple):
    """A token with its place; `value` holds the pitch of a pitch."""

    sort: Sort
    text: str
    start: int
    end: int
    value: Feet | None = None
    marked: bool = False


_WORDS_OF_RANKS = r"(?:ein|zwei|zwey|drei|drey|vier|fünf|sechs|sieben|acht|"
_WORDS_OF_RANKS += r"three|four|five|two|six|trois|quatre|cinq|tres|cuatro|cinco|drie|twee|vijf)"
_COUNT = rf"(?:\d{{1,2}}|[IVX]{{1,5}}|{_WORDS_OF_RANKS})"
_GLUE = r"(?:\s?(?:-|–|—|/|,|\bbis\b|\bto\b|\bà\b|\ba\b|\bund\b|\bet\b|\band\b|&|\btot\b|\ben\b|\by\b|\.)\s?)"
_RANKED = rf"{_COUNT}(?:{_GLUE}{_COUNT}){{0,3}}\s*[-–=.]?\s*(?<![A-Za-z])(?:{RANK_MARK}|k|h(?=\.|\s|$))(?!\w)\.?"
_RANKED_WORD = rf"(?<!\w){_WORDS_OF_RANKS}fach\b"
# "2 Stop. Diapason", "4 St. Diapason": a number and a stopped stop, neither stopa (feet) nor sterk (ranks)
_STOPPED = r"\s*st(?:op\w*)?\.?\s+(?:diap|fl(?:\.|u))"
_PATTERN = re.compile(
    rf"""
    (?P<bracket>\([^()]*(?:\([^()]*\)[^()]*)*\)?|\[[^\[\]]*\]?)
    |(?P<numbered>\b(?:no|nr|n[°º])\.?\s*\d+(?:\s*(?:&|and|,)\s*\d+\b)?|\b\d{{1,2}}\s+(?:tuoni|toni|tonos|tons)\b)
    |(?P<counted>\b\d{{1,2}}(?:st|nd|rd|th|d|ème|eme|me|re|er)(?=\s+[A-Za-z]))
    |(?P<ordinal>(?<![\w/.])(?:8|12|15|17|19|22|24|26|29|33|36)\s?[ªº](?!\w))
    |(?P<ordinals>(?<![\w.])(?:[b♭]?\d{{1,2}}[.\-–,·]\s?){{2,7}}[b♭]?\d{{1,2}}(?![\w/])\.?(?!\s*(?:st|f|ch|fach|rks?|ranks)\b))
    |(?P<ranked>{_RANKED_WORD}|(?<![\w/])(?!\d{{1,3}}{_STOPPED}){_RANKED})
    |(?P<romans>(?<![\w'])[IVX]{{1,6}}(?:\s?[-–/—]\s?[IVX]{{1,6}}){{0,3}}(?![\w']))
    |(?P<lettered>(?<![\w/.])\d{{1,3}}[a-e](?=\s+[A-ZÀ-Ž][a-zß-ÿ]))
    |(?P<numberdot>(?<![\w/.])\d{{1,3}}(?:\.(?=\s*[A-Za-zÀ-ž"])(?!\s*(?:Fu|F\.|ft|vt|p\b))|\)|\s?[.)]?\s?[-–](?=\s*[A-Za-zÀ-ž])))
    |(?P<pitch>(?<![\w/.]){NUMBER}(?:(?!{_STOPPED})(?!\s+P\s?[-–/]\s?[IV])\s?\.?\s?{FEET_MARK})?)
    |(?P<mark>[*†‡§+°¹²³]+|~)
    |(?P<word>[^\s()\[\],;|*†‡§]+)
    |(?P<sign>[,;|])
    """,
    re.VERBOSE | re.IGNORECASE,
)
_GLUED_RANKS = re.compile(r"^(?P<name>[A-ZÀ-Ýa-zß-ÿ=.-]{4,}[a-zß-ÿ.])(?P<ranks>[IVX]{1,4}(?:-[IVX]+)?)$")
_GLUED_PITCH = re.compile(
    rf"^(?P<name>[A-Za-zÀ-ž=.'-]{{3,}}?)(?P<pitch>\d{{1,2}}(?:[ ]?[⅓⅔⅗½⅕⅐]|/\d)?(?:{FEET_MARK})?)$", re.I
)
_NORDIC = re.compile(r"(?<=[\dIVX])\s*[kh]\.?$")
_FEET_WORD = re.compile(rf"^(?:{FEET_MARK})$", re.I)


@lru_cache(maxsize=2048)
def tokens_of(text: str) -> tuple[Token, ...]:
    """The tokens of a text, in order."""
    return tuple(token for found in _PATTERN.finditer(text) for token in _tokens(found))


def _tokens(found: re.Match[str]) -> list[Token]:
    kind, text, start, end = found.lastgroup or "word", found.group(), found.start(), found.end()
    if kind == "bracket":
        return [Token(Sort.BRACKET, text, start, end)]
    if kind in ("numbered", "counted"):
        return [Token(Sort.WORD, text, start, end)]
    if kind == "ordinal":
        return [Token(Sort.PITCH, text, start, end, feet_of_ordinal(text.strip(" ªº")), True)]
    if kind == "ordinals":
        return [Token(Sort.ORDINALS, text, start, end)]
    if kind == "ranked":
        feet = read_feet(text.strip())
        text = _NORDIC.sub(" ranks", text)
        sort = Sort.RANKS if read_ranks(text.strip()) else Sort.WORD
        if sort is Sort.WORD and feet:
            return [Token(Sort.PITCH, text, start, end, feet.value, True)]
        return [Token(sort, text, start, end, feet.value if feet else None)]
    if kind == "romans":
        return [Token(Sort.NUMERAL if text.isupper() else Sort.WORD, text, start, end)]
    if kind in ("numberdot", "lettered"):
        return [Token(Sort.NUMBER, text, start, end)]
    if kind == "pitch":
        return [_pitch(text, start, end)]
    if kind in ("mark", "sign"):
        return [Token(Sort.MARK if kind == "mark" else Sort.SIGN, text, start, end)]
    return _word(text, start, end)


def _pitch(text: str, start: int, end: int) -> Token:
    feet = read_feet(text)
    if feet is None:
        return Token(Sort.NUMBER, text, start, end)
    marked = not text.strip().isdigit()
    return Token(Sort.PITCH, text, start, end, feet.value, marked)


def _word(text: str, start: int, end: int) -> list[Token]:
    """A word; ranks or a pitch glued to its end become tokens of their own."""
    glued = _GLUED_RANKS.match(text)
    if glued:
        middle = start + glued.end("name")
        return [
            Token(Sort.WORD, glued["name"], start, middle),
            Token(Sort.NUMERAL, glued["ranks"], middle, end),
        ]
    glued = _GLUED_PITCH.match(text)
    feet = read_feet(glued["pitch"]) if glued else None
    if glued and feet and (feet.value in PITCHES or not glued["pitch"].isdigit()):
        middle = start + glued.end("name")
        return [
            Token(Sort.WORD, glued["name"], start, middle),
            Token(Sort.PITCH, glued["pitch"], middle, end, feet.value, True),
        ]
    return [Token(Sort.WORD, text, start, end)]
