"""The ids of divisions and stops, made from their names: ``swell``, ``swell/oboe-8``."""

from __future__ import annotations

import re
import unicodedata

from core.organ.model import Feet, Half
from core.organ.spelling import write_feet

_LETTERS = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ı": "i"})

UNNAMED = "unnamed"
"""The slug of a name without a letter or figure."""


def slug(text: str) -> str:
    """A name in small plain letters and figures, joined by hyphens: ``Voix Céleste`` is ``voix-celeste``."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    letters = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return re.sub(r"[\W_]+", "-", letters).strip("-") or UNNAMED


def stop_slug(name: str, pitch: Feet | None, half: Half | None = None) -> str:
    """What a stop's id ends with: ``oboe-8``, ``twelfth-2-2-3``, ``mixture``, ``cornet-8-treble``."""
    parts = [slug(name)]
    if pitch is not None:
        parts.append(re.sub(r"\D", "-", write_feet(pitch)))
    if half is not None:
        parts.append(half.value)
    return "-".join(parts)


def unused(wanted: str, taken: set[str]) -> str:
    """`wanted`, or with ``-2``, ``-3`` … after it where it is taken; notes what was given in `taken`."""
    candidate, number = wanted, 1
    while candidate in taken:
        number += 1
        candidate = f"{wanted}-{number}"
    taken.add(candidate)
    return candidate
