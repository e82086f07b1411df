"""What is remembered from one time to the next."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import QSettings

from core.knowledge.translating import LANGUAGES
from core.practice.player import MOST_ASSISTANTS

_RECENT = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Remembered choices; a bad stored value falls back to its default."""

    dark: bool = False
    strip: bool = False  # the score in one strip; else in pages
    brackets: bool = True  # a solo is ended by a bracket; else by a marking
    style: str = ""  # the house style that markings are proved against: a built-in one's name, or a file
    language: str = ""  # code of the window's language; empty: the system's
    recent: tuple[str, ...] = ()
    width: int = 1280
    height: int = 800
    maximized: bool = False
    zoom: int = 0  # of the score, in per cent; 0: as wide as the view
    text_size: int = 100  # of all words, in per cent of the system's
    assistants: int = 0  # beside the player

    def with_recent(self, path: str) -> Settings:
        """The same with a file at the head of the recent ones."""
        others = tuple(known for known in self.recent if known != path)
        return replace(self, recent=(path, *others)[:_RECENT])


def stored() -> QSettings:
    """The user's settings file."""
    return QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "stopwright", "stopwright")


def load_settings(store: QSettings) -> Settings:
    """Read what is remembered."""
    recent = store.value("recent", [])
    if isinstance(recent, str):
        recent = [recent]
    paths = tuple(str(path) for path in recent) if isinstance(recent, list) else ()
    return Settings(
        dark=str(store.value("dark", "false")).lower() == "true",
        brackets=str(store.value("brackets", "true")).lower() != "false",
        strip=str(store.value("strip", "false")).lower() == "true",
        style=str(store.value("style", "")),
        language=_language(store.value("language")),
        recent=paths[:_RECENT],
        width=_number(store.value("width"), 1280),
        height=_number(store.value("height"), 800),
        maximized=str(store.value("maximized", "false")).lower() == "true",
        zoom=_within(store.value("zoom"), 25, 800, 0),
        text_size=_within(store.value("text_size"), 80, 200, 100),
        assistants=_within(store.value("assistants"), 0, MOST_ASSISTANTS, 0),
    )


def save_settings(store: QSettings, settings: Settings) -> None:
    """Write what is to be remembered."""
    store.setValue("dark", settings.dark)
    store.setValue("brackets", settings.brackets)
    store.setValue("strip", settings.strip)
    store.setValue("style", settings.style)
    store.setValue("language", settings.language)
    store.setValue("recent", list(settings.recent))
    store.setValue("width", settings.width)
    store.setValue("height", settings.height)
    store.setValue("maximized", settings.maximized)
    store.setValue("zoom", settings.zoom)
    store.setValue("text_size", settings.text_size)
    store.setValue("assistants", settings.assistants)


def _language(value: object) -> str:
    return str(value) if value in LANGUAGES else ""


def _number(value: object, default: int) -> int:
    return _within(value, 400, 20000, default)


def _within(value: object, low: int, high: int, default: int) -> int:
    try:
        number = int(str(value))
    except ValueError:
        return default
    return number if low <= number <= high else default
