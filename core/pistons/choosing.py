"""Chooses the fewest combinations: a small linear program in whole numbers, solved by HiGHS.

What is sought, in this order: no change that cannot be made; the fewest combinations; the least to do at the changes
(a piston counts as much as a stop and a half). A general holds a registration that the programme uses, whole; a
divisional the stops that one division has in such a registration. After a piston the hands may move no more than the
time of that change allows, and one motion's worth.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product

import highspy

from core.organ.model import Organ
from core.pistons.model import Control, Demand, Drawn, Free, SlotKind, division_of
from core.practice.player import one_motion

Setting = tuple[SlotKind, str, Drawn]
"""A combination without its number: kind, division id ("" for a general), what it sets."""

_FAIL, _COMBINATION, _MOVE, _PRESS = 10**7, 10**4, 10, 15
_KEPT = 1  # a combination that has its number already is this much cheaper than a new one
_PRESSES = 2  # pistons that one player presses at a change


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make a change: what is pressed, and what hands move after it."""

    press: tuple[Setting, ...]
    moves: frozenset[Control]


@dataclass(frozen=True, slots=True)
class Choice:
    """The settings to have, and for each change the way it is made (None: none can be)."""

    settings: tuple[Setting, ...]
    ways: tuple[Way | None, ...]
    optimal: bool


@dataclass(slots=True)
class _Problem:
    solver: highspy.Highs
    use: dict[Setting, int] = field(default_factory=dict)
    columns: int = 0

    def column(self, cost: float) -> int:
        """A yes-or-no variable with its cost; returns its index."""
        self.solver.addVar(0.0, 1.0)
        self.solver.changeColCost(self.columns, cost)
        self.solver.changeColIntegrality(self.columns, highspy.HighsVarType.kInteger)
        self.columns += 1
        return self.columns - 1

    def row(self, low: float, high: float, terms: Mapping[int, float]) -> None:
        """A constraint: low <= sum of terms <= high."""
        self.solver.addRow(low, high, len(terms), list(terms), list(terms.values()))


def choose(
    organ: Organ, demands: Sequence[Demand], free: Free, *, kept: frozenset[Setting] = frozenset(), seconds: float = 10
) -> Choice:
    """The best choice found within the time.

    Args:
        organ: where it is played.
        demands: the changes of the programme in order.
        free: what may be set, on one memory level.
        kept: settings that have a number from a former plan.
        seconds: how long to seek.
    """
    ways = _all_ways(organ, demands, free)
    problem = _Problem(_quiet(seconds))
    for setting in dict.fromkeys(s for found in ways for way in found for s in way.press):
        problem.use[setting] = problem.column(_COMBINATION - (_KEPT if setting in kept else 0))
    picks = [_one_way(problem, found) for found in ways]
    for members, limit in _limits(problem.use, free):
        problem.row(0, limit, {problem.use[s]: 1.0 for s in members})
    return _solved(problem, ways, picks)


def _quiet(seconds: float) -> highspy.Highs:
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("time_limit", float(seconds))
    return solver


def _one_way(problem: _Problem, found: Sequence[Way]) -> list[int]:
    """Exactly one way is taken, or the change fails; a way needs all that it presses."""
    columns = [problem.column(_MOVE * len(way.moves) + _PRESS * len(way.press)) for way in found]
    failed = problem.column(_FAIL)
    problem.row(1, 1, {**dict.fromkeys(columns, 1.0), failed: 1.0})
    by_setting: dict[Setting, dict[int, float]] = defaultdict(dict)
    for way, column in zip(found, columns, strict=True):
        for setting in way.press:
            by_setting[setting][column] = 1.0
    for setting, terms in by_setting.items():
        problem.row(-highspy.kHighsInf, 0, {**terms, problem.use[setting]: -1.0})
    return columns


def _limits(use: Mapping[Setting, int], free: Free) -> Iterator[tuple[list[Setting], int]]:
    generals = [s for s in use if s[0] is SlotKind.GENERAL]
    if generals:
        yield generals, len(free.generals)
    for division, numbers in free.divisionals.items():
        members = [s for s in use if s[1] == division]
        if members:
            yield members, len(numbers)


def _solved(problem: _Problem, ways: Sequence[Sequence[Way]], picks: Sequence[Sequence[int]]) -> Choice:
    problem.solver.run()
    status = problem.solver.getModelStatus()
    values = list(problem.solver.getSolution().col_value)
    chosen: list[Way | None] = []
    for found, columns in zip(ways, picks, strict=True):
        taken = [way for way, column in zip(found, columns, strict=True) if values and values[column] > 0.5]
        chosen.append(taken[0] if taken else None)
    needed = dict.fromkeys(s for way in chosen if way for s in way.press)
    return Choice(tuple(needed), tuple(chosen), status == highspy.HighsModelStatus.kOptimal)


# ---------------------------------------------------------------- ways
def _all_ways(organ: Organ, demands: Sequence[Demand], free: Free) -> list[list[Way]]:
    states = list(dict.fromkeys(d.want for d in demands))
    stops_in = _stops_by_division(organ)
    found = []
    before: Drawn = frozenset()
    for demand in demands:
        ways = list(_ways(demand, before, states, stops_in, free))
        found.append(_without_worse(ways))
        before = demand.want
    return found


def _stops_by_division(organ: Organ) -> Callable[[Drawn, str], Drawn]:
    def stops_in(state: Drawn, division: str) -> Drawn:
        return frozenset(c for c in state if division_of(organ, c) == division)

    return stops_in


def _ways(
    demand: Demand,
    before: Drawn,
    states: Sequence[Drawn],
    stops_in: Callable[[Drawn, str], Drawn],
    free: Free,
) -> Iterator[Way]:
    by_hand = before ^ demand.want
    if _in_time(demand, by_hand):
        yield Way((), by_hand)
    if free.generals:
        for state in states:
            moves = state ^ demand.want
            if _mends(demand, moves):
                yield Way(((SlotKind.GENERAL, "", state),), moves)
    yield from _by_divisionals(demand, before, states, stops_in, free)


def _by_divisionals(
    demand: Demand,
    before: Drawn,
    states: Sequence[Drawn],
    stops_in: Callable[[Drawn, str], Drawn],
    free: Free,
) -> Iterator[Way]:
    """Up to two divisional pistons, each with stops that its division has somewhere in the programme."""
    settings = {}
    for division in free.divisionals:
        if stops_in(before ^ demand.want, division):
            wanted = stops_in(demand.want, division)
            near = dict.fromkeys(stops_in(state, division) for state in states)
            settings[division] = [s for s in near if _mends(demand, s ^ wanted)]
    for count in range(1, _PRESSES + 1):
        for divisions in combinations(settings, count):
            for sets in product(*(settings[d] for d in divisions)):
                reached = before
                for division, stops in zip(divisions, sets, strict=True):
                    reached = (reached - stops_in(reached, division)) | stops
                moves = reached ^ demand.want
                if _mends(demand, moves):
                    yield Way(tuple((SlotKind.DIVISIONAL, d, s) for d, s in zip(divisions, sets, strict=True)), moves)


def _in_time(demand: Demand, moves: frozenset[Control]) -> bool:
    return demand.by_hand is None or len(moves) <= demand.by_hand


def _mends(demand: Demand, moves: frozenset[Control]) -> bool:
    """Whether hands put right what a piston leaves: in the time, and in one motion."""
    return len(moves) <= one_motion() and _in_time(demand, moves)


def _without_worse(ways: Sequence[Way]) -> list[Way]:
    """The ways, without those that press the same and more, or the same with more to move."""
    best: dict[tuple[Setting, ...], Way] = {}
    for way in ways:
        known = best.get(way.press)
        if known is None or len(way.moves) < len(known.moves):
            best[way.press] = way
    by_hand = best.get(())
    return [way for way in best.values() if not way.press or by_hand is None or len(way.moves) < len(by_hand.moves)]
