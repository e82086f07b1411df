"""Compasses as stop lists print them: ``CC to a3, 58 notes``, ``C, D – c'''``, ``Do1–La5``, ``54/27 keys``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.organ.lists.vocabulary import fold
from core.organ.model import Key

BOTTOM: Key = 36
_STEPS = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "h": 11, "b": 11}
_SOLFA = {"ut": "c", "do": "c", "re": "d", "ré": "d", "mi": "e", "fa": "f", "sol": "g", "la": "a", "si": "b"}
_SUPER = str.maketrans("⁰¹²³⁴⁵₀₁₂₃₄₅", "012345012345")
_NOTE = (
    r"(?:(?P<solfa{0}>(?:ut|do|r[eé]|mi|fa|sol|la|si)(?=[#♯b\d\s.,–—)-]|$))|(?P<letters{0}>CCC|FFF|GGG|CC|FF|GG|[A-Ha-h]))"
    r"(?P<sharp{0}>#|♯|is|b(?=[\d'])|♭)?"
    r"(?P<index{0}>\|?\d{{1,2}}\|?|(?:(?<=\w[aeiou])|(?<=sol))\s\d(?=\s*(?:[-–—).,;]|$))|\s?[\"'’′´ʹ″‴`]{{1,4}}|[°⁰]|(?<=[a-h])I{{1,4}}(?!\w)|\s?\^\d)?"
)
_LOW = _NOTE.format(1)
_HIGH = _NOTE.format(2)
_BETWEEN = (
    r"\s*,?\s*(?:-|–|—|−|\bto\b|\bbis\b|\btot\b|\bà\b|\ba\b|\bau\b|\btill\b|\btil\b|\.\.+|\bdo\b|→|\bal\b"
    r"|\bfino a\b|/(?=\s*(?:ut|do|re|mi|fa|sol|la|si)\s?\d))\s*"
)
_SHORT = r"(?P<more>(?:\s*[,/.]?\s*(?<![A-Za-z])[A-Ha-h](?:is|#|b)?(?![\w]))*|(?:[DEFGAH]){1,6})"
_RANGE = re.compile(
    rf"(?<![\w']){_LOW}{_SHORT}(?:\s*\((?:short|kurze|court)[^)]*\)|\s*short|\s*kurz\w*)?{_BETWEEN}{_HIGH}(?P<alt>\s+in\s+alt\w*)?(?![A-Za-z'])",
    re.IGNORECASE,
)
_COUNT = re.compile(
    r"(?<![\d/.])(?P<n>\d{2})\s*(?:-?\s*|(?:di|de)\s)?(?:notes?|keys|tasten|toetsen|touches|tasti|teclas|note|notas|tangenter|tonen|toner|taster|töne|n\.|kláves\w*|klawisz\w*|marches|pedali|tones|dr[a-z]*\.?(?=\s*$))(?!\w)",
    re.IGNORECASE,
)
_COUNT_BEFORE = re.compile(_COUNT.pattern + r"\s*[(,:=]\s*$", re.IGNORECASE)
_PAIR = re.compile(
    r"(?P<said>(?:compass\w*|\w*umfang|omvang|étendue|estensione|extensión)\s*:?\s*)?(?<!\d)(?P<man>\d{2})"
    r"\s*(?:/|and|&|und|et)\s*(?P<ped>\d{2})(?(said)(?![\d/])|\s*(?:notes?|keys|tasten|toetsen|touches|tasti|teclas))",
    re.IGNORECASE,
)


SHORT_OCTAVE = re.compile(
    r"[(,;]?\s*(?:(?:with |mit |con |met )?(?:prima |first |bass |basse )?(?:short octave"
    r"|kurze[rn]? o[kc]tave?|octave courte"
    r"|korte? octaaf|octava corta|ottava corta|kort oktav|kr[áa]tk[áa] okt[áa]va|kr[óo]tka oktawa))\)?",
    re.IGNORECASE,
)


def short_octave_keys(low: Key) -> frozenset[Key]:
    """The keys that a short octave above C leaves out."""
    return frozenset(low + step for step in (1, 3, 6, 8))


_TENOR = re.compile(r"\b(?:tenor|fiddle) ([CG])\b(?=\s*(?:to|[-–—]))", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Compass:
    """A compass as read: first and last key, keys left out between them, and how far its print is certain."""

    low: Key
    high: Key
    missing: frozenset[Key] = frozenset()
    start: int = 0
    end: int = 0


def find_compasses(text: str, *, pedal: bool | None = None) -> list[Compass]:
    """Every compass printed in a text, with its place. `pedal`: whose it is, where that is known."""
    plain = _TENOR.sub(lambda one: one[1].lower() + " " * (len(one[0]) - 1), text.translate(_SUPER))
    found = [one for match in _RANGE.finditer(plain) if (one := _range(match, plain, pedal))]
    ranges = tuple(found)
    for match in _COUNT.finditer(plain):
        number = int(match["n"])
        if 12 <= number <= 73 and not any(
            c.start <= match.start() <= c.end + 12 or 0 <= c.start - match.end() <= 3 for c in ranges
        ):
            found.append(Compass(BOTTOM, BOTTOM + number - 1, frozenset(), match.start(), match.end()))
    return sorted(found, key=lambda one: one.start)


def pair_of_counts(text: str) -> tuple[int, int] | None:
    """``54/27 keys``: notes of the manuals and of the pedal."""
    found = _PAIR.search(text)
    return (int(found["man"]), int(found["ped"])) if found else None


def _range(found: re.Match[str], text: str, pedal: bool | None) -> Compass | None:
    nearby = _COUNT.match(text[found.end() :].lstrip(" ,;:(=")) or _COUNT_BEFORE.search(text[: found.start()])
    count = int(nearby["n"]) if nearby else None
    is_pedal = pedal if pedal is not None else _pedal_before(text[: found.start()])
    low = _low(found, is_pedal)
    high = _high(found, low, count, is_pedal)
    if high is not None and count is not None and abs(low + count - 1 - high) == 12:
        high = low + count - 1  # the count tells which octave is meant
    if high is None or not 11 <= high - low <= 84:
        return None
    missing = _missing(found, low)
    return Compass(low, high, missing, found.start(), found.end())


def _pedal_before(text: str) -> bool:
    folded = fold(text)
    return max(folded.rfind(w) for w in ("ped", "pedaal")) > max(
        folded.rfind(w) for w in ("man", "klav", "clav", "tast", "werk")
    )


def _step(found: re.Match[str], which: int) -> int:
    solfa = found[f"solfa{which}"]
    letter = _SOLFA[solfa.casefold()] if solfa else found[f"letters{which}"][0].casefold()
    alter = {"#": 1, "♯": 1, "is": 1, "b": -1, "♭": -1}.get((found[f"sharp{which}"] or "").casefold(), 0)
    return _STEPS[letter] + alter


def _index(found: re.Match[str], which: int) -> int | None:
    printed = (found[f"index{which}"] or "").strip("| ^")
    if not printed:
        return None
    if printed in "°⁰":
        return 0
    if printed.isdigit():
        return int(printed)
    if set(printed) <= {"I", "i"}:
        return len(printed)
    return sum({"″": 2, '"': 2, "‴": 3}.get(sign, 1) for sign in printed)


def _low(found: re.Match[str], pedal: bool) -> Key:
    letters = found["letters1"] or ""
    step, index = _step(found, 1), _index(found, 1)
    if len(letters) >= 2:  # CC and CCC are the bottom C of manuals and pedals, GG and FF lie below
        return BOTTOM + step if letters[0].casefold() == "c" else BOTTOM - 12 + step
    if found["solfa1"] or (index is not None and index >= 1 and letters.isupper()):
        return BOTTOM + step + 12 * ((index or 1) - (2 if index == 2 and _index(found, 2) in (6, 7) else 1))
    if pedal and letters in ("F", "G", "A") and index is None:
        return BOTTOM - 12 + step  # the French ravalement
    if letters.islower():
        return BOTTOM + 12 + step + 12 * (index or 0)
    return BOTTOM + step


def _high(found: re.Match[str], low: Key, count: int | None, pedal: bool) -> Key | None:
    step, index = _step(found, 2), _index(found, 2)
    counted = low + count - 1 if count else None
    if found["alt"]:
        return BOTTOM + 36 + step + (12 if step <= 5 else 0) + (0 if "altissimo" not in found["alt"] else 12)
    if counted is not None and index is None:
        return counted
    first = _index(found, 1)
    if index is not None and index > 9:
        return BOTTOM + index - 1
    if index is not None:
        french = first == 2 and index <= 5 and index != 4 and (found["letters2"] or "").isupper()
        numbered_from_one = (first == 1 or french) and (found["solfa1"] or found["letters1"].isupper())
        if numbered_from_one or (found["solfa2"] and index >= 2):
            return BOTTOM + step + 12 * (index - 1)
        if first == 2 and found["letters1"].isupper() and (index >= 6 or (index == 4 and step <= 7)):
            return step + 12 * (index + 1)
        return BOTTOM + 12 + step + 12 * index
    if not pedal and (found["letters2"] or "").islower() and low == BOTTOM and first is None:
        pedal = True  # "C–f" without an octave can only be a pedal's
    low = min(low, BOTTOM)  # a keyboard from tenor C ends where the others do
    wanted = (25, 33) if pedal else (49, 74)
    lowest = (13, 25) if pedal else (25, 49)
    for least, most in (wanted, lowest):
        for key in range(low + least - 1, low + most):
            if (key - BOTTOM - step) % 12 == 0:
                return key
    return None


def _missing(found: re.Match[str], low: Key) -> frozenset[Key]:
    more = found["more"] or ""
    letters = re.findall(r"[A-Ha-h](?:is|#|b)?", more)
    if not letters or low % 12 != 0:
        return frozenset()
    if [letter.casefold() for letter in letters] == ["e"]:
        return frozenset(low + n for n in (1, 3, 6, 8))
    steps = [_STEPS[letter[0].casefold()] + (1 if letter[1:] in ("is", "#") else 0) for letter in letters]
    if steps != sorted(steps):
        return frozenset()
    return frozenset(low + n for n in range(1, steps[-1]) if n not in steps)


def first_key(text: str) -> Key | None:
    """The key of ``tenor C``, ``C13``, ``c1``, ``c'``, ``c``, ``sol``; None for anything else."""
    plain = text.translate(_SUPER).strip(" .,:;()")
    folded = fold(plain)
    named = re.fullmatch(r"(?:tenor|ten\.?|fiddle|t\.?)\s*([a-g])", folded)
    if named or folded in ("tc", "t.c", "tg"):
        letter = named[1] if named else folded[-1]
        return BOTTOM + 12 + _STEPS[letter]
    named = re.fullmatch(r"(?:middle|mid\.?)\s*c(#)?", folded)
    if named:
        return BOTTOM + 24 + (1 if named[1] else 0)
    plain = re.sub(r"^([a-h])[o°]$", r"\1", plain)
    numbered = re.fullmatch(r"[cC](\d{2})|(\d{2})", plain)
    if numbered:
        return BOTTOM + int(numbered[1] or numbered[2]) - 1
    match = re.fullmatch(_NOTE.format(1), plain, re.IGNORECASE)
    if match is None:
        return None
    step, index, letters = _step(match, 1), _index(match, 1), match["letters1"] or ""
    if match["solfa1"]:
        return BOTTOM + step + 12 * ((index or 3) - 1)
    if len(letters) >= 2 or (letters.isupper() and index is None):
        return BOTTOM + step
    if letters.isupper() and index is not None and index >= 3:
        return step + 12 * (index + 1)
    return BOTTOM + 12 + step + 12 * (index or 0)
