"""Which stops of a division answer a request, best first, each with its reason.

Three kinds of request: by name (`by_name`), by family (`by_family`), by pitch alone (`by_pitch`). What
a division cannot answer is left to `core.resolve.substitutes`; recipes are `core.resolve.recipes`'.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.kinds import StopKind
from core.organ.model import Division, Feet, Half, Organ, Role
from core.organ.spelling import stop_label, write_feet
from core.resolve.model import Sure
from core.resolve.names import (
    SAME_KIND,
    SAME_NAME,
    SAME_PLACE,
    generic_family,
    name_grade,
    number_of,
    wanted_kind,
)
from core.resolve.traits import FLUES, REEDS, Sort, Voice, voices
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What the player has before him for one request.

    Attributes:
        half: the half of divided stops that is asked for.
        adding: the request adds to what is drawn; else it makes the registration.
        companions: the other requests of the same instruction.
        drawn: ids of what is on before.
    """

    organ: Organ
    division: Division
    tradition: str | None = None
    language: str | None = None
    half: Half | None = None
    adding: bool = False
    companions: tuple[StopRequest, ...] = ()
    drawn: frozenset[str] = frozenset()

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
    """

    request: str
    chosen: tuple[Voice, ...] = ()
    alternatives: tuple[Voice, ...] = ()
    substitute: bool = False
    why: Said
    missing: Said | None = None
    sure: Sure = Sure.STATED
    quality: int = 0


def request_label(request: StopRequest) -> str:
    """A request for people: ``loud 8 reed``, ``Oboe 8``."""
    pitches = " & ".join(write_feet(p) for p in request.pitches)
    quality = " ".join(q for q in request.qualities if q != "or similar")
    half = request.half.value if request.half else ""
    if request.name:
        return " ".join(part for part in (quality, request.name, pitches, half) if part)
    family = {"foundation": "foundations", "plenum": "plenum", "all": "full"}.get(
        request.family or "", f"{request.family}s" if request.family else "stops"
    )
    return " ".join(part for part in (quality, pitches, family, half) if part)


def by_name(request: StopRequest, desk: Desk) -> Choice | None:
    """The stop of that name, at each pitch asked for; None where the division has none."""
    assert request.name is not None
    found: list[Voice] = []
    others: list[Voice] = []
    grades: list[int] = []
    for feet in request.pitches or (None,):
        ranked = named(request, desk, feet)
        if not ranked:
            return None
        best = [voice for grade, voice in ranked if grade == ranked[0][0]]
        taken = _of_equals(request, best, desk)
        found += taken
        others += [voice for _, voice in ranked if voice not in taken]
        grades.append(ranked[0][0][1])
    template = {SAME_NAME: "{stops}: the stop named", SAME_KIND: "{stops} is this organ's {name}"}.get(
        max(grades), "{stops} is what the {division} has by that name"
    )
    if max(grades) == SAME_PLACE:
        template = "{stops} holds the {name}'s place in the {division}'s chorus"
    why = say(template, stops=labels(found), name=request.name, division=desk.division.name)
    return Choice(
        request=request_label(request),
        chosen=tuple(dict.fromkeys(found)),
        alternatives=tuple(dict.fromkeys(others)),
        why=why,
        quality=max(grades),
    )


def named(request: StopRequest, desk: Desk, feet: Feet | None) -> list[tuple[tuple[int, int, int], Voice]]:
    """All stops that answer a name at a pitch, with (how far from the pitch, grade, how far from unison)."""
    assert request.name is not None
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
        ranked.append((_order(voice, wanted, feet, grade, desk), voice))
    return sorted(ranked, key=lambda pair: (pair[0], _size_order(request, pair[1])))


def _order(
    voice: Voice, wanted: StopKind | None, feet: Feet | None, grade: int, desk: Desk
) -> tuple[int, int, int]:
    if feet is not None or not voice.feet:
        return (0, grade, 0)
    usual = wanted.usual_feet(pedal=desk.pedal) if wanted else None
    off = 0 if voice.feet in (desk.unison, usual) else 1
    distance = 0 if voice.feet == desk.unison else int(abs(voice.feet - desk.unison) * 15) + 1
    return (off, grade, distance)


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


def _size_order(request: StopRequest, voice: Voice) -> tuple[int, int, int]:
    """Among equals: the number or size asked for first; full compass before short; flutes by openness."""
    number = number_of(voice.stop.name)
    loud = voice.loudness if {"soft", "small"} & set(request.qualities) else -voice.loudness
    stopped = voice.group in load("recipes")["stopped_groups"]
    return (int(voice.short), int(stopped), loud if number is None else number)


def _of_equals(request: StopRequest, best: Sequence[Voice], desk: Desk) -> list[Voice]:
    """Of stops that answer a name alike: both halves of a divided one; all of a plural; else the first."""
    assert request.name is not None
    qualities = set(request.qualities)
    first = best[0]
    if {"large", "loud", "small", "soft"} & qualities and len(best) > 1:
        loud = bool({"large", "loud"} & qualities)
        numbered = [v for v in best if number_of(v.stop.name) is not None]
        if numbered:
            first = min(numbered, key=lambda v: (number_of(v.stop.name) or 0) * (1 if loud else -1))
        else:
            first = max(best, key=lambda v: v.loudness * (1 if loud else -1))
        return [v for v in best if _same_stop(v, first)]
    if _is_plural(request.name) and number_of(request.name) is None:
        return [v for v in best if v.feet == first.feet]
    return [v for v in best if _same_stop(v, first)]


def _same_stop(one: Voice, other: Voice) -> bool:
    return one is other or (
        one.stop.half is not None
        and other.stop.half is not None
        and one.stop.half != other.stop.half
        and one.feet == other.feet
    )


def _is_plural(name: str) -> bool:
    return name.strip().lower().endswith("s") and not name.strip().lower().endswith(("ss", "bas", "maris"))


def by_family(request: StopRequest, desk: Desk) -> Choice | None:
    """All stops of a family at the pitches asked for; one where a quality picks it; None where it has none."""
    sorts = _sorts_of(request, desk)
    pool = [v for v in desk.voices() if v.sort in sorts]
    if not pool:
        return None
    pitches = request.pitches or _pitches_meant(request.family or "", pool, desk)
    if request.family in ("mixture", "compound", "mutation", "percussion") and not request.pitches:
        hits = pool
    else:
        hits = [v for v in pool if v.feet in pitches]
    if not hits:
        return None
    lacking = [p for p in request.pitches if not any(v.feet == p for v in hits)]
    picked = by_quality(hits, request.qualities, lambda v: v.feet)
    why = _why_family(request, picked, desk)
    return Choice(
        request=request_label(request),
        chosen=tuple(picked),
        alternatives=tuple(v for v in hits if v not in picked),
        substitute=bool(lacking),
        missing=_lacking(request, lacking, desk),
        why=why,
        sure=Sure.CUSTOMARY,
        quality=2 + 20 * bool(lacking),
    )


def _sorts_of(request: StopRequest, desk: Desk) -> frozenset[Sort]:
    family = request.family or ""
    if family == "reed":
        present = {v.sort for v in desk.voices()}
        chorus = {Sort.CHORUS_REED, Sort.MILD_REED, Sort.TUBA}
        return frozenset(chorus if present & chorus else REEDS)
    if family == "foundation":
        return foundation_sorts(desk)
    return {
        "principal": frozenset((Sort.PRINCIPAL,)),
        "flute": frozenset((Sort.FLUTE,)),
        "string": frozenset((Sort.STRING,)),
        "celeste": frozenset((Sort.CELESTE,)),
        "mutation": frozenset((Sort.MUTATION, Sort.QUINT)),
        "mixture": frozenset((Sort.MIXTURE,)),
        "compound": frozenset((Sort.COMPOUND,)),
        "percussion": frozenset((Sort.PERCUSSION,)),
    }.get(family, FLUES)


def foundation_sorts(desk: Desk) -> frozenset[Sort]:
    """The flues that the tradition counts among the foundations; never celestes."""
    table = load("recipes")["foundations"]
    names = table.get(desk.tradition or "", table["other"])
    return frozenset(Sort(name) for name in names)


def _pitches_meant(family: str, pool: Sequence[Voice], desk: Desk) -> tuple[Feet, ...]:
    """The pitches that a family's word means where it gives none."""
    here = {v.feet for v in pool}
    meant = load("recipes")["pitches_meant"][
        family if family in load("recipes")["pitches_meant"] else "other"
    ]
    octave = 2 if desk.pedal else 1
    wanted = tuple(Fraction(str(p)) * octave for p in meant)
    found = tuple(p for p in wanted if p in here)
    if found:
        return found
    return (min(here, key=lambda p: abs(p - desk.unison)),)


def by_quality(
    hits: Sequence[Voice], qualities: Iterable[str], group: Callable[[Voice], object]
) -> list[Voice]:
    """All of the stops, or of each pitch the softest, loudest or two where a quality says so."""
    asked = set(qualities)
    if not asked & {"soft", "loud", "small", "large", "two", "half", "dark", "bright"}:
        return list(hits)
    picked: list[Voice] = []
    for value in dict.fromkeys(group(v) for v in hits):
        some = [v for v in hits if group(v) == value]
        full = [v for v in some if not v.short] or some
        if asked & {"soft", "small"}:
            ordered = sorted(full, key=lambda v: v.loudness)
            picked += ordered[:2] if "two" in asked else ordered[:1]
        elif asked & {"loud", "large"}:
            ordered = sorted(full, key=lambda v: -v.loudness)
            picked += ordered[:2] if "two" in asked else ordered[:1]
        elif "two" in asked:
            picked += full[:2]
        else:
            picked += some
    return picked


def by_pitch(request: StopRequest, desk: Desk) -> Choice | None:
    """Bare pitches ("8 & 4"): of each the principal, else the flue that leads there; soft or loud as asked."""
    chosen: list[Voice] = []
    others: list[Voice] = []
    lacking: list[Feet] = []
    for feet in request.pitches:
        pool = [v for v in desk.voices() if v.feet == feet and v.sort in FLUES | {Sort.QUINT, Sort.MUTATION}]
        if not pool:
            pool = [v for v in desk.voices() if v.feet == feet and v.sort in REEDS - {Sort.VOX_HUMANA}]
        if not pool:
            lacking.append(feet)
            continue
        ranked = sorted(pool, key=lambda v: _pitch_order(v, request, desk))
        count = 2 if "two" in request.qualities else 1
        taken = ranked[:count]
        if ranked[0].stop.half:
            taken = [v for v in ranked if _same_stop(v, ranked[0])]
        chosen += taken
        others += [v for v in ranked if v not in taken]
    if not chosen:
        return None
    return Choice(
        request=request_label(request),
        chosen=tuple(chosen),
        alternatives=tuple(others),
        substitute=bool(lacking),
        missing=_lacking(request, lacking, desk),
        why=_why_pitch(request, chosen, desk),
        sure=Sure.CUSTOMARY,
        quality=2 + 20 * bool(lacking),
    )


_LEADING = {
    Sort.PRINCIPAL: 0,
    Sort.QUINT: 0,
    Sort.MUTATION: 1,
    Sort.FLUTE: 2,
    Sort.STRING: 3,
    Sort.ECHO_PRINCIPAL: 3,
}
_FLUTISH = {
    Sort.FLUTE: 0,
    Sort.MUTATION: 0,
    Sort.PRINCIPAL: 1,
    Sort.QUINT: 1,
    Sort.STRING: 3,
    Sort.ECHO_PRINCIPAL: 2,
}


def _pitch_order(voice: Voice, request: StopRequest, desk: Desk) -> tuple[int, int, int]:
    asked = set(request.qualities)
    short = int(voice.short and voice.stop.half is None)
    if asked & {"soft", "small", "dark"}:
        return (short, voice.loudness, _LEADING.get(voice.sort, 5))
    if asked & {"loud", "large"}:
        return (short, -voice.loudness, _LEADING.get(voice.sort, 5))
    if desk.pedal and voice.feet >= 16 and voice.feet == desk.unison:
        return (short, abs(voice.loudness - 5), _LEADING.get(voice.sort, 5))
    order = _FLUTISH if _is_tierce_registration(request) or voice.feet >= 16 else _LEADING
    return (short, order.get(voice.sort, 5), number_of(voice.stop.name) or -voice.loudness)


def _is_tierce_registration(request: StopRequest) -> bool:
    """8, 2⅔, 1⅗ and the like stand on a flute, as Nasard and Tierce are flutes."""
    third = any(p.denominator % 5 == 0 for p in request.pitches)
    quint = any(p.denominator % 3 == 0 for p in request.pitches)
    return third or (quint and Fraction(2) not in request.pitches and Fraction(4) not in request.pitches)


def _lacking(request: StopRequest, lacking: Sequence[Feet], desk: Desk) -> Said | None:
    if not lacking:
        return None
    return say(
        "{request}: the {division} has none of {pitches} ft",
        request=request_label(request),
        division=desk.division.name,
        pitches=", ".join(write_feet(p) for p in lacking),
    )


def _why_family(request: StopRequest, picked: Sequence[Voice], desk: Desk) -> Said:
    asked = set(request.qualities)
    if asked & {"soft", "small"}:
        return say("{stops}: softest of the {division}'s {request}", stops=labels(picked),
                   division=desk.division.name, request=request_label(_plain(request)))  # fmt: skip
    if asked & {"loud", "large"}:
        return say("{stops}: loudest of the {division}'s {request}", stops=labels(picked),
                   division=desk.division.name, request=request_label(_plain(request)))  # fmt: skip
    return say("{stops}: the {request} of the {division}", stops=labels(picked),
               division=desk.division.name, request=request_label(request))  # fmt: skip


def _plain(request: StopRequest) -> StopRequest:
    return replace(request, qualities=())


def _why_pitch(request: StopRequest, chosen: Sequence[Voice], desk: Desk) -> Said:
    if {"soft", "small"} & set(request.qualities):
        return say("{stops}: softest flue at that pitch on the {division}", stops=labels(chosen),
                   division=desk.division.name)  # fmt: skip
    if {"loud", "large"} & set(request.qualities):
        return say("{stops}: strongest flue at that pitch on the {division}", stops=labels(chosen),
                   division=desk.division.name)  # fmt: skip
    if all(v.sort in (Sort.PRINCIPAL, Sort.QUINT) for v in chosen):
        return say("{stops}: pitches alone mean the principals of the {division}", stops=labels(chosen),
                   division=desk.division.name)  # fmt: skip
    return say("{stops}: the flues that lead the {division} at these pitches", stops=labels(chosen),
               division=desk.division.name)  # fmt: skip


def labels(chosen: Iterable[Voice]) -> str:
    """Stops as a list for people."""
    return ", ".join(stop_label(v.stop) for v in chosen)
