"""A solo on a staff of its own above the accompaniment: four staves. Common practice, no source."""

from __future__ import annotations

import pytest

from making import Piece
from passage_set import CHORDS_4, LINE_4, LINE_REST_4, Case, outcome, right
from walking import rules, walk

HEADS = {
    "en": (("Sw. Oboe", "Gt. Clarabella 8", "Ped. Bourdon 16"), "Gt.", "Sw.", "Gt."),
    "fr": (("R. Hautbois 8", "G. Flûte harmonique 8", "Péd. Soubasse 16"), "G.", "R.", "G."),
    "de": (("II. Man. Oboe 8'", "I. Man. Gamba 8'", "Ped. Subbass 16'"), "I. Man.", "II. Man.", "I. Man."),
}


def four_staves(language: str, *, under: bool, end: bool) -> Piece:
    """Chords on the middle staves; from bar 5 a line above, over chords of both middle staves or of the lower one."""
    lines, home, solo, back = HEADS[language]
    piece = Piece(title="On four staves (invented)", staves=4).tempo("Andante", 70)
    for line in lines:
        piece.text(1, 1, line)
    piece.text(1, 1, home, above=False)
    for index in range(17):
        upper, lower, pedal = CHORDS_4[index % 4]
        if 4 <= index < 12:
            line = LINE_REST_4[0] if index == 11 else LINE_4[index % 4][0]
            piece.bar(line, upper if under else "r:4", lower, pedal)
        else:
            piece.bar("r:4", upper, lower, pedal)
    piece.text(5, 1, solo)
    return piece.text(13, 1, back) if end else piece


@pytest.mark.parametrize("language", HEADS)
@pytest.mark.parametrize("under", [True, False])
def test_a_solo_on_its_own_staff(language: str, under: bool) -> None:
    clear = Case("clear", language, lambda: four_staves(language, under=under, end=True))
    assert outcome(clear) == [right("5", "13")]
    open_ended = Case("open", language, lambda: four_staves(language, under=under, end=False))
    assert outcome(open_ended) == [right("5", None, "13")]


def test_the_left_hand_has_what_lies_under_the_solo() -> None:
    analysis = walk(four_staves("en", under=True, end=True))
    under = {n.hand for n in analysis.score.notes if n.staff == 2 and 4 <= n.bar < 11}
    elsewhere = {n.hand for n in analysis.score.notes if n.staff == 2 and not 4 <= n.bar < 12}
    assert under == {"left"}
    assert elsewhere == {"right"}
    assert "hand-on-two-manuals" not in rules(analysis)


def test_two_staves_of_chords_stay_the_right_hands() -> None:
    piece = Piece(staves=4).tempo("Andante", 70).text(1, 1, "Gt. Clarabella 8").text(1, 1, "Gt.", above=False)
    for index in range(6):
        upper, lower, pedal = CHORDS_4[index % 4]
        piece.bar(upper, upper, lower, pedal)
    assert {n.hand for n in walk(piece).score.notes if n.staff == 2} == {"right"}
