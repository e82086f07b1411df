"""Requests by family ("Flutes 8 & 4", "fonds 8") and by pitch alone ("8 & 4"), soft or loud as asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.model import Feet
from core.organ.normal import key_of
from core.organ.spelling import write_feet
from core.resolve.candidates import Choice, Desk, labels, request_label, said_request
from core.resolve.lending import lenders
from core.resolve.model import Sure
from core.resolve.names import number_of
from core.resolve.traits import FLUES, REEDS, Sort, Voice, is_octave_pitch, whole
from core.texts import Said, joined, say

LOWEST_C = 36
_MILD = 5  # loudness of a stop that may still be called soft
_PITCHLESS = ("mixture", "compound", "mutation", "percussion")
_FLUES_SAID = re.compile(r"\bflues?\b", re.IGNORECASE)  # the word means every flue, strings too
_ALL = re.compile(r"\b(?:all|alle|tous|toutes|tutti|todos)\b(?:\s+(?:the|les|die|gli|los))?\s+\d", re.IGNORECASE)


def by_family(request: StopRequest, desk: Desk) -> Choice | None:
    """All stops of a family at the pitches asked for, or the one a quality picks; None for none."""
    sorts = _sorts_of(request, desk)
    pool = [v for v in desk.voices() if v.sort in sorts]
    if not pool:
        return None
    if request.family == "reed" and not request.pitches:
        pool = [v for v in _with_reed_wind(desk, pool) if v.stop.on_ventil is not False] or pool
    pitches = request.pitches or _pitches_meant(request.family or "", pool, desk)
    whole = ("mixture", "compound", "mutation", "percussion", "reed")
    if request.family in whole and not request.pitches:
        hits = pool
    else:
        hits = _true_ones(request, [v for v in pool if v.feet in pitches], desk) + _mutations_at(request, desk)
    if not hits:
        return None
    lacking = [p for p in request.pitches if not any(v.feet == p for v in hits)]
    picked = _soft_ones(hits, request, desk) or by_quality(hits, request.qualities, lambda v: v.feet)
    ground = _ground_instead(request, desk) if desk.unison in lacking else []
    why = _why_family(request, [*ground, *picked], desk)
    if ground:
        why = say("{why}; {stops} gives the ground at {feet} ft", why=why, stops=labels(ground),
                  feet=write_feet(desk.unison))  # fmt: skip
        picked = [*ground, *picked]
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


def _soft_ones(hits: Sequence[Voice], request: StopRequest, desk: Desk) -> list[Voice]:
    """Of "soft flues", "light reeds" without a pitch one or two at the unison, none above or below it."""
    if request.pitches or not {"soft", "small", "dark"} & {*request.qualities} or request.family in _PITCHLESS:
        return []
    unison = [v for v in hits if v.feet == desk.unison]
    full = sorted((v for v in unison if not v.short), key=lambda v: v.loudness) or unison
    mild = [v for v in full if v.loudness <= _MILD][:2]
    return whole(mild or full[:1], hits)


def _ground_instead(request: StopRequest, desk: Desk) -> list[Voice]:
    """The flue that carries a family's higher ranks where the division lacks its unison."""
    near: dict[str, int] = load("recipes")["near_families"].get(request.family or "", {})
    pool = [v for v in desk.voices() if v.feet == desk.unison and str(v.sort) in near and not v.short]
    pool.sort(key=lambda v: (near[str(v.sort)], v.stop.borrowed is not None, -v.loudness))
    return whole(pool[:1], pool)


def _true_ones(request: StopRequest, hits: list[Voice], desk: Desk) -> list[Voice]:
    """Of flutes without those between flute and principal (Gemshorn), where a truer one stands at their pitch."""
    if request.family == "celeste":
        return _celestes_in_words(hits, desk)
    if request.family != "flute":
        return hits
    between: list[str] = load("recipes")["sorts"]["half_flutes"]
    true = {v.feet for v in hits if not {v.stop.kind, v.group} & {*between}}
    return [v for v in hits if not {v.stop.kind, v.group} & {*between} or v.feet not in true]


def _celestes_in_words(hits: list[Voice], desk: Desk) -> list[Voice]:
    """Of celestes those that the words before tell: "Flute Celestes", "String Celestes"."""
    printed = key_of(desk.text)
    for group, words in load("recipes")["celeste_words"].items():
        if any(key_of(word) in printed for word in words):
            return [v for v in hits if v.group == group] or hits
    return hits


def _with_reed_wind(desk: Desk, reeds: list[Voice]) -> list[Voice]:
    """In French usage the anches are all that stands on the reeds' wind, mixtures and mutations too."""
    if (desk.tradition or "") != "french-symphonic":
        return reeds
    return [v for v in desk.voices() if v in reeds or v.stop.on_ventil]


def _sorts_of(request: StopRequest, desk: Desk) -> frozenset[Sort]:
    family = request.family or ""
    if family == "reed":
        present = {v.sort for v in desk.voices()}
        chorus = {Sort.CHORUS_REED, Sort.MILD_REED, Sort.TUBA}
        if (desk.tradition or "") == "french-symphonic" and present & {Sort.CHORUS_REED}:
            chorus = {Sort.CHORUS_REED, Sort.TUBA}
        return frozenset(chorus if present & chorus else REEDS)
    if family == "foundation":
        return foundation_sorts(desk)
    return {
        "principal": frozenset((Sort.PRINCIPAL,)),
        "flute": frozenset((Sort.FLUTE,)),
        "string": frozenset((Sort.STRING,)),
        "celeste": frozenset((Sort.CELESTE,)),
        "mutation": _mutations(desk),
        "mixture": frozenset((Sort.MIXTURE,)),
        "compound": frozenset((Sort.COMPOUND,)),
        "percussion": frozenset((Sort.PERCUSSION,)),
    }.get(family, FLUES)


def foundation_sorts(desk: Desk) -> frozenset[Sort]:
    """The flues that the tradition counts among the foundations (of "flues" all kinds); never celestes."""
    table = load("recipes")["foundations"]
    names = table.get(desk.tradition or "", table["other"])
    if _FLUES_SAID.search(desk.text):
        names = table["other"]
    return frozenset(Sort(name) for name in names)


def _mutations_at(request: StopRequest, desk: Desk) -> list[Voice]:
    """Of "flutes 8, 4, 2 2/3" the last is a mutation."""
    if request.family not in ("flute", "principal", "foundation"):
        return []
    odd = [p for p in request.pitches if not is_octave_pitch(p)]
    found = [v for v in desk.voices() if v.feet in odd and v.sort in (Sort.MUTATION, Sort.QUINT)]
    first = Sort.MUTATION if request.family == "flute" else Sort.QUINT
    return [v for v in found if v.sort is first or not any(o.sort is first and o.feet == v.feet for o in found)]


def _mutations(desk: Desk) -> frozenset[Sort]:
    """Twelfths and Nasards alike; Spanish nasardos are the flutes among them, where there are any."""
    flutish = any(v.sort is Sort.MUTATION for v in desk.voices())
    if desk.tradition == "spanish" and flutish:
        return frozenset((Sort.MUTATION,))
    return frozenset((Sort.MUTATION, Sort.QUINT))


def _pitches_meant(family: str, pool: Sequence[Voice], desk: Desk) -> tuple[Feet, ...]:
    """The pitches that a family's word means where it gives none."""
    here = {v.feet for v in pool}
    meant = load("recipes")["pitches_meant"][family if family in load("recipes")["pitches_meant"] else "other"]
    octave = 2 if desk.pedal else 1
    wanted = tuple(Fraction(str(p)) * octave for p in meant)
    found = tuple(p for p in wanted if p in here)
    if found:
        return found
    return (min(here, key=lambda p: abs(p - desk.unison)),)


def by_quality(hits: Sequence[Voice], qualities: Iterable[str], group: Callable[[Voice], object]) -> list[Voice]:
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
            picked += _of_two_ranks(full)
        else:
            picked += some
    return whole(picked, hits)


def _of_two_ranks(some: Sequence[Voice]) -> list[Voice]:
    """The first two that are pipes of their own: what a unit rank lends twice is one sound."""
    ranks = dict.fromkeys(v.stop.rank or v.id for v in some)
    return [next(v for v in some if (v.stop.rank or v.id) == rank) for rank in list(ranks)[:2]]


def by_pitch(request: StopRequest, desk: Desk) -> Choice | None:
    """Bare pitches ("8 & 4"): of each the principal, else the leading flue; soft or loud as asked."""
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
        taken = ranked[:1] if "two" not in request.qualities else _two(ranked)
        if _ALL.search(desk.text):
            taken = [v for v in ranked if v.sort in FLUES] or taken
        taken = whole(_with_its_bass(taken, pool, request), ranked)
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


def _with_its_bass(taken: list[Voice], pool: Sequence[Voice], request: StopRequest) -> list[Voice]:
    """Where a principal begins an octave up, it takes its lowest octave from the full stop that was taken."""
    if {"soft", "small", "dark"} & set(request.qualities) or any(v.sort is Sort.PRINCIPAL for v in taken):
        return taken
    leading = [v for v in pool if v.sort is Sort.PRINCIPAL and v.stop.half is None and _begins_an_octave_up(v)]
    return [*leading[:1], *taken] if leading else taken


def _begins_an_octave_up(one: Voice) -> bool:
    low = one.stop.compass[0]
    first = one.division.compass[0] if one.division.compass else LOWEST_C
    return low is not None and low <= first + 12


def _two(ranked: Sequence[Voice]) -> list[Voice]:
    """Two unlike stops of one pitch: the open one that leads, and a stopped flute to fill it."""
    stopped = load("recipes")["stopped_groups"]
    others = [v for v in ranked[1:] if not v.stop.rank or v.stop.rank != ranked[0].stop.rank]
    second = [v for v in others if v.group in stopped and ranked[0].group not in stopped]
    return [*ranked[:1], *(second or others)[:1]]


_ORDINARY = 5  # the loudness of a Bourdon for everyday use; an Echo Bourdon is for soft things
_EVERYDAY = {Sort.FLUTE: 0, Sort.PRINCIPAL: 1, Sort.STRING: 1, Sort.ECHO_PRINCIPAL: 2}
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
    if desk.pedal and voice.feet == desk.unison:
        lent = 10 * int(voice.stop.borrowed is not None)
        if any(p > desk.unison for p in request.pitches):
            return (short, lent + _LEADING.get(voice.sort, 5), -voice.loudness)
        return (short, lent + _EVERYDAY.get(voice.sort, 5), abs(voice.loudness - _ORDINARY))
    order = _FLUTISH if _is_tierce_registration(request) or voice.feet >= 16 else _LEADING
    return (short, order.get(voice.sort, 5), number_of(voice.stop.name) or -voice.loudness)


def _is_tierce_registration(request: StopRequest) -> bool:
    """8, 2⅔, 1⅗ and the like stand on a flute, as Nasard and Tierce are flutes."""
    third = any(p.denominator % 5 == 0 for p in request.pitches)
    quint = any(p.denominator % 3 == 0 for p in request.pitches)
    return third or (quint and Fraction(2) not in request.pitches and Fraction(4) not in request.pitches)


def _lacking(request: StopRequest, lacking: Sequence[Feet], desk: Desk) -> Said | None:
    """What is not to be had, in words; of "Fonds et anches 16, 8, 4" each family brings what it has."""
    shared = any(c != request and c.family and c.pitches == request.pitches for c in desk.companions)
    if not lacking or (shared and request.family and not request.name):
        return None
    lacks = say(
        "{request}: the {division} has none of {pitches} ft",
        request=said_request(request),
        division=desk.division.name,
        pitches=", ".join(write_feet(p) for p in lacking),
    )
    manual = lenders(desk, lacking[0], reed=request.family == "reed")
    if not manual:
        return lacks
    return joined("; ", [lacks, say("only a manual coupler could bring it, from the {manual}", manual=manual)])


def _why_family(request: StopRequest, picked: Sequence[Voice], desk: Desk) -> Said:
    asked = set(request.qualities)
    if asked & {"soft", "small"}:
        return say("{stops}: softest of the {division}'s {request}", stops=labels(picked),
                   division=desk.division.name, request=said_request(_plain(request)))  # fmt: skip
    if asked & {"loud", "large"}:
        return say("{stops}: loudest of the {division}'s {request}", stops=labels(picked),
                   division=desk.division.name, request=said_request(_plain(request)))  # fmt: skip
    return say("{stops}: the {request} of the {division}", stops=labels(picked),
               division=desk.division.name, request=said_request(request))  # fmt: skip


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
