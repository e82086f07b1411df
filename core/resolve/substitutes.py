"""What comes nearest where a stop is not to be had, with its price told.

In this order: the nearest relative at the same pitch in the division; the composite (a Cornet from its
parts, a celeste from two strings); the same stop at another octave, where the keys reach; a stop of
another division; nothing. What is drawn here is always said to be a substitute.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.kinds import StopKind
from core.organ.model import Family, Feet
from core.organ.spelling import read_feet_exact, write_feet
from core.resolve.candidates import Choice, Desk, by_name, labels, request_label, said_request
from core.resolve.families import by_quality
from core.resolve.lending import lenders
from core.resolve.model import Sure
from core.resolve.names import wanted_kind
from core.resolve.traits import FLUES, REEDS, Sort, Voice, beats_alone, ground_order, whole
from core.texts import Said, joined, say

THIRTY_TWO = Fraction(32)
_OF_FAMILY = 22


def substitute(request: StopRequest, desk: Desk) -> Choice:
    """What comes nearest in the division to a stop it has not; a choice of nothing where nothing would do."""
    wanted = wanted_kind(request, pedal=desk.pedal, language=desk.language, tradition=desk.tradition)
    for way in (_resultant, _composite):
        made = way(request, wanted, desk)
        if made is not None:
            return made
    relative = _relative(request, wanted, desk)
    if relative is not None and relative.quality <= _OF_FAMILY:
        return relative
    return _octave(request, wanted, desk) or relative or nothing(request, desk)


def nothing(request: StopRequest, desk: Desk) -> Choice:
    """The division has nothing that would do."""
    template = "{request} is not on this organ's {division}"
    if request.family and not request.name:
        template = "there are no {request} on this organ's {division}"
    missing = say(template, request=said_request(request), division=desk.division.name)
    wanted = wanted_kind(request, pedal=desk.pedal, language=desk.language, tradition=desk.tradition)
    reed = request.family == "reed" or (wanted is not None and wanted.family is Family.REED)
    manual = lenders(desk, pitch_meant(request, wanted, desk), reed=reed)
    where = _elsewhere(request, desk)
    if manual:
        missing = joined("; ", [missing, say("only a manual coupler could bring it, from the {manual}", manual=manual)])
    elif where:
        missing = joined("; ", [missing, say("there is one on the {others}", others=where)])
    return Choice(
        request=request_label(request),
        why=say("{missing}, and nothing there comes near it: nothing is drawn for it", missing=missing),
        missing=missing,
        substitute=False,
        quality=100,
    )


def _elsewhere(request: StopRequest, desk: Desk) -> str:
    """The other divisions that have the very stop, by name."""
    if not request.name:
        return ""
    others = [d for d in desk.organ.divisions if d.id != desk.division.id and d.stops]
    return ", ".join(d.name for d in others if by_name(request, replace(desk, division=d)) is not None)


def _told(
    request: StopRequest,
    desk: Desk,
    chosen: Sequence[Voice],
    price: Said,
    quality: int,
    rest: Sequence[Voice] = (),
) -> Choice:
    template = "{request} is not on this organ's {division}; {stops} comes nearest"
    if request.family and not request.name:
        template = "there are no {request} on this organ's {division}; {stops} comes nearest"
    missing = say(
        template,
        request=request_label(request),
        division=desk.division.name,
        stops=labels(chosen),
    )
    accepted = "or similar" in request.qualities
    return Choice(
        request=request_label(request),
        chosen=tuple(chosen),
        alternatives=tuple(v for v in rest if v not in chosen),
        substitute=not accepted,
        why=say("{stops}: {price}", stops=labels(chosen), price=price),
        missing=None if accepted else missing,
        sure=Sure.CUSTOMARY,
        quality=quality,
    )


def pitch_meant(request: StopRequest, wanted: StopKind | None, desk: Desk) -> Feet | None:
    """The pitch a named stop is asked at: the printed one, else the unison, else the kind's usual one."""
    if request.pitches:
        return request.pitches[0]
    if wanted is None:
        return desk.unison
    usual = wanted.pedal_feet if desk.pedal else wanted.feet
    if not usual:
        return None
    return desk.unison if desk.unison in usual else usual[0]


def _relative(request: StopRequest, wanted: StopKind | None, desk: Desk) -> Choice | None:
    """The nearest relative at the same pitch."""
    feet = pitch_meant(request, wanted, desk)
    family = wanted.family if wanted else family_of(request)
    if family is None:
        return None
    ranked = []
    for voice in desk.voices():
        if feet is not None and voice.feet and voice.feet != feet:
            continue
        distance = kinship(voice, wanted, family, request, desk)
        if distance is not None:
            ranked.append((distance, int(voice.short), abs(voice.loudness - (wanted.loudness if wanted else 5)), voice))
    if not ranked:
        return None
    ranked.sort(key=lambda row: row[:3])
    order = [row[3] for row in ranked]
    best = whole(order[:1], order)
    nearness = ranked[0][0]
    price = _price(nearness, wanted, best[0], request)
    return _told(request, desk, best, price, 10 + nearness, order)


def kinship(voice: Voice, wanted: StopKind | None, family: Family, request: StopRequest, desk: Desk) -> int | None:
    """How near a stop is to the kind wanted, 0 the nearest; None where it would not do."""
    if voice.sort in (Sort.PERCUSSION, Sort.VOX_HUMANA) and family != Family.PERCUSSION:
        return 25 if voice.sort is Sort.VOX_HUMANA and _is_mild(wanted) and not desk.adding else None
    if wanted is not None:
        if voice.sort is Sort.CELESTE and wanted.family is Family.CELESTE:
            return 2
        if voice.stop.kind in wanted.relatives:
            place = wanted.relatives.index(str(voice.stop.kind))
            return place if voice.stop.family == family else min(place + 7, 12)
        if voice.stop.kind in wanted.partner or voice.group in wanted.partner:
            return 6
        if voice.kind is not None and voice.kind.group == wanted.group:
            return 6
        if voice.kind is not None and wanted.id in voice.kind.relatives and voice.stop.family == family:
            return 7
    if voice.stop.family == family:
        return _within_family(voice, wanted)
    near = load("recipes")["near_families"].get(str(family), {})
    step = near.get(str(voice.sort))
    if step is None:
        return None
    if wanted is not None and _is_vox_humana(wanted):
        return None
    if family == Family.REED and (desk.adding or not _is_mild(wanted) or voice.feet != voice.unison):
        return None
    return int(step)


def _within_family(voice: Voice, wanted: StopKind | None) -> int | None:
    """Nearness of two stops of one family, no relatives; a Vox humana is not answered by a fanfare."""
    if wanted is None:
        return 10
    if wanted.family is Family.REED:
        if _is_vox_humana(wanted) and voice.loudness > wanted.loudness + 2:
            return None
        if voice.sort in (Sort.SOLO_REED, Sort.MILD_REED) and not _is_mild(wanted):
            return 16
    weak = 4 if wanted.family is Family.REED and abs(wanted.loudness - voice.loudness) >= 4 else 0
    orders: list[list[str]] = load("recipes")["group_order"]
    for order in orders:
        if wanted.group in order and voice.group in order:
            return 8 + weak + min(4, abs(order.index(voice.group) - order.index(wanted.group)))
    return 12 if wanted.family is not Family.REED else 11 + weak


def _is_vox_humana(wanted: StopKind) -> bool:
    sorts = load("recipes")["sorts"]["vox_humana"]
    return wanted.id in sorts or wanted.group in sorts


def _is_mild(wanted: StopKind | None) -> bool:
    """Whether a reed is one for a quiet solo, which a flue with edge may stand for."""
    if wanted is None:
        return False
    sorts = load("recipes")["sorts"]
    mild = {*sorts["mild_reeds"], *sorts["solo_reeds"], *sorts["vox_humana"]}
    return wanted.id in mild or wanted.group in mild or wanted.loudness <= 5


def _price(nearness: int, wanted: StopKind | None, voice: Voice, request: StopRequest) -> Said:
    if nearness <= 7:
        return say("the nearest relative of the {name} at its pitch", name=request.name or said_request(request))
    if nearness <= 12:
        return say("of the same family and pitch, but another colour")
    if voice.sort in FLUES and wanted is not None and wanted.family is Family.REED:
        return say("no reed is there; of the flues the one with most edge at that pitch")
    if wanted is not None and wanted.family is Family.CELESTE:
        return say("nothing beats there; the string or soft flue alone keeps the colour, without the undulation")
    return say("another family; only the pitch is kept")


def _composite(request: StopRequest, wanted: StopKind | None, desk: Desk) -> Choice | None:
    """A compound stop from its parts: each part a stop of the division at that pitch."""
    if wanted is None:
        return None
    for entry in load("recipes")["composites"]:
        if wanted.id not in entry["of"]:
            continue
        if entry.get("feet") and request.pitches and read_feet_exact(str(entry["feet"])) not in request.pitches:
            continue
        if entry.get("pedal") and not desk.pedal:
            continue
        chosen = _parts(entry, desk)
        if chosen is None:
            continue
        feet = ", ".join(write_feet(v.feet) for v in chosen if v.feet)
        price = say("together they make the {name} ({feet} ft), less blended", name=request.name, feet=feet)
        if "lacks" in entry:
            price = say("with no {lacks} ft at hand the Nasard alone gives the {name}'s colour", lacks=entry["lacks"],
                        name=request.name)  # fmt: skip
        return _told(request, desk, chosen, price, 20 if "lacks" in entry else 14)
    return None


def _resultant(request: StopRequest, wanted: StopKind | None, desk: Desk) -> Choice | None:
    """A 32 ft flue of the pedal as the difference tone of a 16 and a 10 2/3."""
    feet = pitch_meant(request, wanted, desk)
    if feet != THIRTY_TWO or (wanted is not None and wanted.family is Family.REED):
        return None
    chosen = resultant(desk, feet)
    if not chosen:
        return None
    price = say("their difference tone gives the 32 ft pitch, weaker than pipes of that length")
    return _told(request, desk, chosen, price, 30)


def _parts(entry: dict[str, Any], desk: Desk) -> list[Voice] | None:
    pool = [v for v in desk.voices() if v.sort in FLUES | {Sort.QUINT, Sort.MUTATION, Sort.COMPOUND}]
    chosen: list[Voice] = []
    for part in entry["parts"]:
        feet = read_feet_exact(str(part["feet"])) if "feet" in part else None
        kinds = part.get("kinds")
        sorts = [Sort(name) for name in part["sorts"]]
        hits = sorted(
            (v for v in pool if feet in (None, v.feet) and v.sort in sorts and (not kinds or v.stop.kind in kinds)),
            key=lambda v: (sorts.index(v.sort), ground_order(v)),
        )
        if not hits and not part.get("optional"):
            return None
        if hits:
            chosen += whole(hits[:1], hits)
    return chosen


def _octave(request: StopRequest, wanted: StopKind | None, desk: Desk) -> Choice | None:
    """The same stop, or its near relative, an octave off, played an octave lower or higher."""
    feet = pitch_meant(request, wanted, desk)
    if wanted is None or feet is None or desk.adding or desk.pedal or len(desk.companions) > 1:
        return None
    if wanted.family not in (Family.REED, Family.FLUTE, Family.STRING):
        return None
    hits = []
    for voice in desk.voices():
        if voice.feet not in (feet / 2, feet * 2):
            continue
        near = voice.stop.kind == wanted.id or voice.stop.kind in wanted.relatives or voice.group == wanted.group
        if wanted.family is Family.REED and voice.sort in REEDS - {Sort.VOX_HUMANA}:
            near = voice.loudness <= wanted.loudness + 2 and not _is_vox_humana(wanted)
        if near and voice.feet != 2:
            hits.append(voice)
    if not hits or feet < 4 or feet > 8:
        return None
    hits.sort(key=lambda v: (v.stop.kind != wanted.id, abs(v.loudness - wanted.loudness)))
    best = hits[0]
    way = say("lower") if best.feet < feet else say("higher")
    price = say(
        "only at {feet} ft: to be played an octave {way}, which the keys allow {reach}",
        feet=write_feet(best.feet),
        way=way,
        reach=say("from the second octave up") if best.feet < feet else say("but for the top octave"),
    )
    return replace(_told(request, desk, [best], price, 40, hits), octaves=-1 if best.feet < feet else 1)


def celeste_partner(celestes: Sequence[Voice], taken: Sequence[Voice], desk: Desk) -> list[Voice]:
    """The unison stop that a celeste beats with, where none is drawn with it."""
    partners: list[Voice] = []
    for celeste in (c for c in celestes if not beats_alone(c.stop, c.division)):
        pool = [v for v in desk.voices() if v.feet == celeste.feet and v.sort in FLUES]
        wanted = celeste.kind.partner if celeste.kind else ()
        if desk.tradition != "german-baroque":
            wanted = tuple(name for name in wanted if name not in ("diapason", "principal", "prinzipal"))
        ranked = [v for name in wanted for v in pool if v.stop.kind == name or v.group == name]
        if not ranked:
            order = load("recipes")["celeste_partners"].get(celeste.group, ["string", "echo-principal", "flute"])
            ranked = [v for name in order for v in by_quality(
                [w for w in pool if w.sort == name], ["soft"], lambda w: w.feet)]  # fmt: skip
        if (
            not ranked
            or any(v in taken for v in ranked)
            or any(v.sort in (Sort.STRING,) and v.feet == celeste.feet for v in taken)
        ):
            continue
        full = [v for v in ranked if not v.short] or ranked
        partners += whole(full[:1], [v for v in pool if desk.half in (None, v.stop.half)])
    return list(dict.fromkeys(partners))


def resultant(desk: Desk, feet: Feet) -> list[Voice]:
    """The two stops whose difference tone is a pitch an octave below: 16 and 10 2/3 for 32."""
    octave, quint = feet / 2, feet / 3
    pool = desk.voices()
    base = sorted((v for v in pool if v.feet == octave and v.sort in FLUES), key=lambda v: -v.loudness)
    fifth = [v for v in pool if v.feet == quint and v.sort not in REEDS]
    return [base[0], fifth[0]] if base and fifth else []


def family_of(request: StopRequest) -> Family | None:
    """The family a request names; None where it names none that stops have."""
    return Family(request.family) if request.family in set(Family) else None
