"""What stands under "Prepare:" at the first note is drawn by then; later it is made ready. Common practice."""

from __future__ import annotations

import pytest

from core.analysis import Analysis
from fault_set import organ_named
from making import Piece
from walking import CHORDS, rules, walk

HEADS = {"en": "Prepare:", "fr": "Préparez :", "de": "Vorbereiten:"}


def drawn(analysis: Analysis, at: int = 0) -> set[str]:
    return {s.split("/")[0] for s in analysis.steps[at].registration.drawn}


@pytest.mark.parametrize("language", HEADS)
@pytest.mark.parametrize("stacked", [True, False])
def test_a_block_at_the_first_note_is_drawn(language: str, stacked: bool) -> None:
    lines = ("Sw. Oboe 8", "Gt. Stopped Diapason 8", "Ped. Bourdon 16")
    piece = Piece(title="Study (invented)").tempo("Andante", 76)
    for text in (HEADS[language], *lines) if stacked else (f"{HEADS[language]} {'; '.join(lines)}",):
        piece.text(1, 1, text)
    piece.text(1, 1, "Sw.", above=False).repeat_bars(4, *CHORDS)
    analysis = walk(piece, organ_named("large"))
    assert drawn(analysis) == {"swell", "great", "pedal"}
    assert "nothing-drawn" not in rules(analysis)


def test_reeds_prepared_at_the_first_note_stay_so() -> None:
    piece = Piece(title="Study (invented)").tempo("Lent", 60)
    for text in ("R. Fonds 8, anches préparées", "G. Fonds 8", "Péd. 16, 8"):
        piece.text(1, 1, text)
    piece.text(1, 1, "G.", above=False).repeat_bars(4, *CHORDS)
    registration = walk(piece, organ_named("fr")).steps[0].registration
    assert registration.prepared
    assert not set(registration.prepared) & set(registration.drawn)


def test_in_mid_piece_it_is_only_made_ready() -> None:
    piece = Piece(title="Study (invented)").tempo("Andante", 76).text(1, 1, "Gt. Open Diapason 8")
    piece.text(1, 1, "Gt.", above=False).repeat_bars(6, *CHORDS).text(3, 1, "Prepare: Sw. Cornopean")
    assert drawn(walk(piece, organ_named("large")), -1) == {"great"}


@pytest.mark.parametrize(("press", "silent"), [("General 1", True), ("Gt. piston 3", True), ("Sw. piston 3", False)])
def test_after_a_piston_nobody_knows_what_is_drawn(press: str, silent: bool) -> None:
    piece = Piece(title="Study (invented)", staves=2).tempo("Andante", 76).text(1, 1, press)
    piece.text(1, 1, "Gt.", above=False).repeat_bars(4, *(bar for bar in CHORDS[:2]))
    found = [
        f for f in walk(piece, organ_named("large")).findings if f.rule == "nothing-drawn" and f.division == "great"
    ]
    assert bool(found) is not silent
