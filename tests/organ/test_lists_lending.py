"""Whose pipes borrowed stops have, and how many aids a list tells of (invented lists; common practice, no source)."""

from __future__ import annotations

import pytest

from core.organ.lists import read_stop_list
from core.organ.lists.aids import count_of

UNIT = """GREAT
1 Open Diapason 8
2 Stopped Flute 8
3 Octave 4 (ext. Open Diapason)
4 Trumpet 8
SWELL
5 Gedeckt 16
6 Gedeckt 8 (ext.)
7 Oboe 8
PEDAL
8 Bourdon 16
9 Bass Flute 8 (from 8)
10 Gedeckt 16 (Sw)
11 Open Wood 16 (1-12 from 8)
12 Trumpet 8 (Gt)
Great to Pedal
8 general pistons, 4 pistons to each manual
"""


@pytest.mark.parametrize(
    ("stop", "rank", "shift"),
    [
        ("great/octave-4", "great/open-diapason-8", 12),
        ("swell/gedeckt-8", "swell/gedeckt-16", 12),
        ("pedal/bass-flute-8", "pedal/bourdon-16", 12),
        ("pedal/gedeckt-16", "swell/gedeckt-16", 0),
        ("pedal/trumpet-8", "great/trumpet-8", 0),
        ("pedal/open-wood-16", "", 0),  # only its lowest octave is borrowed
        ("swell/oboe-8", "", 0),
    ],
)
def test_pipes_of_borrowed_stops(stop: str, rank: str, shift: int) -> None:
    organ = read_stop_list(UNIT).organ
    stops = {one.id: one for division in organ.divisions for one in division.stops}
    assert (stops[stop].rank, stops[stop].rank_shift) == (rank, shift)


def test_pistons_are_counted() -> None:
    assert [aid.count for aid in read_stop_list(UNIT).organ.aids] == [8, 4]


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("8 general pistons", 8), ("Three composition pedals to Great", 3), ("4096-facher Setzer", 4096),
        ("zwei freie Kombinationen", 2), ("General Cancel", None), ("4 ft. reeds by pedal", None),
    ],
)  # fmt: skip
def test_counts_of_aids(text: str, count: int | None) -> None:
    assert count_of(text) == count


@pytest.mark.parametrize(
    "told", ["Manuale C-g''', Pedal C-f'", "Manuale: C–g³, Pedal: C–f¹", "Umfang der Manuale C-g3, des Pedals C-f1"]
)
def test_a_closing_line_tells_the_compass_of_manuals_and_pedal(told: str) -> None:
    """The line names no new division, and the pedal keeps its own compass."""
    reading = read_stop_list(f"Hauptwerk\nPrincipal 8'\nOctave 4'\nPedal\nSubbass 16'\n{told}")
    compasses = [one.compass for one in reading.organ.divisions]
    assert compasses == [(36, 91), (36, 65)]


def test_a_closing_line_gives_the_manuals_and_the_pedal_their_own_compass() -> None:
    text = """St Osyth, Marlingford (invented)

GREAT ORGAN
Open Diapason 8
Principal 4

PEDAL ORGAN
Bourdon 16
Bass Flute 8

Manual compass CC-g3, 56 notes; Pedal CCC-F, 30 notes
"""
    great, pedal = read_stop_list(text).organ.divisions
    assert great.compass == (36, 91)
    assert pedal.compass == (36, 65)
