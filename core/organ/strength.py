"""How loud stops are together."""

from __future__ import annotations

from collections.abc import Sequence

from core.organ.model import Stop


def strength(stops: Sequence[Stop]) -> int:
    """Loudness of a combination by its stops' names: its loudest stop, and a little for company; 0 of nothing."""
    return max((s.loudness for s in stops), default=0) + (1 if len(stops) >= 4 else 0)
