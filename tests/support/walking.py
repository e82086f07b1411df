"""Runs the whole walk over a made piece, for tests of the later rooms."""

from __future__ import annotations

from functools import cache

from core.analysis import Analysis, analyse
from core.organ.model import Organ
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from organs import small_organ

CHORDS = ("C4+E4+G4 E4+G4+C5 F4+A4+C5 D4+G4+B4", "C3+G3:2 F3+A3 G3+B3", "C3 E3 F3 G2")
"""A bar of chords in both hands: an accompaniment or a tutti."""
LINE = ("G4( A4 B4 D5)", "C3+E3+G3:2 D3+F3+A3:2", "C3:2 D3:2")
"""A bar of a line over held chords."""
LINE_REST = ("E5:2 r:2", "C3+E3+G3:2 D3+F3+G3:2", "C3:2 G2:2")
"""A line that comes to rest within the bar."""
LEFT_LINE = ("E4+G4+C5:2 F4+A4+C5:2", "C4( B3 A3 G3)", "C3:2 F3:2")
"""A tenor line under held chords."""

OPENING = ("Sw. Oboe", "Gt. Open Diapason 8", "Ch. Clarinet", "Ped. Bourdon 16")


def opened(title: str = "Study (invented)", **more: object) -> Piece:
    """A piece with its stops prepared in a block and both hands on the Great."""
    piece = Piece(title=title, **more)
    piece.tempo("Andante", 80)
    for line in OPENING:
        piece.text(1, 1, line)
    return piece.text(1, 1, "Gt.", above=False)


@cache
def organ() -> Organ:
    return small_organ()


def walk(piece: Piece, on: Organ | None = None, *, without_organ: bool = False) -> Analysis:
    """Read and analyse a piece on the invented organ (or another, or none)."""
    score = read_score(source_from_bytes(piece.xml(), "study.musicxml"))
    return analyse(score, None if without_organ else (on or organ()))


def rules(analysis: Analysis) -> set[str]:
    """The ids of the rules that found something."""
    return {f.rule for f in analysis.findings}
