"""A numbered list with "Stop." for Stopped, and a bare "58/30" for the compasses. Common practice, no source."""

from __future__ import annotations

from core.organ.lists import read_stop_list

LIST = """Great
1 Open Diapason 8'
2 Stop. Diapason 8'
3 Stop Diapason 8'
4 St. Diapason 8'
5 St. Flute 4'
6 Mixture 4 st.
Pedal
7 Bourdon 16'
Compass: 58/30
"""


def test_a_number_before_a_stopped_stop_is_no_pitch_and_no_ranks() -> None:
    great, pedal = read_stop_list(LIST).organ.divisions
    assert [(s.name, s.pitch) for s in great.stops[:5]] == [
        ("Open Diapason", 8),
        ("Stop. Diapason", 8),
        ("Stop Diapason", 8),
        ("St. Diapason", 8),
        ("St. Flute", 4),
    ]
    assert {s.family.value for s in great.stops[1:5]} == {"flute"}
    ranks = great.stops[5].ranks
    assert ranks is not None
    assert ranks.low == 4
    assert great.compass == (36, 93)
    assert pedal.compass == (36, 65)
