"""Sets in brackets what a line says of its stop behind the pitch: ``Octave 8 Ext of Open Wood``, ``Trumpet 8 new``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from core.organ.lists.lines import Piece
from core.organ.lists.vocabulary import fold, words

_SPOT = re.compile(r"(?:(?<=[\d'’′´⅓⅔⅗½)])|(?<=\s[IVX])|(?<=[IVX]{2}))[,;]?\s+(?=[^\W\d_]|\d{1,2}\s?[-–]\s?\d{1,2}\s)")
_LEGEND = re.compile(r"^\s*\(?(?P<code>[A-Z]{2,4})\s*[=:–-]\s*\w")
_PART = re.compile(r"\d{1,2}\s?[-–]\s?\d{1,2}\s+(?:of|from|aus|uit|du|dal)\b", re.IGNORECASE)
_TENOR = re.compile(
    r"(?<=[a-zß-ÿ.])(?<!\bto)(?<!from)[,;]?\s+(?P<said>ten(?:or|\.)? ?c|t\.\s?c\.|t\.?c\.)\s+(?=(?:16|8|4)\b)",
    re.IGNORECASE,
)
_GLUED = re.compile(r"(?<=[a-zß-ÿ])(?=C\s?[-–]\s?[a-g](?:\d|['’′´]))")
_SPACED = re.compile(r"(?<![\w'])([CFG])(?: \1){1,2}(?=[\s,.;)]|$)")
_COUNTED = re.compile(r"(?:,\s*)?(?:\b\d{1,2}(?:st|nd|rd|th)\b(?:\s*(?:,|&|\band\b|\.)\s*)?){2,}", re.IGNORECASE)
_ORDINALS = re.compile(r"(?<=[XVI])- (?=X[IVX]+\b)")
_STOP = re.compile(r"\b(?:32|16|8|4|2)\s?(?:['′’´]|ft\b|$)")


def set_apart(lines: Sequence[Piece]) -> list[Piece]:
    """Lines with the remarks behind a stop's pitch in brackets."""
    lines = [replace(line, text=_SHORT_LEADER.sub("  ", line.text)) for line in lines]
    codes = _codes(lines)
    if sum(bool(_MADE_OF.search(line.text)) for line in lines) >= _FEWEST_MADE:
        lines = [replace(line, text=_FEET_DITTO.sub(r"\1 ft", _MADE_OF.sub(_blank, line.text))) for line in lines]
    told = [_kind_told(line.text) for line in lines]
    if sum(one is not None for one in told) >= _FEWEST_TOLD:
        lines = [line if one is None else replace(line, text=one) for line, one in zip(lines, told, strict=True)]
    return [_set_apart(line, codes) for line in lines]


_SHORT_LEADER = re.compile(r"(?<=\s)\.{2,3}(?=\s+\d)")  # short leaders, as the longer ones that are blank by now
_FEWEST_MADE = 3
_MADE_OF = re.compile(
    r"(?<=\s)(?:metal|wood|tin|zinc|[\"”„″]|do\.)(?:\.(?!\.))?(?=[\s.·]*\s(?:\d{1,3}\s|\d{1,2}-|[IVX]{1,4}\b))",
    re.IGNORECASE,
)
_FEET_DITTO = re.compile(r"(?<=\s)(32|16|8|4|3|2|1)\s+[\"”„″](?=\s*$)")


_FEWEST_TOLD = 3
_TOLD = re.compile(
    r"(?P<stop>.*?[^\W\d_]{3}.*?\s(?:\d+(?:\s?\d/\d|[⅓⅔⅗½])?\s?(?:['′’´]|ft\.?)?|[IVX]{1,4}))\s+[-–—]\s+"
    r"(?P<kind>[^\W\d_][^\d|–—]*?)"
    r"(?:,?\s*\d{1,2}\s?-?\s?(?:fu(?:ss|ß)(?:lage)?|f[üu](?:ss|ß)ig|foot|feet|ft\.?|pieds?|piedi|voets?))?\s*",
    re.IGNORECASE,
)


def _kind_told(text: str) -> str | None:
    """``Gedackt 8' - stopped flute``: the kind told behind a dash is set in brackets; None where none is told."""
    found = _TOLD.fullmatch(text)
    if found is None or fold(found["kind"]).strip(" ,.").split()[-1] not in words("kinds_told"):
        return None
    return f"{found['stop']} ({found['kind'].strip(' ,.')})"


def _blank(found: re.Match[str]) -> str:
    return " " * len(found.group())


def _codes(lines: Sequence[Piece]) -> frozenset[str]:
    """Letters that a legend explains: ``PPO = …``."""
    found = (_LEGEND.match(line.text) for line in lines)
    return frozenset(one["code"] for one in found if one is not None and one["code"] not in ("HW", "SW", "GO"))


def _set_apart(line: Piece, codes: frozenset[str]) -> Piece:
    line = replace(line, text=_SPACED.sub(lambda one: one.group().replace(" ", ""), line.text))
    line = replace(line, text=_COUNTED.sub(_in_brackets, _GLUED.sub(" ", line.text)))
    text = _ORDINALS.sub("-", _TENOR.sub(lambda found: f" ({found['said']}) ", line.text))
    if len(text) > 200 or re.search(r"[|\t]", text):
        return line
    for spot in _SPOT.finditer(text):
        said, before = text[spot.end() :], text[: spot.start()]
        if before.count("(") != before.count(")") or before.count("[") != before.count("]"):
            continue
        if spot.start() < 3 or not _is_aside(said, codes) or not re.search(r"[^\W\d_]{3}", before):
            continue
        if re.search(r"\S {3,}\S", said) or _lists_more(said):
            break
        plain = said.replace("(", ", ").replace(")", "").replace(" ,", ",").strip(" .")
        return replace(line, text=f"{before} ({plain})")
    return line if text == line.text else replace(line, text=text)


def _in_brackets(found: re.Match[str]) -> str:
    """``Mixture, 17th, 19th, 22nd, 3 ranks``: the composition in brackets, so that its commas cut no list."""
    return f" ({'.'.join(re.findall(r'[0-9]+', found.group()))}) "


def _is_aside(said: str, codes: frozenset[str]) -> bool:
    """Whether words behind a pitch speak of the stop: they begin with a word or a code for that."""
    first = re.split(r"[\s,;:]+", said.strip(), maxsplit=1)[0]
    if first.strip("().") in codes or _PART.match(said):
        return True
    folded = fold(said)
    return any(
        folded == word or folded.startswith((f"{word} ", f"{word},", f"{word}.", f"{word};"))
        for word in words("asides")
    )


def _lists_more(said: str) -> bool:
    """Whether more stops follow, so that the words are no remark at a line's end."""
    return len(_STOP.findall(said)) >= 2 and "," not in said
