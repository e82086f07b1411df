"""The window's languages: catalogues of English templates with their translations, kept as data."""

from __future__ import annotations

from functools import cache

from core.knowledge.loader import load

LANGUAGES: dict[str, str] = {"en": "English", "de": "Deutsch", "fr": "Français"}
"""Each by its own name; English is the language that everything is written in."""


class Words:
    """The catalogue of one language: called with an English template it gives the translation.

    Attributes:
        language: its code.
    """

    def __init__(self, language: str, words: dict[str, str]) -> None:
        self.language = language
        self._words = words

    def __call__(self, template: str) -> str:
        """The translation, or the template itself where there is none."""
        return self._words.get(template, template)

    def find(self, template: str) -> str | None:
        """The translation, or None where there is none."""
        return self._words.get(template)

    def templates(self) -> frozenset[str]:
        """All that it translates."""
        return frozenset(self._words)


@cache
def words_of(language: str) -> Words:
    """The catalogue of a language; of English, and of one that we do not have, an empty one."""
    if language == "en" or language not in LANGUAGES:
        return Words("en", {})
    return Words(language, load(f"translations/{language}")["words"])


def language_among(wanted: list[str]) -> str:
    """The first of the languages wanted (``de-CH``, ``fr_FR``) that we have; else English."""
    for name in wanted:
        code = name.replace("_", "-").partition("-")[0].lower()
        if code in LANGUAGES:
            return code
    return "en"
