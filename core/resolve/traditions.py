"""Whose usage a marking follows on an organ: the marking's language first, then what the organ is."""

from __future__ import annotations

import re
from functools import cache

from core.knowledge.loader import load
from core.organ.model import Family, Organ, Role
from core.organ.normal import key_of
from core.texts import Said, say

_BY_LANGUAGE = {
    "en": "english",
    "fr": "french-symphonic",
    "de": "german-romantic",
    "nl": "dutch",
    "it": "italian",
    "es": "spanish",
}
_LANGUAGE_OF = {
    "english": "en",
    "american": "en",
    "french-symphonic": "fr",
    "french-classical": "fr",
    "german-romantic": "de",
    "german-baroque": "de",
    "dutch": "nl",
    "italian": "it",
    "spanish": "es",
}


TRADITIONS = tuple(_LANGUAGE_OF)


def usage_language(text: str, language: str | None) -> str | None:
    """Whose word a marking uses ("fonds", "Zungen", "ripieno"); else the language it was read in."""
    words = {key_of(word) for word in re.findall(r"[^\W\d_]+", text)}
    found = [tongue for tongue, table in _usage().items() if words & table]
    return found[0] if len(found) == 1 and language not in found else language


@cache
def _usage() -> dict[str, frozenset[str]]:
    return {tongue: frozenset(map(key_of, words)) for tongue, words in load("recipes")["usage_words"].items()}


def frame_language(organ: Organ) -> str | None:
    """The language of an organ's frame: its divisions' names tell it before its stops do."""
    names = {key_of(d.name) for d in organ.divisions}
    counts = {
        str(tongue): sum(any(key_of(word) in name for word in words) for name in names)
        for tongue, words in load("recipes")["frame_words"].items()
    }
    most = max(counts.values(), default=0)
    if not most or counts.get(organ.language or "") == most:
        return organ.language
    return next(tongue for tongue, count in counts.items() if count == most)


def language_hint(organ: Organ, text: str) -> str | None:
    """What language a marking on this organ is in where its own words leave it open; English shorthand says so."""
    marks: list[str] = load("recipes")["english_marks"]
    if any(re.search(rf"(?<!\w){re.escape(mark)}", text) for mark in marks):
        return "en"
    for tongue, phrases in load("recipes")["language_marks"].items():
        if any(re.search(rf"(?<!\w){re.escape(phrase)}(?!\w)", text, re.IGNORECASE) for phrase in phrases):
            return str(tongue)
    return frame_language(organ)


def tradition_of(organ: Organ, language: str | None) -> str | None:
    """The tradition a marking in this language is answered by on this organ."""
    own = organ.tradition
    if own and organ.language != frame_language(organ):
        own = None
    if language is None or language == "la" or language not in _BY_LANGUAGE:
        return own or _of_sound(organ, _BY_LANGUAGE.get(frame_language(organ) or "", ""))
    if own and _LANGUAGE_OF.get(own) == language:
        return own
    return _of_sound(organ, _BY_LANGUAGE[language])


def why_tradition(organ: Organ, language: str | None) -> Said:
    """Why the markings of a language are answered by the tradition that `tradition_of` names, in words."""
    own, found = organ.tradition, tradition_of(organ, language)
    if found is None:
        return say("neither the organ nor the markings tell one")
    if found == own and _LANGUAGE_OF.get(own) == language:
        return say("the organ is of this tradition, and the markings are in its language")
    if language is None or language not in _BY_LANGUAGE:
        return say("the organ is of this tradition; the markings do not tell a language")
    if found != _BY_LANGUAGE[language]:
        return say("the markings are in its language; the organ has no box and few strings")
    if own and own != found:
        return say("the markings are in its language, whatever the organ’s own tradition is")
    return say("the markings are in its language")


def _of_sound(organ: Organ, usual: str) -> str | None:
    """Baroque or romantic, classical or symphonic: by strings, a box, harmonic flutes."""
    if usual == "french-symphonic" and not _is_romantic(organ):
        return "french-classical"
    if usual == "german-romantic" and not _is_romantic(organ):
        return "german-baroque"
    return usual or None


def _is_romantic(organ: Organ) -> bool:
    strings = sum(
        stop.family in (Family.STRING, Family.CELESTE) for division in organ.divisions for stop in division.stops
    )
    boxed = any(d.enclosed for d in organ.divisions if d.role != Role.PEDAL)
    return boxed or strings >= 3
