"""A newer file of a piece: what was decided on the former one goes with its markings and bars; the rest waits."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

from core.analysis import Analysis
from core.compare.bars import later_bar_of, match_bars
from core.compare.editions import Editions, compare_editions
from core.notes import Anchor, Finder, Notes, Spot, anchor_of, find_spot, with_anchors
from core.score.model import Score
from core.texts import Said, say

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """One decision of the user's in words.

    Attributes:
        what: ``a remark let stand: the pedal is meant``.
        measure: the bar's number in the file for which it was made; empty: of the whole piece.
        waits: its marking or bar is not in the newer file; it is kept, and in force nowhere.
    """

    what: Said
    measure: str
    waits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What came of the decisions, and what the newer file has otherwise."""

    notes: Notes
    decided: tuple[Decided, ...]
    editions: Editions

    @property
    def kept(self) -> tuple[Decided, ...]:
        """Those in force in the newer file."""
        return tuple(one for one in self.decided if not one.waits)

    @property
    def waiting(self) -> tuple[Decided, ...]:
        """Those that found no place."""
        return tuple(one for one in self.decided if one.waits)


def carry_over(notes: Notes, former: Analysis, later: Analysis, own: Notes) -> Carried:
    """The decisions on a former file for a later one.

    Args:
        notes: made for the former file.
        former: its analysis.
        later: the newer file's.
        own: what the newer file's own notes hold already; it wins.
    """
    shift = _Shift(former.score, later.score)
    moved = with_spots(with_anchors(notes, shift.anchor), shift.spot)
    return Carried(
        notes=_joined(own, moved),
        decided=decisions(moved, later.score),
        editions=compare_editions(former, later),
    )


class _Shift:
    """Takes places of one file to another by the bars that answer each other."""

    def __init__(self, former: Score, later: Score) -> None:
        self._later = later
        self._bars = later_bar_of(match_bars(former, later))
        self._found, self._finder = Finder(former), Finder(later)
        self._former = former

    def anchor(self, anchor: Anchor) -> Anchor:
        """The anchor of the same marking in the later file; as it was where there is none."""
        known = self._found.find(anchor)
        bar = self._bars.get(known.bar if known is not None else anchor.bar)
        tried = [anchor]
        if bar is not None:
            tried.insert(0, replace(anchor, bar=bar, measure=self._later.bars[bar].number))
        for one in tried:
            marking = self._finder.find(one)
            if marking is not None:
                return anchor_of(self._later, marking)
        return anchor

    def spot(self, spot: Spot) -> Spot:
        """The same place in the later file; one that waits where its bar is gone."""
        onset = find_spot(self._former, replace(spot, waits=False))
        if onset is None:
            return replace(spot, waits=True)
        bar = self._bars.get(self._former.bar_at(onset).index)
        if bar is None or (spot.part and all(part.id != spot.part for part in self._later.parts)):
            return replace(spot, waits=True)
        there = replace(spot, bar=bar, measure=self._later.bars[bar].number, waits=False)
        return there if find_spot(self._later, there) is not None else replace(spot, waits=True)


def with_spots(notes: Notes, change: Callable[[Spot], Spot]) -> Notes:
    """The notes with every place that is no marking's replaced."""
    return replace(
        notes,
        dismissals=tuple(replace(one, at=change(one.at)) if one.at else one for one in notes.dismissals),
        boundaries=tuple(replace(one, at=change(one.at)) for one in notes.boundaries),
        player=tuple(replace(one, at=change(one.at)) for one in notes.player),
        queries=tuple(replace(one, at=change(one.at)) if one.at else one for one in notes.queries),
    )


def decisions(notes: Notes, score: Score) -> tuple[Decided, ...]:
    """Every decision in words, with whether this score has its place."""
    finder = Finder(score)

    def one(what: Said, anchor: Anchor | None, spot: Spot | None) -> Decided:
        waits = (anchor is not None and finder.find(anchor) is None) or (
            spot is not None and find_spot(score, spot) is None
        )
        return Decided(what=what, measure=told_of(anchor, spot), waits=waits)

    found: list[Decided] = []
    for row in notes.dismissals:
        what = say("a remark let stand ({rule}): {reason}", rule=row.rule.replace("-", " "), reason=row.reason)
        found.append(one(what, row.marking, None if row.marking else row.at))
    for pin in notes.pins:
        what = say("stops chosen for ‘{request}’ on {organ}", request=pin.request, organ=pin.organ)
        found.append(one(what, pin.marking, None))
    for boundary in notes.boundaries:
        template = "the beginning of a solo" if boundary.which == "start" else "the end of a solo"
        found.append(one(say(template), boundary.marking, boundary.at))
    for line in notes.player:
        what = say("pencilled in: ‘{text}’", text=line.text)
        found.append(one(what, None, line.at))
    for query in notes.queries:
        what = say("query {number}: {message}", number=query.number, message=query.message)
        found.append(one(what, query.marking, None if query.marking else query.at))
    for keyboard in notes.keyboards:
        what = say("which keyboard of {organ} answers {asked}", organ=keyboard.organ, asked=keyboard.asked)
        found.append(one(what, None, None))
    return tuple(found)


def told_of(anchor: Anchor | None, spot: Spot | None) -> str:
    """The number of the bar that a decision names; empty for the whole piece."""
    if anchor is not None:
        return anchor.measure or str(anchor.bar + 1)
    return (spot.measure or str(spot.bar + 1)) if spot is not None else ""


def _joined(own: Notes, carried: Notes) -> Notes:
    """Both files' decisions; where both speak of one thing, the newer file's own."""
    numbers = {query.number for query in own.queries}
    rows = {(row.organ, row.asked) for row in own.keyboards}
    return Notes(
        organ=own.organ or carried.organ,
        language=own.language or carried.language,
        tradition=own.tradition or carried.tradition,
        parts=own.parts or carried.parts,
        hands=own.hands or carried.hands,
        keyboards=(*own.keyboards, *(r for r in carried.keyboards if (r.organ, r.asked) not in rows)),
        pins=_with_new(own.pins, carried.pins),
        dismissals=_with_new(own.dismissals, carried.dismissals),
        boundaries=_with_new(own.boundaries, carried.boundaries),
        player=_with_new(own.player, carried.player),
        queries=(*own.queries, *(q for q in carried.queries if q.number not in numbers)),
    )


def _with_new(own: tuple[T, ...], carried: Iterable[T]) -> tuple[T, ...]:
    return (*own, *(row for row in carried if row not in own))
