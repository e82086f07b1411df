"""What a stop is for a player who chooses: its sort, its loudness, whether it belongs to a chorus.

`Voice` is one stop seen in its division. Which kinds are reeds for a solo, which principals are too soft
for a chorus, is data: ``knowledge/recipes.yaml``, `sorts`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache

from core.knowledge.loader import load
from core.organ.kinds import StopKind, kind
from core.organ.model import UNISON, Division, Family, Feet, Organ, Role, Stop
from core.organ.normal import key_of

SIXTEEN = Fraction(16)
TWO = 2


class Sort(StrEnum):
    """The sorts of stop that recipes speak of, finer than families."""

    PRINCIPAL = "principal"
    ECHO_PRINCIPAL = "echo-principal"
    FLUTE = "flute"
    STRING = "string"
    CELESTE = "celeste"
    CHORUS_REED = "chorus-reed"
    MILD_REED = "mild-reed"
    SOLO_REED = "solo-reed"
    VOX_HUMANA = "vox-humana"
    TUBA = "tuba"
    QUINT = "quint"
    MUTATION = "mutation"
    MIXTURE = "mixture"
    COMPOUND = "compound"
    PERCUSSION = "percussion"


FLUES = frozenset((Sort.PRINCIPAL, Sort.ECHO_PRINCIPAL, Sort.FLUTE, Sort.STRING))
REEDS = frozenset((Sort.CHORUS_REED, Sort.MILD_REED, Sort.SOLO_REED, Sort.VOX_HUMANA, Sort.TUBA))


@dataclass(frozen=True, slots=True)
class Voice:
    """A stop seen by the player.

    Attributes:
        feet: its pitch, 0 for a mixture.
        unison: 8 on a manual, 16 in the pedal.
        short: it lacks a good part of the keys (treble only, from tenor C).
    """

    stop: Stop
    division: Division
    kind: StopKind | None
    sort: Sort
    feet: Feet
    unison: Feet
    loudness: int
    short: bool

    @property
    def id(self) -> str:
        """The stop's id."""
        return self.stop.id

    @property
    def group(self) -> str:
        """The kind's group, or ""."""
        return self.kind.group if self.kind else ""

    @property
    def in_pedal(self) -> bool:
        """Whether it stands in the pedal."""
        return self.division.role == Role.PEDAL


@cache
def _sorts() -> dict[str, frozenset[str]]:
    return {name: frozenset(words) for name, words in load("recipes")["sorts"].items()}


def kind_of(stop: Stop) -> StopKind | None:
    """The stop's kind in the trade's knowledge, or None."""
    if stop.kind is None:
        return None
    try:
        return kind(stop.kind)
    except KeyError:
        return None


def voice(stop: Stop, division: Division) -> Voice:
    """A stop as a player sees it."""
    found = kind_of(stop)
    pedal = division.role == Role.PEDAL
    return Voice(
        stop=stop,
        division=division,
        kind=found,
        sort=Sort.CELESTE
        if _is_doubtful_celeste(stop, division) or beats_alone(stop, division)
        else _sort(stop, found),
        feet=stop.pitch or Fraction(0),
        unison=SIXTEEN if pedal else UNISON,
        loudness=stop.loudness,
        short=_is_short(stop, division),
    )


def voices(organ: Organ, division: Division) -> tuple[Voice, ...]:
    """The stops of a division that can be played."""
    return _voices(division)


@cache
def _voices(division: Division) -> tuple[Voice, ...]:
    return tuple(voice(stop, division) for stop in division.stops if stop.in_use)


def _sort(stop: Stop, found: StopKind | None) -> Sort:
    names = {found.id, found.group} if found else set()
    sorts = _sorts()
    plain = {
        Family.FLUTE: Sort.FLUTE,
        Family.STRING: Sort.STRING,
        Family.CELESTE: Sort.CELESTE,
        Family.MIXTURE: Sort.MIXTURE,
        Family.COMPOUND: Sort.COMPOUND,
        Family.PERCUSSION: Sort.PERCUSSION,
    }
    if stop.family is Family.COMPOUND and names & sorts["chorus_compounds"] and stop.ranks and stop.ranks.low >= 3:
        return Sort.MIXTURE
    if stop.family in plain:
        return plain[stop.family]
    if stop.family is Family.REED:
        return _reed_sort(found, names)
    if stop.family is Family.MUTATION:
        key = key_of(stop.name)
        flutish = found is not None and found.id in sorts["flute_mutations"]
        flutish = flutish or any(word in key for word in sorts["flute_mutation_words"])
        return Sort.MUTATION if flutish or _is_tierce(stop.pitch) else Sort.QUINT
    soft = bool(names & sorts["echo_principals"]) or (stop.loudness <= 3)
    return Sort.ECHO_PRINCIPAL if soft else Sort.PRINCIPAL


def _is_doubtful_celeste(stop: Stop, division: Division) -> bool:
    """A Vox Angelica with a plain string at its pitch and no other celeste in the division undulates (from memory)."""
    if stop.kind not in _sorts()["doubtful_celestes"]:
        return False
    others = [s for s in division.stops if s.id != stop.id and s.pitch == stop.pitch]
    plain = any(s.family is Family.STRING and s.kind not in _sorts()["doubtful_celestes"] for s in others)
    return plain and not any(s.family is Family.CELESTE for s in division.stops)


def _beats(stop: Stop, division: Division) -> bool:
    return _is_doubtful_celeste(stop, division) or beats_alone(stop, division)


def beats_alone(stop: Stop, division: Division) -> bool:
    """Whether a stop holds both ranks of a celeste: Voix Celeste II, Dulcet II where there is no Dulcet I."""
    bare, _, number = stop.name.rpartition(" ")
    two = number == "II" or (stop.ranks is not None and stop.ranks.low == TWO)
    bare = bare if number == "II" else stop.name
    if not two or key_of(bare) not in {key_of(name) for name in _sorts()["two_rank_celestes"]}:
        return two and stop.family is Family.CELESTE
    return not any(key_of(s.name) in (key_of(bare), key_of(f"{bare} I")) for s in division.stops if s.id != stop.id)


def ground_order(one: Voice) -> int:
    """The place of a flute among those one takes for a ground; 0 the first."""
    order: list[str] = load("recipes")["ground_flutes"]
    return order.index(one.group) if one.group in order else 0 if one.sort is not Sort.FLUTE else 2


def _reed_sort(found: StopKind | None, names: set[str]) -> Sort:
    sorts = _sorts()
    for sort, table in (
        (Sort.VOX_HUMANA, "vox_humana"),
        (Sort.TUBA, "tubas"),
        (Sort.MILD_REED, "mild_reeds"),
        (Sort.SOLO_REED, "solo_reeds"),
    ):
        if names & sorts[table]:
            return sort
    return Sort.CHORUS_REED


def _is_tierce(pitch: Feet | None) -> bool:
    return pitch is not None and pitch.denominator % 5 == 0


def _is_short(stop: Stop, division: Division) -> bool:
    low = stop.compass[0]
    first = division.compass[0] if division.compass else 36
    return bool(stop.half) or (low is not None and low >= first + 12)


def same_stop(one: Voice, other: Voice) -> bool:
    """Whether two are one stop: the same, or the halves of a divided one."""
    return one is other or (
        one.stop.half is not None
        and other.stop.half is not None
        and one.stop.half != other.stop.half
        and one.feet == other.feet
        and key_of(one.stop.name) == key_of(other.stop.name)
    )


def whole(picked: Iterable[Voice], pool: Iterable[Voice]) -> list[Voice]:
    """The stops picked, of divided ones both halves where the pool has them."""
    every = list(pool)
    found = [v for one in picked for v in (one, *(o for o in every if o is not one and same_stop(o, one)))]
    return list(dict.fromkeys(found))


def is_octave_pitch(pitch: Feet) -> bool:
    """Whether a pitch is 32, 16, 8, 4, 2, 1 and so on."""
    numbers = (pitch.numerator, pitch.denominator)
    return pitch > 0 and all(n & (n - 1) == 0 for n in numbers)
