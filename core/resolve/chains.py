"""Build-ups: "Gt. to Fifteenth", "Sw. to Oboe" draw the chorus up to and including the stop named."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from core.markings.model import StopRequest
from core.organ.model import Feet
from core.resolve.candidates import Choice, Desk, by_name, labels, request_label
from core.resolve.families import by_family, by_pitch
from core.resolve.model import Sure
from core.resolve.names import wanted_kind
from core.resolve.substitutes import pitch_meant
from core.resolve.traits import FLUES, REEDS, Sort, Voice, is_octave_pitch
from core.texts import say

_MIXED = frozenset((Sort.MIXTURE,))
_DOUBLE_S_QUINT = Fraction(2, 3)  # 5 1/3 on a manual belongs to the Double (STAUFF, "Grand Quint"), which stays out


def up_to(request: StopRequest, desk: Desk) -> Choice:
    """The chorus of a division up to and including a stop, in the order a chorus is built."""
    top = by_name(request, desk) if request.name else by_family(request, desk)
    if top is None and request.pitches and not request.name:
        top = by_pitch(request, desk)
    goal = _goal(request, top, desk)
    chain = _chain(goal, desk)
    named = list(top.chosen) if top else []
    chosen = list(dict.fromkeys([*chain, *named]))
    label = request_label(request)
    division = desk.division.name
    if top is None:
        missing = say("{request} is not on this organ's {division}", request=label, division=division)
        return Choice(
            request=f"to {label}",
            chosen=tuple(chosen),
            substitute=True,
            missing=missing,
            why=say("as far as the {division} goes below the {request}: {stops}", division=division,
                    request=label, stops=labels(chosen)),
            sure=Sure.CUSTOMARY,
            quality=25,
        )  # fmt: skip
    return Choice(
        request=f"to {label}",
        chosen=tuple(chosen),
        alternatives=top.alternatives,
        why=say("the {division}'s chorus up to and with {top}: {stops}", division=division, top=labels(named),
                stops=labels(chosen)),
        sure=Sure.CUSTOMARY,
        quality=top.quality,
    )  # fmt: skip


class _Goal:
    """How far the chain goes: the highest pitch, and whether mixtures and reeds come in."""

    def __init__(self, feet: Feet, *, mixtures: bool = False, reeds: bool = False) -> None:
        self.feet = feet
        self.mixtures = mixtures
        self.reeds = reeds


def _goal(request: StopRequest, top: Choice | None, desk: Desk) -> _Goal:
    octave = 2 if desk.pedal else 1
    if top is not None and top.chosen:
        sorts = {v.sort for v in top.chosen}
        if sorts & {Sort.MIXTURE}:
            return _Goal(Fraction(0), mixtures=True)
        if sorts & REEDS:
            mild = sorts <= {Sort.MILD_REED, Sort.SOLO_REED}
            return _Goal(Fraction(2 * octave) if mild else Fraction(0), mixtures=not mild, reeds=not mild)
        pitches = [v.feet for v in top.chosen if v.feet]
        return _Goal(min(pitches) if pitches else Fraction(2 * octave))
    wanted = wanted_kind(request, pedal=desk.pedal, language=desk.language, tradition=desk.tradition)
    if request.family == "mixture" or (wanted is not None and wanted.family == "mixture"):
        return _Goal(Fraction(0), mixtures=True)
    if request.family == "reed" or (wanted is not None and wanted.family == "reed"):
        return _Goal(Fraction(0), mixtures=True)
    return _Goal(pitch_meant(request, wanted, desk) or Fraction(2 * octave))


def _chain(goal: _Goal, desk: Desk) -> list[Voice]:
    """8, 4, 2 2/3, 2 and so on to the goal's pitch; the Double stays out, flutes fill what is lacking."""
    pool = desk.voices()
    chosen: list[Voice] = []
    pitches = sorted({v.feet for v in pool if v.sort in FLUES | {Sort.QUINT}}, reverse=True)
    for feet in pitches:
        if feet > desk.unison or feet < goal.feet or not feet or feet == desk.unison * _DOUBLE_S_QUINT:
            continue
        chosen += _of_pitch([v for v in pool if v.feet == feet])
    if goal.mixtures:
        chosen += [v for v in pool if v.sort in _MIXED]
    return chosen


def _of_pitch(pool: Sequence[Voice]) -> list[Voice]:
    principals = [v for v in pool if v.sort in (Sort.PRINCIPAL, Sort.QUINT)]
    if principals:
        return principals
    feet = pool[0].feet if pool else Fraction(0)
    if not is_octave_pitch(feet):
        return []
    flues = sorted(
        (v for v in pool if v.sort in FLUES and not v.short),
        key=lambda v: (v.sort is not Sort.FLUTE, -v.loudness),
    )
    return flues[:1] or [v for v in pool if v.sort in FLUES][:1]
