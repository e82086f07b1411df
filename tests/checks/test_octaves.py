"""A 4 ft stop that stands for one of 8 ft is counted note by note against the keys. Octaves by arithmetic."""

from __future__ import annotations

import pytest

from core.analysis import Analysis
from core.document import organ_from_text
from core.findings import Level
from making import Piece
from walking import CHORDS, LINE, walk

ORGAN = """
specification: 1
name: St Ruan, Lesser Tregear (invented)
tradition: english
divisions:
  - name: Great
    compass: C2-G6
    stops: [Open Diapason 8, Principal 4]
  - name: Choir
    compass: C2-G6
    stops: [Dulciana 8, Clarion 4]
  - name: Pedal
    stops: [Bourdon 16]
"""


def solo(line: str) -> Analysis:
    """A trumpet tune for three bars on a Choir that has only a Clarion 4."""
    piece = Piece().tempo("Andante", 80).text(1, 1, "Gt. Open Diapason 8").text(1, 1, "Gt.", above=False)
    piece.text(1, 1, "Ped. Bourdon 16", staff=3).repeat_bars(4, *CHORDS).repeat_bars(3, line, *LINE[1:])
    piece.repeat_bars(2, *CHORDS).text(5, 1, "R.H. Ch. Trumpet 8").text(8, 1, "R.H. Gt.")
    return walk(piece, organ_from_text(ORGAN, "organ.yaml"))


@pytest.mark.parametrize(
    ("line", "beyond"),
    [("G4( A4 B4 D5)", 0), ("C3( D3 E3 G3)", 0), ("B2( C3 D3 E3)", 3), ("A2( B2 C3 D3)", 6)],
)
def test_each_note_is_counted_against_the_lowest_key(line: str, beyond: int) -> None:
    found = [f for f in solo(line).findings if f.rule == "octave-off-runs-out"]
    assert [f.level for f in found] == ([Level.WARNING] if beyond else [])
    if beyond:
        assert str(found[0].message).startswith(
            f"{beyond} of 12 notes for the Trumpet 8 cannot be played an octave lower"
        )


def test_the_reason_says_at_what_pitch_it_is() -> None:
    whys = [str(b.why) for s in solo("G4( A4 B4 D5)").steps for b in s.because if b.octaves]
    assert whys
    assert all("only at 4 ft: to be played an octave lower" in why for why in whys)
