"""Which stops a request points at among given ones: for "off", "without", "except"."""

from __future__ import annotations

from collections.abc import Iterable

from core.markings.model import StopRequest
from core.resolve.candidates import Desk
from core.resolve.families import foundation_sorts
from core.resolve.names import generic_family, name_grade, wanted_kind
from core.resolve.traits import FLUES, REEDS, Sort, Voice

_PLENUM = frozenset((Sort.MIXTURE, Sort.QUINT))
_FAMILY_SORTS = {
    "principal": frozenset((Sort.PRINCIPAL, Sort.ECHO_PRINCIPAL)),
    "flute": frozenset((Sort.FLUTE,)),
    "string": frozenset((Sort.STRING,)),
    "celeste": frozenset((Sort.CELESTE,)),
    "reed": REEDS,
    "mutation": frozenset((Sort.MUTATION, Sort.QUINT)),
    "mixture": frozenset((Sort.MIXTURE,)),
    "compound": frozenset((Sort.COMPOUND,)),
    "percussion": frozenset((Sort.PERCUSSION,)),
    "all": frozenset(Sort),
}


def matching(request: StopRequest, voices: Iterable[Voice], desk: Desk) -> list[Voice]:
    """The stops among these that a request means; all its pitches, or every pitch where it gives none."""
    pool = [v for v in voices if not request.pitches or v.feet in request.pitches]
    if request.half is not None:
        pool = [v for v in pool if v.stop.half in (None, request.half)]
    if request.name:
        return _by_name(request, pool, desk)
    if request.family == "plenum":
        return [v for v in pool if v.sort in _PLENUM or (v.sort is Sort.PRINCIPAL and v.feet <= v.unison / 4)]
    if request.family == "foundation":
        sorts = foundation_sorts(desk) | {Sort.ECHO_PRINCIPAL}
        return [v for v in pool if v.sort in sorts]
    if request.family:
        return _of_family(request.family, pool, desk)
    if request.pitches:
        return pool
    if {"soft", "small"} & set(request.qualities):
        return [v for v in pool if v.loudness <= 3]
    return [v for v in pool if v.loudness >= 7] if {"loud", "large"} & set(request.qualities) else []


def _by_name(request: StopRequest, pool: list[Voice], desk: Desk) -> list[Voice]:
    assert request.name is not None
    wanted = wanted_kind(request, pedal=desk.pedal, language=desk.language, tradition=desk.tradition)
    graded = []
    for voice in pool:
        grade = name_grade(request.name, wanted, voice, None)
        if grade is not None:
            graded.append((grade, voice))
    if not graded:
        family = generic_family(request.name)
        return _of_family(family, pool, desk) if family else []
    best = min(grade for grade, _ in graded)
    plural = request.name.lower().endswith("s")
    return [voice for grade, voice in graded if grade == best or (plural and grade <= 2)]


def _of_family(family: str, pool: list[Voice], desk: Desk) -> list[Voice]:
    sorts = _FAMILY_SORTS.get(family, FLUES)
    french = (desk.tradition or "").startswith("french-symphonic")
    if family == "reed" and french:
        return [v for v in pool if (v.sort in sorts and _is_on_reed_wind(v)) or v.stop.on_ventil]
    return [v for v in pool if v.sort in sorts]


def _is_on_reed_wind(voice: Voice) -> bool:
    """In French usage Hautbois and Voix humaine stand with the fonds; what the specification says holds."""
    if voice.stop.on_ventil is not None:
        return voice.stop.on_ventil
    return voice.sort not in (Sort.MILD_REED, Sort.VOX_HUMANA)
