"""Short forms in a specification: ``Oboe 8 (from C3)``, ``Mixture IV``, ``Swell to Great 4``, ``C2-G6``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from core.organ.mixtures import BOTTOM, read_ranks
from core.organ.model import UNISON, Break, Feet, Half, Key, Ranks
from core.organ.pitch import FEET_MARK, NUMBER, PITCHES, feet_of_ordinal, read_feet, true_feet
from core.organ.spelling import read_feet_exact, write_feet, write_key
from core.organ.spelling import read_key as read_plain_key
from core.organ.yaml_fields import UnfitError, shown

LOWEST_KEY, HIGHEST_KEY = 12, 120
_ROMAN = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII", "XIII", "XIV", "XV")
_RANKS_AT_END = re.compile(
    r"\s+(?P<ranks>[IVX]+(?:\s*[-–]\s*[IVX]+)?|\d{1,2}(?:\s*[-–]\s*\d{1,2})?\s*(?:ranks?|rks?\.?|rangs?|fach|f\.?))$"
)
_PITCH_AT_END = re.compile(rf"(?:^|\s+)(?P<pitch>{NUMBER}\s*(?:{FEET_MARK})?)$")
_NOTE_AT_END = re.compile(r"\s*\((?P<notes>[^()]*)\)$")
_EXACT = re.compile(r"\d{1,2}(?: \d{1,3}/[1-9]\d{0,2})?|\d{1,3}/[1-9]\d{0,2}", re.ASCII)
_RANGE = re.compile(r"\s*(?:-|–|—|\bto\b|\.\.+)\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortStop:
    """What a stop's short form says. `numeral`: ranks, or a number that belongs to the name."""

    name: str
    pitch: Feet | None = None
    ranks: Ranks | None = None
    numeral: str = ""
    first: Key | None = None
    last: Key | None = None
    half: Half | None = None
    enclosed: bool | None = None


def read_short_stop(text: str) -> ShortStop:
    """The short form of a stop: name, ranks, pitch, remarks in brackets. Raises UnfitError."""
    rest, notes = _without_notes(text.strip())
    rest, after = _cut_ranks(rest)
    rest, pitch_text = _cut(_PITCH_AT_END, rest, "pitch")
    pitch = read_pitch(pitch_text, rest) if pitch_text else None
    name, before = (rest, "") if after else _cut_ranks(rest)
    if not (pitch_text or after or before or _known(notes)):
        name, notes = text, []  # no pitch yet: the bracket is a part of the name
    found = _notes(notes)
    if not name.strip():
        raise UnfitError(f"{shown(text)} has no name", "Write the name, then the pitch: Oboe 8")
    return ShortStop(
        name=name.strip(), pitch=pitch, ranks=read_ranks(after) if after else None, numeral=before, **found
    )


def _without_notes(text: str) -> tuple[str, list[str]]:
    found = _NOTE_AT_END.search(text)
    if found is None:
        return text, []
    return text[: found.start()], [note.strip() for note in found["notes"].split(",")]


def _cut_ranks(text: str) -> tuple[str, str]:
    rest, ranks = _cut(_RANKS_AT_END, text, "ranks")
    return (rest, ranks) if ranks and read_ranks(ranks) else (text, "")


def _cut(pattern: re.Pattern[str], text: str, group: str) -> tuple[str, str]:
    found = pattern.search(text)
    return (text[: found.start()].rstrip(), found[group]) if found else (text, "")


_SWITCHES: dict[str, dict[str, Any]] = {
    "bass": {"half": Half.BASS},
    "treble": {"half": Half.TREBLE},
    "enclosed": {"enclosed": True},
    "unenclosed": {"enclosed": False},
}


def _known(notes: list[str]) -> bool:
    try:
        _notes(notes)
    except UnfitError:
        return False
    return True


def _notes(notes: list[str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for note in notes:
        words = note.split()
        if note.casefold() in _SWITCHES:
            found |= _SWITCHES[note.casefold()]
        elif len(words) == 2 and words[0].casefold() == "from":
            found["first"] = read_key(words[1])
        elif len(words) == 2 and words[0].casefold() == "to":
            found["last"] = read_key(words[1])
        elif _RANGE.search(note):
            found["first"], found["last"] = read_compass(note)
        else:
            raise UnfitError(
                f"{shown(f'({note})')} is not understood after a stop",
                "Known are (from C3), (to B3), (C3-G6), (bass), (treble), (enclosed), (unenclosed); what"
                " belongs to the name stands before the pitch; another remark is written as remark: …",
            )
    return found


def read_pitch(text: str, name: str = "") -> Feet:
    """A pitch in feet that stops are made at. Raises UnfitError with the one that a stop of this name has."""
    printed = read_feet(text)
    if printed is not None and printed.value in PITCHES:
        return printed.value
    if printed is None:
        raise UnfitError(f"{shown(text)} is no pitch", "Write feet: 8, 2 2/3, 1 3/5")
    near, _ = true_feet(printed.value, None, name)
    if near not in PITCHES:  # a slip in the whole feet is likelier than one in the fraction: 2 3/5 for 1 3/5
        fits = [pitch for pitch in PITCHES if printed.value % 1 and pitch % 1 == printed.value % 1]
        near = min(fits or PITCHES, key=lambda pitch: abs(pitch - printed.value))
    feet = write_feet(printed.value)
    raise UnfitError(
        f"no stop stands at {feet} ft",
        f"Did you mean {write_feet(near)}? If it is really so, write it apart: pitch: {feet} exactly",
    )


def read_pitch_apart(text: str) -> Feet | None:
    """A pitch written under a key of its own: also ``none``, and any figure with ``exactly`` after it."""
    word = text.strip()
    if word.casefold() == "none":
        return None
    if word.casefold().endswith("exactly"):
        figures = word[: -len("exactly")].strip()
        feet = read_feet_exact(figures) if _EXACT.fullmatch(figures) else Fraction(0)
        if not 0 < feet <= 64:
            raise UnfitError(f"{shown(text)} is no pitch", "Write feet: 8, 2 2/3, 1 3/5")
        return feet
    return read_pitch(word)


def write_pitch_apart(pitch: Feet | None) -> str:
    """The inverse of `read_pitch_apart`."""
    if pitch is None:
        return "none"
    return write_feet(pitch) if pitch in PITCHES else f"{write_feet(pitch)} exactly"


def read_key(text: str) -> Key:
    """A key by letter and octave, middle C being C4. Raises UnfitError."""
    plain = text.strip().replace("♯", "#").replace("♭", "b")
    try:
        key = read_plain_key(plain) if re.fullmatch(r"[A-Ga-g][#b]?\d", plain) else -1
    except ValueError:
        key = -1
    if not LOWEST_KEY <= key <= HIGHEST_KEY:
        raise UnfitError(f"{shown(text)} is no key", "Write letter and octave, middle C is C4: C2, F#3, Bb5")
    return key


def read_compass(text: str) -> tuple[Key, Key]:
    """A compass: ``C2-G6``, or ``56 notes`` (from C2). Raises UnfitError."""
    counted = re.fullmatch(r"(\d{2})(?:\s*(?:notes|keys))?", text.strip())
    if counted:
        return BOTTOM, BOTTOM + int(counted[1]) - 1
    ends = _RANGE.split(text.strip())
    if len(ends) != 2:
        remedy = "Write the first and the last key, middle C is C4: C2-G6"
        raise UnfitError(f"{shown(text)} is no compass", remedy)
    first, last = read_key(ends[0]), read_key(ends[1])
    if first > last:
        raise UnfitError(
            f"the compass {shown(text)} ends below its beginning",
            f"Write {write_key(last)}-{write_key(first)}",
        )
    return first, last


def read_composition(text: str, *, pedal: bool) -> tuple[Feet, ...]:
    """The ranks of a compound stop: ``19.22.26.29``, or feet: ``2 2/3 + 2 + 1 1/3``. Raises UnfitError.

    Intervals count from the unison: 8 ft on the manuals, 16 ft in the pedal.
    """
    if re.search(r"[+/]|ft", text):
        return tuple(read_pitch(part) for part in text.split("+"))
    parts = [part for part in re.split(r"[.,;\s]+", text.strip()) if part]
    try:
        feet = tuple(feet_of_ordinal(part) for part in parts)
    except ValueError:
        feet = ()
    if not feet or not all(rank in PITCHES for rank in feet):
        remedy = "Write intervals, 19.22.26.29, or feet, 2 2/3 + 2 + 1 1/3"
        raise UnfitError(f"{shown(text)} is no composition", remedy)
    return tuple(rank * 2 for rank in feet) if pedal else feet


def write_composition(feet: tuple[Feet, ...]) -> str:
    """Feet as `read_composition` reads them: ``2 2/3 + 2``, one alone ``2 ft``."""
    text = " + ".join(write_feet(rank) for rank in feet)
    return text if len(feet) > 1 else f"{text} ft"


def write_ranks(ranks: Ranks) -> str:
    """Ranks in Roman figures: ``IV``, ``III-V``."""
    if ranks.high >= len(_ROMAN):
        return f"{ranks} ranks"
    low, high = _ROMAN[ranks.low], _ROMAN[ranks.high]
    return low if ranks.low == ranks.high else f"{low}-{high}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortCoupler:
    """What a coupler's short form says, divisions by their names."""

    source: str
    target: str
    pitch: Feet = UNISON
    half: Half | None = None
    permanent: bool = False
    unison_off: bool = False


_COUPLER = re.compile(
    r"(?P<source>.+?)\s+(?:to|/|→)\s+(?P<target>.+?)(?:\s+(?P<pitch>16|8|4))?(?:\s+(?P<half>bass|treble))?"
    r"(?P<permanent>\s+\(permanent\))?$",
    re.IGNORECASE,
)
_OWN = re.compile(
    r"(?P<source>.+?)\s+(?:(?P<off>unison\s+off)|(?P<sub>sub[\s-]?octave|16)|(?P<octave>octave|super[\s-]?octave|4))$",
    re.IGNORECASE,
)


def read_short_coupler(text: str) -> ShortCoupler:
    """A coupler: ``Swell to Great 4``, ``Swell octave``, ``Swell unison off``. Raises UnfitError."""
    found = _COUPLER.match(text.strip())
    if found:
        return ShortCoupler(
            source=found["source"],
            target=found["target"],
            pitch=Fraction(found["pitch"] or 8),
            half=Half(found["half"].casefold()) if found["half"] else None,
            permanent=bool(found["permanent"]),
        )
    own = _OWN.match(text.strip())
    if own is None:
        raise UnfitError(
            f"{shown(text)} is no coupler",
            "Write Swell to Great, with the pitch after it where it is 16 or 4; Swell octave,"
            " Swell sub octave and Swell unison off act on the division itself",
        )
    pitch = Fraction(16) if own["sub"] else Fraction(4) if own["octave"] else UNISON
    source = own["source"]
    return ShortCoupler(source=source, target=source, pitch=pitch, unison_off=bool(own["off"]))


def breaks_of(rows: list[tuple[Key, tuple[Feet, ...]]]) -> tuple[Break, ...]:
    """The breaks of a compound stop in the order of their keys."""
    return tuple(Break(key, feet) for key, feet in sorted(rows))
