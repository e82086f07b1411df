"""The window's language: every ``tr`` and every message of core is shown through one catalogue."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QObject, QTranslator

from core.knowledge.translating import Words, language_among, words_of
from core.texts import Said, say

SYSTEM = ""
"""Stands in the settings for the language of the system."""


class Translator(QTranslator):
    """Gives the toolkit our catalogue's translations; of contexts only the toolkit's own are told apart.

    Its buttons say "Cancel" too, and that is no general cancel.
    """

    def __init__(self, words: Words, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.words = words

    def isEmpty(self) -> bool:
        """It is asked although no file was loaded."""
        return False

    def translate(self, context: str, text: str, disambiguation: str | None = None, n: int = -1) -> str | None:
        """The translation; None leaves the text to others."""
        return None if context[:1] == "Q" and context[1:2].isupper() else self.words.find(text)


class _Language:
    """What is in force in this process."""

    words: Words = words_of("en")
    installed: tuple[QTranslator, ...] = ()


def resolved(setting: str) -> str:
    """The language that a setting stands for."""
    return setting or language_among(list(QLocale.system().uiLanguages()))


def speak(setting: str) -> str:
    """Put a language in force for what is made from now on; returns its code.

    Args:
        setting: a code, or empty for the system's.
    """
    language = resolved(setting)
    app = QCoreApplication.instance()
    if app is None:
        return language
    for old in _Language.installed:
        app.removeTranslator(old)
    _Language.words = words_of(language)
    _Language.installed = ()
    if language != "en":
        own = Translator(_Language.words, app)
        toolkit = QTranslator(app)  # its own dialogs' buttons
        toolkit.load(f"qtbase_{language}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath))
        _Language.installed = (toolkit, own)
        for translator in _Language.installed:
            app.installTranslator(translator)
    return language


def language() -> str:
    """The code of the language in force."""
    return _Language.words.language


def catalogue() -> Words:
    """The catalogue in force."""
    return _Language.words


def tr(text: str) -> str:
    """Words in the window's language, for what is not a widget."""
    return _Language.words(text)


def shown(said: Said | str) -> str:
    """A message of core in the window's language; a plain string is taken as already shown."""
    return said if isinstance(said, str) else said.translated(_Language.words)


def told(template: str, /, **values: object) -> str:
    """A template in the window's language, filled; it may choose words by number (see `core.texts`)."""
    return say(template, **values).translated(_Language.words)
