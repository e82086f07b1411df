"""What the trade knows of a printed stop name, as this reader asks it."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from core.organ.claims import index
from core.organ.lists.vocabulary import division_words, words
from core.organ.model import Feet, Ranks
from core.organ.names import Match, find_kind, know_stop
from core.organ.normal import key_of, within_one_edit

_MATERIAL = re.compile(
    r",?\s+(?:(?:von|aus|in|of|van|di|in|de|en|ze)\s+)(?:gutem\s+|englischem\s+|engl\.?\s+|reinem\s+)?"
    r"(?:zinn|holz|metall?|metaal|wood|tin|hout|tin|legno|stagno|metallo|madera|estaño|bois|étain|dřeva|eichenholz|blei)\b\.?",
    re.IGNORECASE,
)


@lru_cache(maxsize=8192)
def knows(name: str) -> bool:
    """Whether a text is a known stop name, whatever else it may be."""
    return find_kind(name) is not None or find_kind(without_material(name)) is not None


def is_spelling(name: str) -> bool:
    """Whether a text is a stop name just as it is known, without a word more."""
    return key_of(name) in index()


@lru_cache(maxsize=8192)
def likely(name: str) -> bool:
    """Whether a text is a stop name, be it by its parts or with a slip of print."""
    return know_stop(name) is not None


def look_up(
    name: str,
    *,
    pedal: bool,
    pitch: Feet | None,
    ranks: Ranks | None,
    language: str | None,
    tradition: str | None,
) -> Match | None:
    """What a name means where it stands."""
    found = know_stop(name, pedal=pedal, pitch=pitch, ranks=ranks, language=language, tradition=tradition)
    bare = without_material(name)
    if bare != name and (found is None or found.guess):
        found = know_stop(bare, pedal=pedal, pitch=pitch, ranks=ranks, language=language, tradition=tradition) or found
    return found


def without_material(name: str) -> str:
    """``Subbaß von Holz`` without what it is made of."""
    return _MATERIAL.sub("", name).strip() or name


@lru_cache(maxsize=4096)
def near_division(word: str) -> str | None:
    """The division's word that a word is a slip of print for."""
    if not 5 <= len(word) <= 24 or word in division_words() or word in words("heading_noise") or knows(word):
        return None
    lengths = (len(word) - 1, len(word), len(word) + 1)
    near = (one for length in lengths for one in _by_length().get(length, ()) if within_one_edit(word, one))
    return next(near, None)


@cache
def _by_length() -> dict[int, tuple[str, ...]]:
    """The words of divisions that are long enough to tell a slip of print, by their length."""
    lengths = {len(word) for word in division_words() if len(word) >= 5}
    return {length: tuple(word for word in division_words() if len(word) == length) for length in lengths}
