"""What stops of one name tell of one another: "Stopped Diapason Bass" and its treble, "Open Diapason III" and I."""

from __future__ import annotations

import re

from core.organ.lists.drafts import DivisionDraft
from core.organ.normal import key_of

_BASS = re.compile(r"^(?P<name>.+?)[\s,]+(?P<word>bass|bas|bassa|basse)\.?$", re.IGNORECASE)

_BASS_WORD = re.compile(r"bassa|basse|bas\.?", re.IGNORECASE)


def compare_siblings(divisions: list[DivisionDraft]) -> None:
    """A name that ends in "Bass" is a half only where the same name is a treble; III is a number beside I or II."""
    for division in divisions:
        _figured(division)
        _mate_halves(division)
        _number(division)


_FIGURED = frozenset(("opendiapason", "diapason", "opendiap", "principalediapason"))


def _figured(division: DivisionDraft) -> None:
    """``Open Diapason 1``, ``Open Diapason 2`` without feet: figures that number them, for none is at such a pitch."""
    for stop in division.stops:
        divided = stop.half is not None and key_of(stop.name) == "principale"  # "Principale 2 soprani": the second
        if (
            (divided or key_of(stop.name) in _FIGURED)
            and stop.pitch in (1, 2, 3)
            and not stop.exact
            and stop.ranks is None
        ):
            stop.name, stop.pitch, stop.complete = f"{stop.name} {stop.pitch}", None, False


def _mate_halves(division: DivisionDraft) -> None:
    trebles = {(key_of(s.name), s.pitch) for s in division.stops if s.half == "treble"}
    for stop in division.stops:
        found = _BASS.match(stop.name)
        if found and stop.half is None and (key_of(found["name"]), stop.pitch) in trebles:
            stop.name, stop.half, stop.half_word = found["name"], "bass", found["word"]
        elif stop.half is None and (key_of(stop.name), stop.pitch) in trebles:
            told = next((remark for remark in stop.remarks if _BASS_WORD.fullmatch(remark)), None)
            if told is not None:  # "Quinta decima (bassa)" beside "Quinta decima (soprana)"
                stop.half, stop.half_word = "bass", told


def _number(division: DivisionDraft) -> None:
    ones = {key_of(s.name) for s in division.stops if s.numeral == "I" and s.pitch is None}
    for stop in division.stops:
        if stop.numeral in ("I", "II", "III") and stop.pitch is None and key_of(stop.name) in ones:
            stop.name, stop.numeral = f"{stop.name} {stop.numeral}", ""
    numbered = {(key_of(s.name), s.pitch) for s in division.stops if s.numeral in ("I", "II") and s.pitch is not None}
    for stop in division.stops:
        if stop.numeral in ("III", "IV") and (key_of(stop.name), stop.pitch) in numbered:
            stop.name, stop.numeral = f"{stop.name} {stop.numeral}", ""
