"""Tells what speaks about the organ from what lists it: sentences, captions, labels."""

from __future__ import annotations

import re

from core.organ.lists.vocabulary import division_words, fold, pattern, short_words, words

_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")
_OCTAVES = frozenset(("octave", "sub", "super", "unison", "koppel", "coupler", "couplers", "suboctave", "superoctave"))
_WIND = re.compile(r"\b(?:wind pressure|pressure|inches|winddruck|windpressure|inch wind|mm|winddruk)\b|\bin\.? w")
_FIGURE = re.compile(r"\b(?:32|16|8|4|2|1)\b(?!\s*(?:inches|pipes|stops|manuals|zoll))")


_FRONT = re.compile(
    r"(?:(?:the|der|die|das|le|la|les|il|het|in|im|i|en|de|el)\s+)?"
    r"(?:facades?|facaden|facciata|fasad\w*|front(?!on)\w*|prospe[kc]t\w*|prospetto|fachada)\s*"
    r"(?::|\s(?:is|are|ist|sind|est|sono|udgores|bestar|bestaat|steht|stehen|staat|staan|consists|besteht|contains|esta|e)\b)"
    r"|(?:altri\s|autres\s|weitere\s)?(?:somier[ei]|sommiers?|windladen?|secretos?)\b"
)
"""What the case shows, what stands on a chest: the stops named there stand in the list."""
_SAME = re.compile(
    r"(?:the |die |les |los )?(?:same|samat|samma|samme|gleichen?|dieselben|memes|idem|stessi|dezelfde|mismos)\b.*"
    r"\b(?:as|kuin|som|wie|que|als|come|di|del)\b"
)
"""Stops that are told of by those of another keyboard."""
_UNIT_RANK = re.compile(r"\b(?:32|16|8)\s?(?:['′’]|ft)?\s?[-–]\s?(?:8|4|2)\s?(?:['′’]|ft)")
"""A rank of a unit organ with the pitches it is drawn at: ``GEDECKT 16'-2'``; the stops stand further on."""


def is_unit_rank(text: str) -> bool:
    """Whether a text tells of a rank of a unit organ rather than of a stop."""
    return bool(_UNIT_RANK.search(text)) or bool(re.search(r"[a-z]\s+(?:32|16|8)\s?[-–]\s?(?:8|4|2)\s*$", text))


def is_of_case(text: str) -> bool:
    """Whether a line tells what the case shows or a chest holds, or of stops by those of another keyboard."""
    folded = fold(re.sub(r"\([^()]*\)", " ", text))
    return bool(_FRONT.match(folded) or _SAME.match(folded))


def is_prose(text: str) -> bool:
    """Whether a line is (a part of) a sentence rather than an item of a list."""
    folded = fold(re.sub(r"\([^()]*\)", " ", text))
    if _FRONT.match(folded) or _SAME.match(folded):
        return True
    found = _WORD.findall(folded)
    if len(found) in (4, 5) and text.rstrip().endswith(".") and text[:1].isupper():
        told = sum(word in words("function_words") for word in found) >= 2  # "Remarkable the power of the Subbass 16."
        return told and found[-2] in ("del", "della", "dei", "of", "the", "der", "des", "du", "van", "von", "de")
    if len(found) < 6:
        return False
    if " ".join(found[:2]) in ("there are", "there is"):
        return True
    if found[0] in words("coupler_words") or found[0] in words("pedal_coupler"):
        return False
    places = [word in division_words() or word in short_words() or word in _OCTAVES for word in found]
    if sum(places) * 5 >= 2 * len(found):
        return False
    if 3 * len(re.findall(r"\b[IVX]{1,4}\b", text)) >= len(found):
        return False  # "I al Ped., II al Ped., II al I"
    small = sum(word in words("function_words") for word in found)
    figures = len(_FIGURE.findall(folded))
    separators = len(re.findall(r"[,;]", text))
    if figures >= 2 and figures * 4 >= len(found):
        return False
    if separators >= 3 and small * 6 < len(found):
        return False
    return small >= 2 and small * 5 >= len(found)


def is_caption(text: str) -> bool:
    """Whether a line only names columns (``FEET.``, ``No. Name Pitch``)."""
    found = _WORD.findall(fold(text))
    return bool(found) and all(word in words("captions") for word in found)


def is_wind(text: str) -> bool:
    """Whether a line tells of the wind."""
    return bool(_WIND.search(re.sub(r"\([^()]*\)", " ", fold(text))))


def is_about(text: str) -> bool:
    """Whether a line tells of the organ what no stop is: wind, pipes, builder, year, pitch."""
    folded = fold(text)
    if re.fullmatch(r"[(\[]?\s*\d[\d.,\s]*(?:pipes|pfeifen|tuyaux|pijpen|canne|tubos|ranks)\s*[)\]]?\.?", folded):
        return True
    if re.search(r"\b1[4-9]\d\d\b|\b20[0-3]\d\b", folded) and not re.search(r"\d\s*('|ft|fuss)", folded):
        return True
    if re.fullmatch(
        r"[ivx\d]+\s*(?:/\s*p?\s*/?\s*\d*|\+\s*p.*)|\(?\d\s?m\.?,?\s*\d+\s*(?:st|stops)\.?\)?|.{0,20}\(?[ivx]+(?:/p)?/\d+\)?",
        folded,
    ):
        return True
    if is_unit_rank(text):
        return True
    folded = re.sub(r"\([^()]*\)", " ", folded)
    return bool(pattern("about").search(folded)) and len(folded.split()) <= 40
