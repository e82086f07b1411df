"""What two files of one piece sound differently: stretches in which another registration is in force."""

from __future__ import annotations

from dataclasses import dataclass

from core.analysis import Analysis
from core.compare.bars import match_bars
from core.organ.model import Organ
from core.organ.spelling import coupler_label, stop_label
from core.position import Position
from core.resolve.model import Registration


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """A run of bars with another registration. Stops and couplers as an organist names them.

    Attributes:
        start: its first bar in the later file.
        until: the first bar that is alike again; None: to the end.
        now: on in the later file only.
        before: on in the former file only.
        hands: hands that play elsewhere: (hand, division before, division now).
    """

    start: Position
    until: Position | None
    now: tuple[str, ...]
    before: tuple[str, ...]
    hands: tuple[tuple[str, str | None, str | None], ...]


def effects_of(former: Analysis, later: Analysis) -> tuple[Effect, ...]:
    """Where the registration at the beginning of matched bars differs, one effect a run; () without an organ."""
    organ = later.organ
    if organ is None or former.organ != organ:
        return ()
    found: list[Effect] = []
    run: tuple[Position, tuple[Registration, Registration]] | None = None
    for one, two in match_bars(former.score, later.score):
        if one is None or two is None:
            continue
        onset = later.score.bars[two].onset
        at = later.score.position(onset, two)
        states = (_at(former, former.score.bars[one].onset), _at(later, onset))
        pair = states if _sounding(states[0]) != _sounding(states[1]) else None
        if run is not None and (pair is None or _change(pair) != _change(run[1])):
            found.append(_effect(organ, run[0], at, run[1]))
            run = None
        if pair is not None and run is None:
            run = (at, pair)
    if run is not None:
        found.append(_effect(organ, run[0], None, run[1]))
    return tuple(found)


def _at(analysis: Analysis, onset: int) -> Registration:
    step = analysis.at(onset)
    return step.registration if step else Registration()


def _sounding(registration: Registration) -> object:
    return frozenset(registration.drawn), registration.couplers, registration.tremulants, registration.hands


def _change(pair: tuple[Registration, Registration]) -> object:
    before, now = pair
    return (
        set(now.drawn) ^ set(before.drawn),
        now.couplers ^ before.couplers,
        now.tremulants ^ before.tremulants,
        before.hands != now.hands and (before.hands, now.hands),
    )


def _effect(organ: Organ, start: Position, until: Position | None, pair: tuple[Registration, Registration]) -> Effect:
    before, now = pair
    hands = tuple(
        (hand, _name(organ, before.hand(hand)), _name(organ, now.hand(hand)))
        for hand in ("right", "left", "feet")
        if before.hand(hand) != now.hand(hand)
    )
    return Effect(
        start=start,
        until=until,
        now=tuple(_labels(organ, now, before)),
        before=tuple(_labels(organ, before, now)),
        hands=hands,
    )


def _name(organ: Organ, division: str | None) -> str | None:
    return organ.division(division).name if division else None


def _labels(organ: Organ, have: Registration, other: Registration) -> list[str]:
    """What one registration has on and the other has not."""
    stops = [
        f"{division.name}: {stop_label(stop)}"
        for division in organ.divisions
        for stop in division.stops
        if stop.id in have.drawn and stop.id not in other.drawn
    ]
    couplers = [coupler_label(organ, organ.couplers[i]) for i in sorted(have.couplers - other.couplers)]
    missing = sorted(have.tremulants - other.tremulants, key=str)
    tremulants = [f"{organ.division(d).name} Tremulant" if d else "Tremulant" for d in missing]
    return [*stops, *couplers, *tremulants]
