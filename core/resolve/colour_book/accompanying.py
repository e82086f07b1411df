"""What may go against a solo: another keyboard's quiet stops, or the bass half of the same; never louder than it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from core.organ.model import Division, Family, Half, Organ, Role, Stop, is_enclosed
from core.organ.spelling import write_key
from core.organ.strength import strength
from core.resolve.colour_book.asking import ask, draw_of, stops_of
from core.resolve.colour_book.customs import Support, is_custom_of, supports
from core.resolve.colour_book.labels import whole_stops
from core.resolve.colour_book.model import Accompaniment
from core.resolve.traits import voice
from core.texts import Said, say

_CLEARLY = 2
_OTHER = {Half.BASS: Half.TREBLE, Half.TREBLE: Half.BASS}
_TENOR_C = 48
_MOST = 4
_EACH = 2
_AS_LOUD = 3  # how far down comes what no box can take below the solo


@dataclass(frozen=True, slots=True)
class _Offer:
    """A way of accompanying as a division has it."""

    support: Support
    division: Division
    stops: tuple[Stop, ...]
    loudness: int
    enclosed: bool | None
    short: bool
    half: Half | None = None


class Accompanists:
    """The ways an organ can accompany, asked once."""

    def __init__(self, organ: Organ) -> None:
        self.organ = organ
        self.offers = tuple(_offers(organ))

    def against(
        self, stops: Sequence[Stop], division: Division, traditions: Sequence[str]
    ) -> tuple[Accompaniment, ...]:
        """What may go against these stops of a division, of each other keyboard the best, the best first."""
        solo = strength(stops)
        ranks = {stop.rank for stop in stops if stop.rank}
        found: list[tuple[tuple[int, ...], Accompaniment]] = []
        for number, offer in enumerate(self.offers):
            margin = solo - offer.loudness
            if margin < 0:
                continue
            if self._may(offer, division, stops, ranks, traditions, solo):
                nearness = 0 if margin >= _CLEARLY else 1 if margin else 2 if offer.enclosed else _AS_LOUD
                order = (int(offer.short), nearness, -offer.support.loud, 0 if offer.enclosed else 1, number)
                found.append((order, _accompaniment(offer, margin)))
        return tuple(_best(found))

    def _may(
        self,
        offer: _Offer,
        division: Division,
        stops: Sequence[Stop],
        ranks: set[str],
        traditions: Sequence[str],
        solo: int,
    ) -> bool:
        """Whether it is played beside the solo, of its tradition, loud enough for it and of other pipes."""
        own = self.organ.tradition
        if offer.half is not None:
            beside = offer.division.id == division.id and all(s.half is _OTHER[offer.half] for s in stops)
        else:
            beside = is_other_keyboard(offer.division, division)
        wanted = is_custom_of(offer.support.traditions, own) or any(
            t != "any" and t in offer.support.traditions for t in traditions
        )
        return (
            beside
            and wanted
            and offer.support.loud <= solo
            and not any(s.rank and s.rank in ranks for s in offer.stops)
        )


def _best(found: list[tuple[tuple[int, ...], Accompaniment]]) -> Iterator[Accompaniment]:
    """The best of each place, then the second of each; the same stops once."""
    seen: set[frozenset[str]] = set()
    taken: dict[str, int] = {}
    ranked: list[tuple[int, int, Accompaniment]] = []
    best = sorted(found, key=lambda pair: pair[0])
    if any(order[1] < _AS_LOUD for order, _ in best):
        best = [pair for pair in best if pair[0][1] < _AS_LOUD]
    for order, (_, one) in enumerate(best):
        count = taken.get(one.division, 0)
        if frozenset(one.stops) in seen or count >= _EACH:
            continue
        seen.add(frozenset(one.stops))
        taken[one.division] = count + 1
        ranked.append((count, order, one))
    yield from (one for _, _, one in sorted(ranked, key=lambda row: row[:2])[:_MOST])


def is_other_keyboard(one: Division, other: Division) -> bool:
    """Whether two divisions can be played by one hand each."""
    return one.id != other.id and (one.keyboard is None or one.keyboard != other.keyboard)


def free_divisions(organ: Organ, division: Division) -> tuple[str, ...]:
    """The manual divisions on other keyboards that have stops."""
    return tuple(d.id for d in organ.manuals if d.stops and is_other_keyboard(d, division))


def _offers(organ: Organ) -> Iterator[_Offer]:
    for support in supports():
        for division in organ.manuals:
            if not division.stops or division.role is Role.BOMBARDE:
                continue
            yield from _offer(organ, support, division, None)
            for half in Half:
                if any(s.half is half for s in division.stops):
                    yield from _offer(organ, support, division, half)


def _offer(organ: Organ, support: Support, division: Division, half: Half | None) -> Iterator[_Offer]:
    requests = [replace(one, half=half) for one in support.ask]
    answer = ask(organ, [draw_of(requests)], division)
    stops = tuple(stops_of(organ, answer.stops))
    if not answer.whole or (half is not None and any(s.half is not half for s in stops)):
        return
    if len({(s.name, s.pitch) for s in stops}) < support.least or strength(stops) > support.most_loud:
        return
    if any(s.family is Family.REED for s in stops):
        return
    short = half is None and all(voice(stop, division).short for stop in whole_stops(stops))
    yield _Offer(support, division, stops, strength(stops), boxed(division, stops), short, half)


def boxed(division: Division, stops: Sequence[Stop]) -> bool | None:
    """Whether all these stops of a division stand in a box; None where it is not known or only some do."""
    states = {is_enclosed(division, stop) for stop in stops}
    return states.pop() if len(states) == 1 else None


def _accompaniment(offer: _Offer, margin: int) -> Accompaniment:
    name = say(offer.support.name)
    if offer.half is not None:
        name = say("{what}, {half} half", what=name, half=say(offer.half.value))
    return Accompaniment(
        division=offer.division.id,
        name=name,
        stops=tuple(s.id for s in offer.stops),
        loudness=offer.loudness,
        enclosed=offer.enclosed,
        balance=_balance(offer, margin),
        other_half=offer.half is not None,
    )


def _balance(offer: _Offer, margin: int) -> Said:
    name = offer.division.name
    if offer.half is Half.BASS:
        return say("the left hand stays below the divided stops’ split")
    if offer.half is Half.TREBLE:
        return say("the right hand stays above the divided stops’ split")
    if offer.short:
        lowest = min((s.compass[0] for s in offer.stops if s.compass[0] is not None), default=_TENOR_C)
        return say("under the solo, but without pipes below {key}", key=write_key(lowest))
    if margin >= _CLEARLY:
        return say("clearly under the solo")
    if margin and offer.enclosed:
        return say("a little under the solo; the box of the {division} can take it down further", division=name)
    if margin:
        return say("a little under the solo")
    if offer.enclosed:
        return say("by their names as loud as the solo: shut the box of the {division}", division=name)
    return say("by their names as loud as the solo: listen before trusting it")
