"""What the trade knows of a printed stop name, as this reader asks it."""

from __future__ import annotations

import re
from functools import lru_cache

from core.organ.claims import index
from core.organ.model import Feet, Ranks
from core.organ.names import Match, find_kind, know_stop
from core.organ.normal import key_of

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
