"""What the trade knows of a printed stop name, as this reader asks it."""

from __future__ import annotations

from functools import lru_cache

from core.organ.model import Feet, Ranks
from core.organ.names import Match, find_kind, know_stop


@lru_cache(maxsize=8192)
def knows(name: str) -> bool:
    """Whether a text is a known stop name, whatever else it may be."""
    return find_kind(name) is not None


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
    return know_stop(name, pedal=pedal, pitch=pitch, ranks=ranks, language=language, tradition=tradition)
