"""Advice on solos, each on a piece that wants it and a twin that does not.

The tremulant of the Vox humana: the American Guild of Organists' list of stops; E. L. Stauff, "Vox Humana".
The soft flue beside a quiet reed and the reach over keyboards: common practice, no source.
"""

from __future__ import annotations

import pytest

from core.analysis import Analysis
from core.findings import Level
from fault_set import organ_named
from making import Piece
from walking import CHORDS, LINE, LINE_REST, walk


def solo(stops: str, *, right: str = "Sw.", left: str = "Gt.", more: tuple[str, ...] = ()) -> Piece:
    """A right-hand solo from bar 5 to bar 9, its stops drawn at the opening."""
    piece = Piece(title="Study (invented)").tempo("Andante", 80)
    lines = (stops, *(() if left == "Ch." else ("Ch. Dulciana 8",)), *more)
    for line in (*lines, "Gt. Stopped Diapason 8", "Ped. Bourdon 16"):
        piece.text(1, 1, line)
    piece.text(1, 1, left, above=False)
    piece.repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(4, *CHORDS)
    return piece.text(5, 1, f"R.H. {right}").text(9, 1, f"R.H. {left}")


def analysed(piece: Piece) -> Analysis:
    return walk(piece, organ_named("large"))


def found(piece: Piece, rule: str) -> list[str]:
    return [str(f.why) for f in analysed(piece).findings if f.rule == rule]


TWINS = {
    "solo-without-tremulant": (
        lambda: solo("Sw. Vox Humana 8, Lieblich Gedackt 8"),
        lambda: solo("Sw. Vox Humana 8, Lieblich Gedackt 8, Trem."),
    ),
    "solo-reed-lean": (lambda: solo("Sw. Oboe 8"), lambda: solo("Sw. Oboe 8, Lieblich Gedackt 8")),
    "solo-hands-far-apart": (
        lambda: solo("Solo Orchestral Oboe 8, Harmonic Flute 8", right="Solo", left="Ch.", more=("Ch. Dulciana 8",)),
        lambda: solo("Solo Orchestral Oboe 8, Harmonic Flute 8", right="Solo", left="Gt."),
    ),
}


@pytest.mark.parametrize("rule", TWINS)
def test_advice_is_given_once_where_it_is_wanted(rule: str) -> None:
    advised, twin = TWINS[rule]
    assert len(found(advised(), rule)) == 1
    assert not found(twin(), rule)


@pytest.mark.parametrize("rule", TWINS)
def test_it_is_advice_only(rule: str) -> None:
    levels = {f.level for f in analysed(TWINS[rule][0]()).findings if f.rule == rule}
    assert levels == {Level.ADVICE}


def test_a_tremulant_drawn_within_the_solo_is_enough() -> None:
    piece = solo("Sw. Vox Humana 8, Lieblich Gedackt 8").text(6, 1, "Sw. Trem.")
    assert not found(piece, "solo-without-tremulant")


def test_a_tremulant_that_is_refused_in_words_is_not_asked_for() -> None:
    piece = solo("Sw. Vox Humana 8, Lieblich Gedackt 8").text(5, 1, "senza tremolo")
    assert not found(piece, "solo-without-tremulant")


def test_the_flue_is_named_and_soft() -> None:
    why = found(solo("Sw. Oboe 8"), "solo-reed-lean")[0]
    assert "Lieblich Gedackt" in why


def test_a_loud_reed_needs_no_rounding() -> None:
    assert not found(solo("Sw. Cornopean 8"), "solo-reed-lean")


@pytest.mark.parametrize("rule", TWINS)
def test_without_an_organ_nothing_is_advised(rule: str) -> None:
    analysis = walk(TWINS[rule][0](), without_organ=True)
    assert rule not in {f.rule for f in analysis.findings}


def test_a_reed_that_is_meant_alone_is_left_alone() -> None:
    assert not found(solo("Sw. Oboe 8 alone"), "solo-reed-lean")
