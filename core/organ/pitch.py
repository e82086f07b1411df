"""Pitch arithmetic, exact: feet, harmonics and intervals, and how feet are printed.

8 ft is written pitch, F feet sound harmonic 8/F. Frequencies and cents are numbers of sound and may be
floats; a pitch itself never is.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from math import log2

from core.organ.kinds import StopKind
from core.organ.model import UNISON, Family, Feet, Key
from core.organ.spelling import write_feet
from core.texts import Said, say

_DEGREES = {1: "1", 3: "5", 5: "3", 7: "b7", 9: "2", 11: "#4", 13: "b6", 15: "7"}
"""Odd part of a harmonic → degree of the scale it sounds."""
_ODD_OF_DEGREE = {degree: odd for odd, degree in _DEGREES.items()}
PITCHES = tuple(sorted({Fraction(2) ** n / odd for odd in (1, 3, 5, 7, 9) for n in range(-4, 8)} - {Fraction(128)}))
"""Every pitch that stops and ranks are made at, 1/16 to 64 ft and their fifths, thirds, sevenths, ninths."""
_NAMED = tuple(p for p in PITCHES if p.denominator in (1, 2, 3, 4, 5, 7, 9))

_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
FEET_MARK = (
    r"(?:['’‘´`ˊ′ʹ″\"]{1,2}|(?:feet|foot|ft|f(?:u|ü)(?:ss|ß|sz)(?:ton|ig)?|fueß|fot|fods?|jalkaa?|jalk|jalg|jalan|stop[ay]?|stóp|voets?|vt|pieds?|piés?|pies|"
    r"pied|piedi|piede|palmos?|palmi|pal|pds?|ps|f|p|v)\b\.?)"
)
NUMBER = (
    r"(?:\d{1,3}\s*[.,\-–]?\s*[" + "".join(_VULGAR) + r"]|[" + "".join(_VULGAR) + r"]"
    r"|\d{1,2}[\s.\-–]{1,3}\d{1,3}\s?[/⁄∕]\s?\d{1,3}|\d{1,3}\s?[/⁄∕]\s?\d{1,3}|\d{1,3}[.,]\d{1,3}|\d{1,3})"
)
_PRINTED = re.compile(rf"\s*[(\[]?\s*(?P<number>{NUMBER})\s*[.-]?\s*(?P<mark>{FEET_MARK})?\s*[)\]]?\.?\s*", re.I)
_RAISED = re.compile(r"[⁰¹²³⁴⁵⁶⁷⁸⁹]+\s?[/⁄∕]\s?[₀₁₂₃₄₅₆₇₈₉0-9]+")
_RAISED_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
_PALMOS: dict[Fraction, int | Fraction] = {
    Fraction(52): 32, Fraction(26): 16, Fraction(28): 16, Fraction(24): 16, Fraction(13): 8, Fraction(14): 8,
    Fraction(12): 8, Fraction(13, 2): 4, Fraction(7): 4, Fraction(6): 4, Fraction(3): 2, Fraction(13, 4): 2,
    Fraction(7, 2): 2, Fraction(9, 2): Fraction(8, 3), Fraction(4): Fraction(8, 3),
}  # fmt: skip
_ONLY_PALMOS = frozenset((Fraction(52), Fraction(26), Fraction(28), Fraction(13), Fraction(14), Fraction(13, 2)))
_HISTORIC = {
    Fraction(3): Fraction(8, 3), Fraction(5, 2): Fraction(8, 3), Fraction(6): Fraction(16, 3),
    Fraction(11, 2): Fraction(16, 3), Fraction(17, 3): Fraction(16, 3), Fraction(5): Fraction(16, 3),
    Fraction(12): Fraction(32, 3), Fraction(21, 2): Fraction(32, 3), Fraction(10): Fraction(32, 3),
    Fraction(3, 2): Fraction(4, 3), Fraction(7, 2): Fraction(16, 5), Fraction(15, 7): Fraction(16, 7),
    Fraction(24): Fraction(64, 3), Fraction(11, 8): Fraction(8, 5), Fraction(3, 4): Fraction(2, 3),
    Fraction(13, 2): Fraction(32, 5),
}  # fmt: skip
"""Rounded and misprinted feet → what they are where the name tells nothing more (as printed lists have them)."""

_UNISONS = (Family.PRINCIPAL, Family.FLUTE, Family.STRING, Family.REED)
_NO_UNISON = frozenset((Fraction(24), Fraction(12), Fraction(10), Fraction(5)))
"""Figures that are a rounded fifth under a Quint's name only."""
_FROM_F = {Fraction(24): Fraction(16), Fraction(12): Fraction(8), Fraction(6): Fraction(4)}
_FROM_F_REEDS = {Fraction(24): Fraction(32), Fraction(12): Fraction(16), Fraction(6): Fraction(8)}
"""Italian stops measured at the F below: a Principale of 12 ft is the unison, a Bombarda of 12 ft stands at 16
(liuwetamminga.it on San Petronio, Bologna: Principale 24 and 12, from F; reeds: common practice, no source)."""
_IBERIAN = ("flautad", "violon-es")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedPitch:
    """A pitch as printed.

    Attributes:
        value: feet as the print says them, lost spaces, decimals and palmos mended.
        exact: the print says just this; False where it was mended.
        why: what was mended.
    """

    value: Feet
    exact: bool
    why: Said | None = None


def read_feet(text: str) -> PrintedPitch | None:
    """The pitch that a text prints (``2⅔'``, ``22/3’``, ``2.66 ft``, ``13 palmos``), or None. Never raises."""
    text = _RAISED.sub(_lowered, text)
    found = _PRINTED.fullmatch(text)
    if found is None or not found["number"].isprintable():
        return None
    mark = (found["mark"] or "").casefold().rstrip(".")
    number = found["number"]
    value, mended = _number(number)
    if value is None or not 0 < value <= 64:
        return None
    if mark.startswith("pal") or (value in _ONLY_PALMOS and mark in ("", "p", "ps")):
        if value not in _PALMOS:
            return None
        meant = Fraction(_PALMOS[value])
        why = say("{printed} palmos are {feet} feet", printed=write_feet(value), feet=write_feet(meant))
        return PrintedPitch(value=meant, exact=False, why=why)
    if not mended:
        return PrintedPitch(value=value, exact=True)
    why = say("{printed} read as {feet}", printed=text.strip(), feet=write_feet(value))
    return PrintedPitch(value=value, exact=False, why=why)


def _lowered(found: re.Match[str]) -> str:
    return f" {found.group().translate(_RAISED_DIGITS)}"


def _number(text: str) -> tuple[Fraction | None, bool]:
    """The value of a printed number, and whether it had to be mended."""
    for sign, fraction in _VULGAR.items():
        if sign in text:
            whole = re.sub(r"\D", "", text.replace(sign, ""))
            return Fraction(int(whole or 0)) + Fraction(fraction), False
    parts = [int(part) for part in re.findall(r"\d+", text)]
    if re.search(r"[/⁄∕]", text):
        if parts[-1] == 0:
            return None, False
        if len(parts) == 3:
            return parts[0] + Fraction(parts[1], parts[2]), False
        return _fraction(parts[0], parts[1])
    if len(parts) == 2:
        return _decimal(text)
    return Fraction(parts[0]), False


def _fraction(above: int, below: int) -> tuple[Fraction, bool]:
    """``8/3`` is itself; ``22/3`` has lost its space: 2 2/3."""
    value = Fraction(above, below)
    if value in PITCHES or above < 10:
        return value, False
    whole, part = divmod(above, 10)
    if below > 10 or part >= below:
        return value, False
    return whole + Fraction(part, below), True


def _decimal(text: str) -> tuple[Fraction | None, bool]:
    """``2.66`` is 2 2/3, ``1.6`` just 1 3/5; ``8.4`` no pitch (two of them)."""
    digits = text.replace(",", ".")
    value = Fraction(digits)
    near = min(_NAMED, key=lambda pitch: abs(pitch - value))
    places = len(digits.split(".")[1])
    if near != value and abs(near - value) <= Fraction(1, 10**places):
        return near, True
    return (value if near == value or value in _HISTORIC else None), False


def true_feet(printed: Feet, kind: StopKind | None, name: str = "") -> tuple[Feet, Said | None]:
    """What a printed pitch stands for: a Quint 3 is 2 2/3, a Tierce 1 1/2 is 1 3/5.

    Args:
        printed: as `read_feet` gave it.
        kind: the kind of stop, where known.
        name: the name as printed, for what it says of itself where the kind is not known.

    Returns:
        The true pitch, and the doubt to tell where it is not the printed one.
    """
    meant = _meant(printed, _odd_part_wanted(kind, name), kind)
    if meant == printed:
        return printed, None
    label = name or (kind.name if kind else "")
    return meant, say(
        "{stop} {printed} read as {feet}", stop=label, printed=write_feet(printed), feet=write_feet(meant)
    )


def _meant(printed: Feet, odd: int | None, kind: StopKind | None) -> Feet:
    if odd in (3, 5, 7, 9):
        if odd_part(UNISON / printed) == odd:
            return printed
        near = min((p for p in PITCHES if odd_part(UNISON / p) == odd), key=lambda p: abs(log2(p / printed)))
        if abs(log2(near / printed)) < 0.28:  # 1 3/8 for 1 3/5 is 0.22, a pitch further off is no misprint
            return near
        return printed
    if printed in PITCHES:
        return printed
    if kind is not None and kind.family in _UNISONS:
        palmos = printed in _ONLY_PALMOS or kind.id.startswith(_IBERIAN)
        if palmos and printed in _PALMOS:
            return Fraction(_PALMOS[printed])
        from_f = _FROM_F_REEDS if kind.family is Family.REED else _FROM_F
        if printed in from_f and (kind.family in (Family.PRINCIPAL, Family.REED) or printed != 6):
            return from_f[printed]
        if printed in _NO_UNISON:
            return printed
    return _HISTORIC.get(printed, printed)


_BY_NAME = (
    (re.compile(r"quintad|quintat|quint[eo]?n\b|quinten[aà]", re.I), None),
    (re.compile(r"q[uv]i?n[tc]|nas+[ao]|naz|larigot|twelfth|nineteenth|docena|duodec|diezinov|decimanon", re.I), 3),
    (re.compile(r"terz|tier[csz]|tertia|tercia|seventeenth|tenth|diezisetena|decimasettima|terts", re.I), 5),
    (re.compile(r"sept|flat.?(?:21|twenty)|zeptime", re.I), 7),
    (re.compile(r"\bnone\b|neuvi|ninth|twenty-third", re.I), 9),
)


def _odd_part_wanted(kind: StopKind | None, name: str) -> int | None:
    """Which harmonic (its odd part) a stop must sound by its kind or name; None: an octave or not known."""
    if kind is not None:
        if kind.family != Family.MUTATION:
            return None
        return odd_part(UNISON / kind.feet[0]) if kind.feet else None
    return next((odd for pattern, odd in _BY_NAME if pattern.search(name)), None)


def harmonic(feet: Feet, unison: Feet = UNISON) -> Fraction:
    """Which harmonic of the unison a pitch sounds: 2 2/3 is the third of 8 ft, 5 1/3 of 16 ft."""
    return unison / feet


def feet_of_harmonic(number: Fraction | int, unison: Feet = UNISON) -> Feet:
    """The pitch that sounds a harmonic of the unison."""
    return unison / Fraction(number)


def odd_part(ratio: Fraction) -> int:
    """The odd part of a ratio: 3 for every fifth, 5 for every third, 1 for octaves, 0 for what is no harmonic."""
    above, below = ratio.numerator, ratio.denominator
    odd_above, odd_below = above // (above & -above), below // (below & -below)
    return odd_above if odd_below == 1 else 0


def series(feet: Feet) -> Feet | None:
    """The unison (8, 16, 32 …) whose harmonics a pitch belongs to: 5 1/3 to 16, 10 2/3 to 32; None: to none."""
    unison = UNISON
    while unison <= 128:
        if (unison / feet).denominator == 1:
            return unison
        unison *= 2
    return None


def interval_number(feet: Feet) -> int:
    """Number of the interval from the key: 4 ft is 8, 2 2/3 is 12; below the key negative, 16 ft is -8."""
    ratio = UNISON / feet
    odd = odd_part(ratio)
    if odd not in _DEGREES:
        raise ValueError(f"{write_feet(feet)} ft sounds no degree of the scale")
    octaves = round(log2(ratio / _within_octave(odd)))
    steps = 7 * octaves + int(_DEGREES[odd].lstrip("b#")) - 1
    return steps + 1 if steps >= 0 else steps - 1


def _within_octave(odd: int) -> Fraction:
    """The harmonic brought down into the octave above the unison: 3 is 3/2, 5 is 5/4."""
    return Fraction(odd, 1 << (odd.bit_length() - 1))


def ordinal(feet: Feet) -> str:
    """The interval as mixtures are written: ``15``, ``19``, ``b21``."""
    sign = _DEGREES[odd_part(UNISON / feet)].rstrip("0123456789")
    return f"{sign}{interval_number(feet)}"


def feet_of_ordinal(text: str | int) -> Feet:
    """The pitch of an ordinal: 15 is 2 ft, ``b21`` 1 1/7. Raises ValueError for what is no ordinal.

    A plain 7, 14, 21 or 28 is taken for the flat one, the only seventh that organs have.
    """
    found = re.fullmatch(r"(?:(?P<sign>b|♭|flat|#|♯)\s*[-.]?\s*)?(?P<number>\d{1,2})", str(text).strip(), re.I)
    if found is None or int(found["number"]) == 0:
        raise ValueError(text)
    octaves, step = divmod(int(found["number"]) - 1, 7)
    sign = "" if found["sign"] is None else "#" if found["sign"] in "#♯" else "b"
    degree = "b7" if step == 6 and sign in ("", "b") else f"{sign}{step + 1}"
    if degree not in _ODD_OF_DEGREE:
        raise ValueError(text)
    odd = _ODD_OF_DEGREE[degree]
    return UNISON / (_within_octave(odd) * (1 << octaves))


def cents_above_unison(feet: Feet) -> float:
    """How far above the key a pitch sounds, in cents; for display only."""
    return 1200 * log2(UNISON / feet)


def tempering_cents(feet: Feet) -> float:
    """How much a pure pitch lies above the tempered note of its interval: 1 3/5 is -13.69."""
    cents = cents_above_unison(feet)
    return cents - 100 * round(cents / 100)


def semitones(feet: Feet) -> int:
    """The tempered interval of a pitch from its key, in semitones: 2 2/3 is 19."""
    return round(cents_above_unison(feet) / 100)


def frequency(key: Key, feet: Feet = UNISON, a4: float = 440.0) -> float:
    """Frequency in Hz of a key at a pitch: the key tempered, the pitch pure."""
    return a4 * 2 ** ((key - 69) / 12) * float(UNISON / feet)


def beats(hertz: float, cents: float) -> float:
    """Beats per second of two pipes that lie so many cents apart."""
    return hertz * (2 ** (cents / 1200) - 1)


def cents_of_beats(hertz: float, per_second: float) -> float:
    """How many cents two pipes lie apart that beat so often."""
    return 1200 * log2(1 + per_second / hertz)
