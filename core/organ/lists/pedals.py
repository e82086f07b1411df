"""Finds the pedal's stops where no heading says where they begin."""

from __future__ import annotations

import re

from core.organ.lists.drafts import DivisionDraft, StopDraft
from core.organ.lists.state import Gathered
from core.organ.lists.vocabulary import fold, pattern
from core.texts import say


def pedal_without_heading(gathered: Gathered) -> None:
    """A last block behind a gap that begins at 16 or 32 ft, where no pedal is named: the pedal, with a doubt."""
    divisions = gathered.divisions
    _pedal_names(gathered)
    if any(division.role == "pedal" for division in divisions) or len(divisions) < 2:
        return
    last = divisions[-1]
    low = [stop for stop in last.stops if stop.pitch is not None and stop.pitch >= 16]
    if last.role is None and last.keyboard is None and len(low) * 2 >= len(last.stops):
        last.role, last.name = "pedal", "Pedal"
        gathered.doubts.append((last.lines[0], say("the heading names no division: the pedal is meant")))
        return
    for at in range(len(last.stops) - 1, 0, -1):
        stop, before = last.stops[at], last.stops[at - 1]
        gap = stop.lines[0] - before.lines[-1] > 1
        if gap and stop.pitch is not None and stop.pitch >= 16:
            pedal = DivisionDraft(name="Pedal", role="pedal", keyboard=None, lines=(), stops=last.stops[at:])
            last.stops = last.stops[:at]
            divisions.append(pedal)
            gathered.doubts.append((stop.lines[0], say("no heading: the stops from here are taken for the pedal's")))
            return


def _pedal_names(gathered: Gathered) -> None:
    """``Contrabbassi``, ``Contras 16``, ``Subbaß 16`` at the end of a one-manual list are the pedal's."""
    divisions = gathered.divisions
    pedals = [division for division in divisions if division.role == "pedal"]
    for pedal in pedals:
        _stop_as_heading(pedal)
    filled = [division for division in divisions if division.stops and division.role != "pedal"]
    if any(pedal.stops for pedal in pedals) or len(filled) != 1:
        return
    only = filled[0]
    _told_of_pedal(only, divisions, pedals)
    at = len(only.stops)
    while at > 0 and pattern("pedal_stops").search(fold(only.stops[at - 1].name)):
        at -= 1
    low = any(stop.pitch is None or stop.pitch >= 16 for stop in only.stops[at:])
    if at == len(only.stops) and (anew := _numbered_anew(only.stops)):
        at, low = anew, True
    if not 3 <= at < len(only.stops) or not low:
        return
    stops, only.stops = only.stops[at:], only.stops[:at]
    for stop in stops:
        stop.half = None
    if pedals:
        pedals[0].stops = [*pedals[0].stops, *stops]
    else:
        divisions.append(DivisionDraft(name="Pedal", role="pedal", keyboard=None, lines=(), stops=stops))
    gathered.doubts.append((stops[0].lines[0], say("no heading: the stops from here are taken for the pedal's")))


def _numbered_anew(stops: list[StopDraft]) -> int:
    """Where the last few stops, behind a gap, begin again with number 1; 0 for nowhere."""
    for at in range(len(stops) - 1, max(2, len(stops) // 2), -1):
        if stops[at].number == "1" and stops[at].lines[0] - stops[at - 1].lines[-1] > 1 and stops[0].number == "1":
            return at
    return 0


def _told_of_pedal(only: DivisionDraft, divisions: list[DivisionDraft], pedals: list[DivisionDraft]) -> None:
    """``Contrabbasso al ped. 16``, ``Tromboni 8 ped.`` among the stops of the one manual: said to be the pedal's."""
    told = [stop for stop in only.stops if any(_OF_PEDAL.search(fold(text)) for text in (stop.name, *stop.remarks))]
    if not told or len(told) * 2 >= len(only.stops):
        return
    if not pedals:
        pedals.append(DivisionDraft(name="Pedal", role="pedal", keyboard=None, lines=()))
        divisions.append(pedals[0])
    only.stops = [stop for stop in only.stops if stop not in told]
    for stop in told:
        if stop.borrowed and _OF_PEDAL.search(fold(stop.borrowed)):
            stop.borrowed = None  # "(pedaliera)" tells where it is played, not whose pipes it has
    pedals[0].stops += told


def _stop_as_heading(pedal: DivisionDraft) -> None:
    """``Contrabbassi (al pedale)`` with nothing below it was read as a heading: it is the pedal's stop."""
    found = _PEDAL_STOP_THERE.fullmatch(pedal.name)
    if pedal.stops or found is None:
        return
    pedal.stops = [StopDraft(name=found["stop"], lines=pedal.lines, remarks=[found["where"]])]
    pedal.name = "Pedal"


_PEDAL_STOP_THERE = re.compile(r"(?P<stop>contrab+ass\w+)\s+\(?(?P<where>(?:al|ai|alla)\s+pedal\w+)\)?", re.IGNORECASE)


_OF_PEDAL = re.compile(r"(?:^|\s)(?:al|ai|au|im|in|in het|en el|del)\s+ped\w*\.?$|^ped(?:al|ale|aliera)?\.?$")
