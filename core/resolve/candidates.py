"""Which stops of a division answer a request, best first, each with its reason.

This module knows requests by name; families and bare pitches are `core.resolve.families`', recipes
`core.resolve.recipes`'. What a division cannot answer is left to `core.resolve.substitutes`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.kinds import StopKind
from core.organ.model import Division, Feet, Half, Organ, Role
from core.organ.normal import key_of, loose_key
from core.organ.spelling import stop_label, write_feet
from core.resolve.model import Sure
from core.resolve.names import (
    NAME_WITHIN,
    SAME_KIND,
    SAME_NAME,
    SAME_PLACE,
    generic_family,
    name_grade,
    number_of,
    wanted_kind,
)
from core.resolve.traits import REEDS, Sort, Voice, same_stop, voices
from core.texts import Said, joined, say

OFF_PITCH = 18
_FAR = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What the player has before him for one request.

    Attributes:
        half: the half of divided stops that is asked for.
        adding: the request adds to what is drawn; else it makes the registration.
        companions: the other requests of the same instruction.
        drawn: ids of what is on before.
        text: the marking as printed.
        taken: ids of stops that answer other requests of the instruction and are not to be had twice.
    """

    organ: Organ
    division: Division
    tradition: str | None = None
    language: str | None = None
    half: Half | None = None
    adding: bool = False
    companions: tuple[StopRequest, ...] = ()
    drawn: frozenset[str] = frozenset()
    text: str = ""
    taken: frozenset[str] = frozenset()

    @property
    def pedal(self) -> bool:
        """Whether the division is the pedal."""
        return self.division.role == Role.PEDAL

    @property
    def unison(self) -> Feet:
        """8 on a manual, 16 in the pedal."""
        return Fraction(16 if self.pedal else 8)

    def voices(self) -> tuple[Voice, ...]:
        """The division's stops, of divided ones the half asked for."""
        found = voices(self.organ, self.division)
        if self.taken:
            found = tuple(v for v in found if v.id not in self.taken)
        if self.half is None:
            return found
        return tuple(v for v in found if v.stop.half in (None, self.half))


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What answers one request.

    Attributes:
        chosen: () where nothing does.
        substitute: something else was asked for.
        missing: what is not to be had, in words; None where all is.
        quality: 0 exact … 100 nothing; what compares divisions.
        asked: the request itself, where one request led to it.
        octaves: as in `Because`.
    """

    request: str
    chosen: tuple[Voice, ...] = ()
    alternatives: tuple[Voice, ...] = ()
    substitute: bool = False
    why: Said
    missing: Said | None = None
    sure: Sure = Sure.STATED
    quality: int = 0
    asked: StopRequest | None = None
    octaves: int = 0


def request_label(request: StopRequest) -> str:
    """A request in English: ``loud 8 reed``, ``Oboe 8``."""
    return str(said_request(request))


def said_request(request: StopRequest) -> Said:
    """A request for people: ``loud 8 reed``, ``Oboe 8``."""
    pitches = " & ".join(write_feet(p) for p in request.pitches)
    qualities = [say(quality) for quality in request.qualities if quality != "or similar"]
    half = say(request.half.value) if request.half else ""
    if request.name:
        return _with_qualities(qualities, (request.name, pitches, half))
    family = {"foundation": "foundations", "plenum": "plenum", "all": "full"}.get(
        request.family or "", f"{request.family}s" if request.family else "ft" if pitches else "stops"
    )
    return _with_qualities(qualities, (pitches, say(family), half))


def _with_qualities(qualities: Sequence[Said], parts: Iterable[Said | str]) -> Said:
    """``soft flutes``; other languages set the quality elsewhere."""
    rest = joined(" ", [part for part in parts if part])
    return say("{quality} {what}", quality=joined(" ", qualities), what=rest) if qualities else rest


def asked_as(request: StopRequest) -> str:
    """What a request asks for, whatever its pitch and quality: the name's or family's key."""
    return loose_key(key_of(request.name or "")) or f"the {request.family}s"


def by_name(request: StopRequest, desk: Desk) -> Choice | None:
    """The stop of that name, at each pitch asked for; None where the division has none."""
    assert request.name is not None
    found: list[Voice] = []
    others: list[Voice] = []
    grades: list[int] = []
    off = False
    for feet in request.pitches or (None,):
        ranked = named(request, desk, feet)
        if not ranked:
            return None
        best = [voice for grade, voice in ranked if grade == ranked[0][0]]
        taken = _of_equals(request, best, desk)
        off = off or (is_off(ranked[0][0]) and ranked[0][0][1] > SAME_NAME)
        found += taken
        others += [voice for _, voice in ranked if voice not in taken]
        grades.append(ranked[0][0][1])
    template = {SAME_NAME: "{stops}: the stop named", SAME_KIND: "{stops} is this organ's {name}"}.get(
        max(grades), "{stops} is what the {division} has by that name"
    )
    if max(grades) == SAME_PLACE and generic_family(request.name):
        template = "{stops}: the {division}'s {name}, by whatever name"
    elif max(grades) == SAME_PLACE:
        template = "{stops} holds the {name}'s place in the {division}'s chorus"
    why = say(template, stops=labels(found), name=request.name, division=desk.division.name)
    return Choice(
        request=request_label(request),
        chosen=tuple(dict.fromkeys(found)),
        alternatives=tuple(dict.fromkeys(others)),
        why=why,
        quality=OFF_PITCH if off else max(grades),
    )


def named(request: StopRequest, desk: Desk, feet: Feet | None) -> list[tuple[tuple[int, int, int], Voice]]:
    """All stops that answer a name at a pitch, with (how far from the pitch, grade, how far from unison)."""
    return list(_named(request, desk.organ, desk.division, desk.half, desk.language, desk.tradition, feet))


@lru_cache(maxsize=4096)
def _named(
    request: StopRequest,
    organ: Organ,
    division: Division,
    half: Half | None,
    language: str | None,
    tradition: str | None,
    feet: Feet | None,
) -> tuple[tuple[tuple[int, int, int], Voice], ...]:
    """The same for a desk on which nothing is drawn: what is on, or stands beside, makes no difference to a name."""
    assert request.name is not None
    desk = Desk(organ=organ, division=division, half=half, language=language, tradition=tradition)
    wanted = wanted_kind(request, pedal=desk.pedal, language=desk.language, tradition=desk.tradition)
    family = generic_family(request.name)
    ranked = []
    for voice in desk.voices():
        grade = name_grade(request.name, wanted, voice, feet)
        if family and (grade is None or grade > SAME_NAME) and _is_of_family(voice, family):
            at_pitch = feet is None or voice.feet in (feet, 0)
            grade = SAME_PLACE if at_pitch and grade is None else grade
        if grade is None:
            continue
        ranked.append((_order(voice, wanted, feet, grade, desk, generic=bool(family)), voice))
    return tuple(sorted(ranked, key=lambda pair: (pair[0], _size_order(request, pair[1]))))


def _order(
    voice: Voice, wanted: StopKind | None, feet: Feet | None, grade: int, desk: Desk, *, generic: bool
) -> tuple[int, int, int]:
    if feet is not None or not voice.feet:
        return (0, grade, 0)
    usual = wanted.usual_feet(pedal=desk.pedal) if wanted else None
    off = 0 if voice.feet in (desk.unison, usual) else 1
    distance = 0 if voice.feet == desk.unison else int(abs(voice.feet - desk.unison) * 15) + 1
    if grade <= SAME_KIND and off and not generic:
        return (0, grade if grade == SAME_NAME else NAME_WITHIN, distance + _FAR)
    return (off, grade, distance + _FAR * off)


def is_off(order: tuple[int, int, int]) -> bool:
    """Whether a stop is not at the pitch that its name would mean."""
    return order[2] >= _FAR


def _is_of_family(voice: Voice, family: str) -> bool:
    if family == "flute":
        return voice.sort is Sort.FLUTE
    return voice.sort in {
        "reed": REEDS - {Sort.VOX_HUMANA},
        "string": {Sort.STRING},
        "mixture": {Sort.MIXTURE},
        "principal": {Sort.PRINCIPAL},
        "celeste": {Sort.CELESTE},
    }.get(family, set())


def _size_order(request: StopRequest, voice: Voice) -> tuple[int, int, int, int]:
    """Among equals: the number or size asked for first; full compass before short; flutes by openness."""
    soft = bool({"soft", "small"} & set(request.qualities))
    number = number_of(voice.stop.name)
    loud = voice.loudness if soft else -voice.loudness
    stopped = voice.group in load("recipes")["stopped_groups"]
    fanfare = voice.sort is Sort.TUBA and not {"loud", "large"} & set(request.qualities)
    names = {voice.group} if soft else {voice.stop.kind, voice.group}  # a mild one is welcome where softness is asked
    between = bool(names & {*load("recipes")["sorts"]["half_flutes"]})
    return (int(voice.short), int(fanfare or between), int(stopped), loud if number is None else number)


def _of_equals(request: StopRequest, best: Sequence[Voice], desk: Desk) -> list[Voice]:
    """Of stops that answer a name alike: both halves of a divided one; all of a plural; else the first."""
    assert request.name is not None
    qualities = set(request.qualities)
    asked = number_of(request.name)
    numbered_so = [v for v in best if asked is not None and number_of(v.stop.name) == asked]
    if numbered_so:
        return [v for v in best if same_stop(v, numbered_so[0])]
    first = best[0]
    if {"large", "loud", "small", "soft"} & qualities and len(best) > 1:
        loud = bool({"large", "loud"} & qualities)
        numbered = [v for v in best if number_of(v.stop.name) is not None]
        if numbered:
            first = min(numbered, key=lambda v: (number_of(v.stop.name) or 0) * (1 if loud else -1))
        else:
            first = max(best, key=lambda v: (-_size_order(request, v)[1], v.loudness * (1 if loud else -1)))
        return [v for v in best if same_stop(v, first)]
    if _is_plural(request.name) and number_of(request.name) is None:
        return [v for v in best if v.feet == first.feet]
    return [v for v in best if same_stop(v, first)]


def _is_plural(name: str) -> bool:
    return name.strip().lower().endswith("s") and not name.strip().lower().endswith(("ss", "bas", "maris"))


def labels(chosen: Iterable[Voice]) -> str:
    """Stops as a list for people."""
    return ", ".join(stop_label(v.stop) for v in chosen)
