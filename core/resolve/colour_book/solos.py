"""Makes the colours of single stops: each solo stop by itself and in its company, each undulating pair."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from core.markings.model import StopRequest
from core.organ.model import UNISON, Division, Organ, Stop
from core.organ.normal import key_of
from core.organ.spelling import stop_label
from core.organ.strength import strength
from core.organ.summary import carries_a_melody
from core.resolve.candidates import request_label
from core.resolve.colour_book.accompanying import Accompanists, boxed, free_divisions
from core.resolve.colour_book.asking import adds_each, ask, draw_of, stops_of
from core.resolve.colour_book.cautions import cautions
from core.resolve.colour_book.customs import ANY, Company, SoloCustom, Undulating, solo_customs, undulating
from core.resolve.colour_book.labels import whole_stops
from core.resolve.colour_book.making import lonely
from core.resolve.colour_book.model import LOUDEST, Colour
from core.resolve.traits import REEDS, Sort, Voice, beats_alone, voices
from core.texts import Said, say

_FULL_CORNET = 5
_IN_CHORUS = frozenset((Sort.CHORUS_REED, Sort.TUBA))


def solos(organ: Organ, accompanists: Accompanists) -> Iterator[Colour]:
    """Every solo stop of the manuals by itself and in the company that custom gives it."""
    for division in organ.manuals:
        for voice in voices(organ, division):
            custom = solo_custom(voice)
            if custom is None or (custom.flue and voice.stop.half is not None):
                continue
            if not custom.never_alone:
                yield from _with(organ, voice, custom, None, accompanists)
            for company in custom.company:
                yield from _with(organ, voice, custom, company, accompanists)


def solo_custom(voice: Voice) -> SoloCustom | None:
    """The sort of solo stop that a stop is; None where it is none."""
    if voice.sort in _IN_CHORUS and voice.feet != UNISON:
        return None
    melodic = carries_a_melody(voice.stop) or (voice.sort in REEDS and voice.feet == UNISON)
    for custom in solo_customs():
        fits = voice.stop.kind in custom.kinds or voice.group in custom.groups or voice.sort.value in custom.sorts
        fits = fits and (not custom.at or voice.feet in custom.at)
        if fits and (custom.flue or melodic or voice.sort is Sort.PERCUSSION):
            return custom if voice.sort is not Sort.CELESTE else None
    return None


def itself(stop: Stop) -> tuple[StopRequest, Mapping[str, tuple[str, ...]]]:
    """The request for one stop, and the pin that makes it mean that stop and no other of its name."""
    pitches = (stop.pitch,) if stop.pitch is not None else ()
    request = StopRequest(name=stop.name, pitches=pitches, kind=stop.kind, half=stop.half)
    return request, {request_label(request): (stop.id,)}


def _with(
    organ: Organ, voice: Voice, custom: SoloCustom, company: Company | None, accompanists: Accompanists
) -> Iterator[Colour]:
    """A solo stop alone or in company, where the company is there."""
    stop, division = voice.stop, voice.division
    if company is not None and company.short and not _lacks_ranks(stop):
        return
    request, pins = itself(stop)
    wanted = _of_half(company.ask, stop) if company else ()
    trembles = company is not None and company.tremulant and has_tremulant(organ, division)
    if company is not None and not wanted and not trembles:
        return
    answer = ask(organ, [draw_of([request, *wanted])], division, pins=pins)
    if not answer.whole or (wanted and not adds_each(answer.because)):
        return
    stops = stops_of(organ, answer.stops)
    enclosed = boxed(division, stops)
    traditions = company.traditions if company else (ANY,)
    against = accompanists.against(stops, division, traditions)
    lacking = company is not None and company.tremulant and not trembles
    yield Colour(
        id=f"{stop.id}{_suffix(custom, company)}",
        section="solo",
        name=_name(stop, stops, company, trembles),
        also=(*_trade_name(custom, stop), *map(say, company.also if company else ())),
        traditions=traditions,
        division=division.id,
        stops=answer.stops,
        tremulant=trembles,
        enclosed=enclosed,
        loudness=min(LOUDEST, strength(stops)),
        solo=True,
        accompaniments=against,
        free=free_divisions(organ, division),
        cautions=(
            *((say("custom gives it the tremulant; this organ has none there"),) if lacking else ()),
            *cautions(organ, division, stops, solo=True, enclosed=enclosed),
            *lonely(organ, division, True, bool(against)),
        ),
        why=say(company.why) if company else say("the {sort} by itself", sort=say(custom.named)),
        source=company.source if company else custom.source,
        asked=(draw_of([request, *wanted], division=division.role.value),),
        sounds=custom.sounds,
    )


def _trade_name(custom: SoloCustom, stop: Stop) -> tuple[Said, ...]:
    """What the trade calls the sort, where the stop's name does not say so."""
    return () if key_of(custom.named) in key_of(stop.name) else (say(custom.named),)


def _suffix(custom: SoloCustom, company: Company | None) -> str:
    return "" if company is None else f"+{custom.company.index(company) + 1}"


def _of_half(requests: Sequence[StopRequest], stop: Stop) -> tuple[StopRequest, ...]:
    """Company for a half of a divided stop is of that half."""
    return tuple(
        StopRequest(name=r.name, family=r.family, pitches=r.pitches, qualities=r.qualities, kind=r.kind, half=stop.half)
        for r in requests
    )


def _lacks_ranks(stop: Stop) -> bool:
    """Whether a Cornet has too few ranks to hold its 8 and 4."""
    return stop.ranks is not None and stop.ranks.low < _FULL_CORNET


def _name(stop: Stop, stops: Sequence[Stop], company: Company | None, trembles: bool) -> Said:
    label = stop_label(stop)
    others = ", ".join(stop_label(s) for s in whole_stops(stops) if s.id != stop.id)
    if company is not None and company.name:
        name = say(company.name, stop=label) if "{stop}" in company.name else say(company.name)
        if "{stop}" not in company.name:
            name = say("{stop} with {others}", stop=label, others=others)
    elif others:
        name = say("{stop} with {others}", stop=label, others=others)
    else:
        name = say("{stop}", stop=label)
    return say("{what} and the tremulant", what=name) if trembles else name


def has_tremulant(organ: Organ, division: Division) -> bool:
    """Whether a tremulant reaches the division."""
    return any(t.division in (None, division.id) for t in organ.tremulants)


def pairs(organ: Organ) -> Iterator[Colour]:
    """Every undulating stop of the manuals with what it beats against."""
    for division in organ.manuals:
        for voice in voices(organ, division):
            if voice.sort is Sort.CELESTE:
                yield from _pair(organ, voice)


def _pair(organ: Organ, voice: Voice) -> Iterator[Colour]:
    """One undulating stop with what it beats against."""
    division = voice.division
    request, pins = itself(voice.stop)
    answer = ask(organ, [draw_of([request])], division, pins=pins)
    if not answer.whole:
        return
    stops = stops_of(organ, answer.stops)
    enclosed = boxed(division, stops)
    manner = _manner(voice)
    alone = len(stops) == 1 and not beats_alone(voice.stop, division)
    unheard = say("it beats only against a stop in tune, and none at its pitch stands beside it")
    yield Colour(
        id=f"{voice.stop.id}+pair",
        section="undulating",
        name=say("{stops}", stops=" and ".join(stop_label(s) for s in whole_stops(stops))),
        also=(say("celeste"), say("undulating pair")),
        traditions=(ANY,),
        division=division.id,
        stops=answer.stops,
        enclosed=enclosed,
        loudness=min(LOUDEST, strength(stops)),
        free=free_divisions(organ, division),
        cautions=(
            *((unheard,) if alone else ()),
            *cautions(organ, division, stops, solo=False, enclosed=enclosed),
            say("left out of every chorus"),
        ),
        why=say(manner.why),
        source='organstops.org, "Voix Céleste", "Unda Maris"',
        asked=(draw_of([request], division=division.role.value),),
        sounds=manner.sounds,
    )


def _manner(voice: Voice) -> Undulating:
    """What is said of an undulating stop of that group."""
    return next(one for one in undulating() if voice.group in one.groups or ANY in one.groups)
