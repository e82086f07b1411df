"""The bass half of a stop whose treble half stands beside it: "Stopped Diapason Bass", "Stopped Diapason Treble"."""

from __future__ import annotations

import re

from core.organ.lists.drafts import DivisionDraft
from core.organ.normal import key_of

_BASS = re.compile(r"^(?P<name>.+?)[\s,]+(?P<word>bass|bas)\.?$", re.IGNORECASE)


def mate_halves(divisions: list[DivisionDraft]) -> None:
    """A name that ends in "Bass" is a half only where the same name at the same pitch is a treble (no Contra Bass)."""
    for division in divisions:
        trebles = {(key_of(s.name), s.pitch) for s in division.stops if s.half == "treble"}
        for stop in division.stops:
            found = _BASS.match(stop.name)
            if found and stop.half is None and (key_of(found["name"]), stop.pitch) in trebles:
                stop.name, stop.half, stop.half_word = found["name"], "bass", found["word"]
