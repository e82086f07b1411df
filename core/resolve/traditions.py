"""Whose usage a marking follows on an organ: the marking's language first, then what the organ is."""

from __future__ import annotations

from core.organ.model import Family, Organ, Role

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


def tradition_of(organ: Organ, language: str | None) -> str | None:
    """The tradition a marking in this language is answered by on this organ."""
    own = organ.tradition
    if language is None or language == "la" or language not in _BY_LANGUAGE:
        return own or _of_sound(organ, _BY_LANGUAGE.get(organ.language or "", ""))
    if own and _LANGUAGE_OF.get(own) == language:
        return own
    return _of_sound(organ, _BY_LANGUAGE[language])


def _of_sound(organ: Organ, usual: str) -> str | None:
    """Baroque or romantic, classical or symphonic: by strings, a box, harmonic flutes."""
    if usual == "french-symphonic" and not _is_romantic(organ):
        return "french-classical"
    if usual == "german-romantic" and not _is_romantic(organ):
        return "german-baroque"
    return usual or None


def _is_romantic(organ: Organ) -> bool:
    strings = sum(
        stop.family in (Family.STRING, Family.CELESTE)
        for division in organ.divisions
        for stop in division.stops
    )
    boxed = any(d.enclosed for d in organ.divisions if d.role != Role.PEDAL)
    return boxed or strings >= 3
