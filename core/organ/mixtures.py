"""Compound stops: their ranks as printed, their composition, and the customary one where none is stated."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from typing import Any

from core.knowledge.loader import load
from core.organ.kinds import StopKind
from core.organ.model import UNISON, Break, Feet, Key, Ranks, Role
from core.organ.pitch import feet_of_ordinal
from core.organ.spelling import read_feet_exact

BOTTOM: Key = 36
"""C2, the bottom key of manuals and pedals."""

_ROMAN = {"I": 1, "V": 5, "X": 10}
_WORDS = {
    "ein": 1, "zwei": 2, "zwey": 2, "drei": 3, "drey": 3, "vier": 4, "fier": 4, "fünf": 5, "fuenf": 5, "sechs": 6,
    "sieben": 7, "acht": 8, "neun": 9, "zehn": 10, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "sept": 7, "due": 2, "tre": 3,
    "quattro": 4, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "twee": 2, "drie": 3, "vijf": 5,
    "zes": 6,
}  # fmt: skip
_COUNT = r"(?:" + "|".join(sorted(_WORDS, key=len, reverse=True)) + r"|\d{1,2}|[IVX]{1,5})"
RANK_MARK = (
    r"(?:ranks?|rks?|rangs?|rgs?|r|fach|fache?r?|fch|facher|f|sterk|sterck|st|choer|choor|chöre|chor|ch|koor|hil(?:eras)?|"
    r"file|fila|filas|caños|cs|rader|rad|rzęd\w*|řad\w*|x|×|kor|korig|korigt|dobbelt|sortig)"
)
_GLUE = r"(?:\s*(?:-|–|—|/|,|\.|bis|to|à|a|och|og|und|et|and|&|tot|y|e)\s*)"
_RANKS = re.compile(
    rf"\s*\(?\s*(?P<counts>{_COUNT}(?:{_GLUE}{_COUNT})*)\s*[-–=.]?\s*(?P<mark>{RANK_MARK})?\s*\.?\s*\)?\s*", re.I
)
_ORDINAL = r"(?:(?:b|♭|flat[ -]?)?\s?[0-9lI]{1,2}(?:th|st|nd|rd|d|ª|º)?)"
_ORDINALS = re.compile(
    rf"\s*[(\[]?\s*(?P<list>{_ORDINAL}(?:\s*[.,\-–—/·:&+ ]\s*{_ORDINAL})+)\s*\.?\s*[)\]]?\s*\.?\s*", re.I
)


def read_ranks(text: str) -> Ranks | None:
    """Ranks as printed: ``III``, ``3 rks.``, ``4-fach``, ``dreyfach``, ``3 to 6 ranks``, ``2-3-4 st``; or None.

    A bare figure without a word for ranks is none (it may be feet); Roman figures are.
    """
    found = _RANKS.fullmatch(text)
    if found is None:
        return None
    counts = [_count(part) for part in re.findall(_COUNT, found["counts"], re.I)]
    bare = found["mark"] is None
    if bare and len(counts) == 1 and not re.fullmatch(r"[IVX]+", found["counts"].strip()):
        return None
    known = [count for count in counts if count]
    if len(known) < len(counts) or not known or max(known) > 20 or known != sorted(known):
        return None
    if bare and len(known) > 2 and not re.search(r"[IVX]", found["counts"]) and max(known) > 9:
        return None
    return Ranks(known[0], known[-1])


def _count(text: str) -> int | None:
    if text.isdigit():
        return int(text)
    if text.casefold() in _WORDS:
        return _WORDS[text.casefold()]
    value, before = 0, 0
    for letter in reversed(text.upper()):
        one = _ROMAN[letter]
        value += one if one >= before else -one
        before = max(before, one)
    return value if re.fullmatch(r"X{0,2}(?:IX|IV|V?I{0,4})", text.upper()) else None


def read_ordinals(text: str) -> tuple[Feet, ...] | None:
    """Ordinals as printed: ``15.19.22.26``, ``(19. 22. 26)``, ``19, b21, 22``, ``17th, 19th, 22d``; or None.

    A letter l or I among the figures is read as 1 (poor print).
    """
    found = _ORDINALS.fullmatch(text)
    if found is None:
        return None
    numbers = []
    for part in re.findall(_ORDINAL, found["list"], re.I):
        flat = "b" if re.match(r"\s*(?:b|♭|flat)", part, re.I) else ""
        digits = re.sub(r"(?:th|st|nd|rd|d|ª|º)$", "", re.sub(r"^\s*(?:b|♭|flat[ -]?)", "", part.strip(), flags=re.I))
        numbers.append(flat + digits.replace("l", "1").replace("I", "1").strip())
    values = [int(number.lstrip("b")) for number in numbers if number.lstrip("b").isdigit()]
    if len(values) < len(numbers) or values != sorted(values) or not 8 <= max(values) <= 43 or {2, 9, 16} & set(values):
        return None
    try:
        return tuple(feet_of_ordinal(number) for number in numbers)
    except ValueError:
        return None


def composition_from(
    feet: Sequence[Feet] | None = None,
    *,
    ranks: Ranks | None = None,
    lowest: Feet | None = None,
    breaks: Sequence[tuple[Key, Sequence[Feet]]] = (),
) -> tuple[Break, ...]:
    """The composition that a source states: by breaks, by one row for the whole compass, or by ranks and lowest.

    Ranks over a stated lowest pitch are the fifths and octaves upwards from it at the bottom key, no breaks.
    """
    if breaks:
        return tuple(Break(key, tuple(row)) for key, row in sorted(breaks, key=lambda at: at[0]))
    if feet:
        return (Break(BOTTOM, tuple(feet)),)
    if ranks is not None and lowest is not None:
        row = _row(_step_of(lowest), ranks.low)
        return (Break(BOTTOM, row),) if row else ()
    return ()


def default_composition(
    kind: StopKind | None, ranks: Ranks | None, lowest: Feet | None = None, role: Role | str | None = None
) -> tuple[Break, ...]:
    """The customary composition where a source gives none, from the published tables; always an assumption.

    Args:
        kind: the kind of compound stop; None is taken as a Mixture.
        ranks: its ranks, where printed; else the kind's customary ones.
        lowest: its lowest pitch at the bottom key, where printed ("Mixture IV 2").
        role: role of its division: pedal mixtures do not break.
    """
    count = ranks or (kind.ranks if kind else None) or Ranks(3, 3)
    table = _tables()["kinds"].get(kind.id) if kind else None
    if table is not None:
        return _own_table(table, count, lowest)
    if kind is not None and kind.composition:
        rows = tuple(feet_of_ordinal(number) for number in kind.composition)
        return (Break(BOTTOM, rows[: count.low] if count.low < len(rows) else rows),)
    return _breaking(kind, count, lowest, pedal=role == Role.PEDAL)


@cache
def _tables() -> Mapping[str, Any]:
    data: Mapping[str, Any] = load("mixtures")
    return data


def _own_table(table: Mapping[str, Any], ranks: Ranks, lowest: Feet | None) -> tuple[Break, ...]:
    """A table by number of ranks; the nearest number below serves where its own is not there."""
    rows = table["ranks"]
    at = max((n for n in rows if int(n) <= ranks.high), default=min(rows, key=int), key=int)
    made = tuple(
        Break(entry["key"], tuple(read_feet_exact(f.replace("+", " ")) for f in str(entry["feet"]).split()))
        for entry in rows[at]
    )
    if lowest is None or not made or made[0].feet[0] == lowest or len(made) > 1:
        return made
    ratio = lowest / made[0].feet[0]
    octave = ratio.numerator & (ratio.numerator - 1) == 0 and ratio.denominator & (ratio.denominator - 1) == 0
    return tuple(Break(b.key, tuple(f * ratio for f in b.feet)) for b in made) if octave else made


def _breaking(kind: StopKind | None, ranks: Ranks, lowest: Feet | None, *, pedal: bool) -> tuple[Break, ...]:
    """Fifths and octaves that go back one step at each C, as the published table does."""
    data = _tables()
    start = data["start"].get(kind.id if kind else "mixture") or data["start"]["mixture"]
    first = _step_of(lowest) if lowest is not None else None
    if first is None:
        by_count = {str(count): ordinal for count, ordinal in start.items()}  # figures are text in JSON
        wanted = by_count["pedal" if pedal and "pedal" in by_count else str(min(ranks.low, 6))]
        first = _step_of(feet_of_ordinal(wanted))
    if first is None:
        return ()
    if pedal:
        return (Break(BOTTOM, _row(first, ranks.low)),)
    made: list[Break] = []
    for octave in range(5):
        step = first - octave
        count = min(ranks.high, ranks.low + octave * (ranks.high - ranks.low) // 4)
        row = _row(max(step, 0), count)
        if not made or made[-1].feet != row:
            made.append(Break(BOTTOM + 12 * octave, row))
    return tuple(made)


_LADDER: tuple[Feet, ...] = tuple(
    UNISON / (Fraction(odd) / (2 if odd == 3 else 1) * 2**octave) for octave in range(7) for odd in (1, 3)
)
"""8, 5 1/3, 4, 2 2/3, 2, 1 1/3 … : the unison, its fifths and octaves."""


def _step_of(feet: Feet | None) -> int | None:
    return _LADDER.index(feet) if feet in _LADDER else None


def _row(step: int | None, count: int) -> tuple[Feet, ...]:
    return () if step is None else _LADDER[step : step + count]
