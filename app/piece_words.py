"""What was found out about the piece, with the reason: its language and the custom that answers it."""

from __future__ import annotations

from collections import Counter

from app.translation import shown, told, tr
from core.analysis import Analysis
from core.markings.model import ReadingKind
from core.notes import Notes
from core.resolve.traditions import tradition_of, why_tradition

TONGUES = {
    "en": "English",
    "fr": "French",
    "de": "German",
    "it": "Italian",
    "es": "Spanish",
    "nl": "Dutch",
}
CUSTOMS = {
    "english": "English",
    "american": "American",
    "french-symphonic": "French symphonic",
    "french-classical": "French classical",
    "german-baroque": "German baroque",
    "german-romantic": "German romantic",
    "dutch": "Dutch",
    "italian": "Italian",
    "spanish": "Spanish",
}
HANDS = {"right": "right hand", "left": "left hand", "feet": "feet", "": "nobody"}


def tongue_words(language: str | None) -> str:
    """A language in words."""
    return tr(TONGUES[language]) if language in TONGUES else tr("not known")


def why_language(analysis: Analysis, notes: Notes) -> str:
    """Why the markings are taken to be in their language."""
    if notes.language:
        return tr("as you say")
    marks = [m.reading for m in analysis.markings.marks if m.reading.kind is not ReadingKind.OTHER]
    votes = Counter(reading.language for reading in marks)
    language = analysis.markings.language
    if not language or not marks:
        return tr("no marking tells it")
    return told("{count} of {of} markings are read so", count=votes[language], of=len(marks))


def custom_found(analysis: Analysis) -> str | None:
    """The tradition that answers most markings, unless the user says otherwise."""
    return tradition_of(analysis.organ, analysis.markings.language) if analysis.organ is not None else None


def custom_words(tradition: str | None) -> str:
    """A tradition in words."""
    return tr(CUSTOMS[tradition]) if tradition in CUSTOMS else tr("none in particular")


def why_custom(analysis: Analysis, notes: Notes) -> str:
    """Why the markings are answered by that custom."""
    if analysis.organ is None:
        return tr("an organ must be chosen first")
    if notes.tradition:
        return tr("as you say")
    return shown(why_tradition(analysis.organ, analysis.markings.language))
