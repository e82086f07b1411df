"""How the trade prints pitches, ranks and keys: ``2⅔′``, ``IV``, ``C–a³``."""

from __future__ import annotations

from fractions import Fraction

from core.export.paper import RAISED
from core.organ.contract import division_name
from core.organ.model import Coupler, Feet, Key, Organ, Ranks, Stop
from core.organ.pitch import feet_of_ordinal, ordinal
from core.texts import Said, say

_FRACTIONS = {
    Fraction(1, 2): "½",
    Fraction(1, 3): "⅓",
    Fraction(2, 3): "⅔",
    Fraction(1, 4): "¼",
    Fraction(3, 4): "¾",
    Fraction(1, 5): "⅕",
    Fraction(2, 5): "⅖",
    Fraction(3, 5): "⅗",
    Fraction(4, 5): "⅘",
    Fraction(1, 7): "⅐",
}
_ROMAN = ((50, "L"), (40, "XL"), (10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))
_KEYS = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def set_feet(pitch: Feet) -> str:
    """A pitch in feet: ``8′``, ``2⅔′``; a fraction that has no sign of its own is written out."""
    whole, rest = divmod(pitch, 1)
    part = _FRACTIONS.get(rest, "")
    if rest and not part:
        part = f"{str(rest.numerator).translate(RAISED)}⁄{str(rest.denominator).translate(_LOWERED)}"
    return f"{int(whole) or ''}{part}′"


def set_ranks(ranks: Ranks) -> str:
    """Numbers of ranks in Roman figures: ``IV``, ``III–V``."""
    low, high = roman(ranks.low), roman(ranks.high)
    return low if low == high else f"{low}–{high}"


def set_pitch(stop: Stop) -> str:
    """What stands at the right of a stop's name: its pitch, before it the ranks of a compound stop."""
    parts = [set_ranks(stop.ranks)] if stop.ranks else []
    parts += [set_feet(stop.pitch)] if stop.pitch is not None else []
    return " ".join(parts)


def roman(number: int) -> str:
    """A small number in Roman figures."""
    text = ""
    for value, letters in _ROMAN:
        while number >= value:
            text += letters
            number -= value
    return text


def set_key(key: Key) -> str:
    """A key as booklets print it: C is the lowest of most keyboards, c¹ middle C (C4)."""
    octave, step = divmod(key, 12)
    name, octave = _KEYS[step], octave - 1
    if octave >= 3:
        return name.lower() + (str(octave - 3).translate(RAISED) if octave > 3 else "")
    return name + (str(2 - octave).translate(_LOWERED) if octave < 2 else "")


def set_compass(low: Key, high: Key) -> str:
    """First and last key: ``C–g³``."""
    return f"{set_key(low)}–{set_key(high)}"


def set_composition(feet: tuple[Feet, ...], *, pedal: bool = False) -> str:
    """The ranks of a compound stop: intervals from the keyboard's unison where these can say them, else feet."""
    unison = [rank / 2 if pedal else rank for rank in feet]
    try:
        numbers = [ordinal(rank) for rank in unison]
        if len(numbers) > 1 and [feet_of_ordinal(number) for number in numbers] == unison:
            return ".".join(number.replace("b", "♭") for number in numbers)
    except (ValueError, KeyError):
        pass  # below the unison, or no degree of the scale
    return " + ".join(set_feet(rank) for rank in feet)


def set_coupler(organ: Organ, coupler: Coupler) -> Said:
    """A coupler by what it couples: ``Swell to Great``, ``Swell Octave``, ``Choir to Great 16′ (bass)``."""
    source, target = division_name(organ, coupler.source), division_name(organ, coupler.target)
    if coupler.unison_off:
        said = say("{division} Unison Off", division=source)
    elif source == target and coupler.pitch in (4, 16):
        template = "{division} Octave" if coupler.pitch == 4 else "{division} Sub Octave"
        said = say(template, division=source)
    else:
        said = say("{source} to {target}", source=source, target=target)
        if coupler.pitch != 8:
            said = say("{coupler} {pitch}", coupler=said, pitch=set_feet(coupler.pitch))
    if coupler.half:
        said = say("{coupler} ({half})", coupler=said, half=say(coupler.half.value))
    return said if not coupler.permanent else say("{coupler} (permanent)", coupler=said)
