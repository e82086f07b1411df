"""The few words a score reader must know: what names an organ, a pedal, a hand; jumps; tempo words."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache

from core.knowledge.loader import load

_GLYPHS = re.compile("[\ue000-\uf8ff]")


def folded(text: str) -> str:
    """Lower case, without accents and with single spaces, for comparing words."""
    plain = unicodedata.normalize("NFKD", text.replace("ß", "ss").replace("ſ", "s").casefold())
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())


@dataclass(frozen=True, slots=True)
class ScoreWords:
    """The table of `score_words.yaml`, ready for looking up.

    Attributes:
        names: patterns for part names by what they name: ``organ``, ``pedal``, ``right``, ``left``,
            ``manuals``, ``division``, ``other``.
        jumps: (kind, pattern) for words that make a jump, tried in order.
    """

    names: dict[str, re.Pattern[str]]
    organ_sounds: tuple[str, ...]
    organ_programs: frozenset[int]
    jumps: tuple[tuple[str, re.Pattern[str]], ...]
    tempo: re.Pattern[str]
    dynamics: frozenset[str]
    glyphs: dict[str, str]

    def is_named(self, kind: str, text: str) -> bool:
        """Whether a name contains a word of that kind."""
        return bool(self.names[kind].search(folded(text)))

    def is_tempo(self, text: str) -> bool:
        """Whether a text begins with a tempo word."""
        return bool(self.tempo.match(folded(text)))


@cache
def score_words() -> ScoreWords:
    """The table, read once."""
    data = load("score_words")
    return ScoreWords(
        names={kind: _any_of(words) for kind, words in data["part_names"].items()},
        organ_sounds=tuple(data["organ_sounds"]),
        organ_programs=frozenset(data["organ_programs"]),
        jumps=tuple((entry["kind"], re.compile(entry["pattern"])) for entry in data["jumps"]),
        tempo=_any_of(data["tempo_words"]),
        dynamics=frozenset(data["dynamics"]),
        glyphs={chr(int(code, 16)): text for code, text in data["glyphs"].items()},
    )


def glyphs_read(text: str) -> str:
    """A text with its private-use glyphs as letters where they are known, else as ``?``."""
    if text.isascii() or not _GLYPHS.search(text):
        return text
    known = score_words().glyphs
    return _GLYPHS.sub(lambda match: known.get(match[0], "?"), text)


def _any_of(words: list[str]) -> re.Pattern[str]:
    """A pattern for any of the words standing alone; each may be several words or end in a full stop."""
    ordered = sorted({folded(word) for word in words}, key=len, reverse=True)
    return re.compile(r"(?<!\w)(?:" + "|".join(re.escape(word) for word in ordered) + r")(?!\w)")
