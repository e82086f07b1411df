"""What is drawn before, as people write it: ``Swell: Oboe 8, Stopped Diapason 8``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from core.errors import UsageError
from core.organ.model import Division, Half, Organ, Stop
from core.organ.normal import key_of, loose_key
from core.organ.spelling import read_feet_exact, stop_label
from core.resolve.keyboards import division_of_role
from core.resolve.model import Registration
from core.texts import Said, say

_PITCH = re.compile(
    r"(?<![\d./])(\d+ \d+/\d+|\d+/\d+|\d+)\s*(?:['′’]+|ft\.?|fuß|fuss|pieds?|p\.|vt\.?|voet)?\s*$", re.I
)
_VULGAR = {
    "½": " 1/2",
    "⅓": " 1/3",
    "⅔": " 2/3",
    "⅕": " 1/5",
    "⅖": " 2/5",
    "⅗": " 3/5",
    "⅘": " 4/5",
    "⅐": " 1/7",
    "⅛": " 1/8",
}
_HALVES = {
    Half.BASS: ("bass", "bassi", "basso", "bajos", "bajo", "basse", "basses", "left"),
    Half.TREBLE: ("treble", "soprani", "soprano", "tiples", "tiple", "dessus", "discant", "diskant", "right"),
}
_NUMBERS = {"i": "1", "ii": "2", "iii": "3", "iv": "4", "v": "5"}
_ROLES = {
    "gt": "great", "go": "great", "hw": "great", "sw": "swell", "ch": "choir", "pos": "positive",
    "rp": "positive", "so": "solo",
    "ped": "pedal", "p": "pedal", "ow": "oberwerk", "bw": "brustwerk", "rec": "swell",
}  # fmt: skip


def registration_of(organ: Organ, lines: Iterable[str]) -> Registration:
    """The registration that such lines tell. Raises UsageError for what is not on the organ."""
    drawn, unknown = read_drawn(organ, lines)
    if unknown:
        raise UsageError(str(unknown[0]), remedy="Write it as the specification does: 'Swell: Oboe 8'")
    return drawn


def read_drawn(organ: Organ, lines: Iterable[str]) -> tuple[Registration, list[Said]]:
    """The registration that such lines tell, and what in them is not on the organ."""
    drawn: list[str] = []
    unknown: list[Said] = []
    for line in lines:
        name, colon, rest = line.partition(":")
        division = _division(organ, name) if colon else None
        if division is None:
            unknown.append(say("no division “{name}” on {organ}", name=name.strip(), organ=organ.name))
            continue
        for text in (part.strip() for part in rest.split(",")):
            found = _stops(division, text) if text else []
            drawn += [s.id for s in found]
            if text and not found:
                unknown.append(say("no stop “{stop}” in the {division}", stop=text, division=division.name))
    return Registration(drawn=tuple(dict.fromkeys(drawn))), unknown


def _division(organ: Organ, name: str) -> Division | None:
    key = key_of(name)
    for division in organ.divisions:
        if key in (
            key_of(division.name),
            key_of(division.id),
            key_of(division.role),
            key_of(division.keyboard or ""),
        ):
            return division
    numbered = organ.on_keyboard(f"manual-{_NUMBERS.get(name.strip().casefold(), name.strip())}")
    if numbered:
        return numbered[0]
    found = division_of_role(organ, _ROLES.get(key, key))
    if found is not None:
        return found
    near = [d for d in organ.divisions if len(key) > 2 and (key in key_of(d.name) or key_of(d.name) in key)]
    return near[0] if near else None


def _stops(division: Division, text: str) -> list[Stop]:
    """The stop of a text, or both halves of a divided one."""
    name, pitch, half = _parts(text)
    whole = [s for s in division.stops if key_of(stop_label(s)) == key_of(text)]
    if whole:
        return whole[:1]
    bare, side = _without_half(text)
    called = [s for s in division.stops if key_of(s.name) == key_of(bare) and side in (None, s.half)]
    if called and len({s.pitch for s in called}) == 1:
        return called if side is None or len(called) == 1 else called[:1]
    hits = [s for s in division.stops if key_of(s.name) == key_of(name)]
    hits = hits or [s for s in division.stops if loose_key(key_of(s.name)) == loose_key(key_of(name))]
    hits = hits or [s for s in division.stops if key_of(s.name).startswith(key_of(name)) and key_of(name)]
    hits = hits or [s for s in division.stops if key_of(name).startswith(key_of(s.name))]
    hits = hits or [s for s in division.stops if len(key_of(name)) > 3 and key_of(name) in key_of(s.name)]
    if pitch is not None:
        hits = [s for s in hits if s.pitch in (pitch, None)] or ([] if len(hits) > 1 else hits)
    if half is not None:
        hits = [s for s in hits if s.half is half] or hits
    return [s for s in hits if s is hits[0] or (s.half and hits[0].half and s.half != hits[0].half)]


def _parts(text: str) -> tuple[str, Fraction | None, Half | None]:
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, plain)
    name, half = _without_half(re.sub(r"\s+", " ", text).strip())
    pitch = None
    found = _PITCH.search(name)
    if found and name[: found.start()].strip():
        name, pitch = name[: found.start()].strip(), read_feet_exact(found[1])
    if half is None:
        name, half = _without_half(name)
    return name, pitch, half


def _without_half(text: str) -> tuple[str, Half | None]:
    """The text without a last word that tells a half ("Principale soprani", "Octava 4 tiples")."""
    first, _, last = text.rpartition(" ")
    for half, words in _HALVES.items():
        if first and key_of(last) in map(key_of, words):
            return first, half
    return text, None
