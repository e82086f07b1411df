"""What a block of markings or the words beside a stop decide: common practice, no source."""

from __future__ import annotations

from fault_set import head, hymn, organ_named
from making import Piece
from walking import CHORDS, rules, walk


def drawn(piece: Piece, organ: str, division: str, index: int = -1) -> set[str]:
    analysis = walk(piece, organ_named(organ))
    assert analysis.organ is not None
    registration = analysis.steps[index].registration
    return {analysis.organ.stop(s).name for s in registration.drawn if analysis.organ.division_of(s).id == division}


def test_french_foundations_go_to_all_manuals_where_the_block_couples_them() -> None:
    coupled = head("fr", lines=("Fonds 8", "Claviers accouplés, tirasses")).repeat_bars(4, *CHORDS)
    alone = head("fr", lines=("Fonds 8",)).repeat_bars(4, *CHORDS)
    assert "Flûte traversière" in drawn(coupled, "fr", "recit-expressif")
    assert not drawn(alone, "fr", "recit-expressif")
    assert "nothing-drawn" not in rules(walk(coupled, organ_named("fr")))


def test_a_stop_to_be_added_is_sought_where_alone_it_stands() -> None:
    piece = hymn((5, "+ Tuba"))
    assert drawn(piece, "large", "solo") == {"Tuba"}
    assert "missing-stop" not in {
        f.rule for f in walk(piece, organ_named("large")).findings if f.at and f.at.measure == "5"
    }


def test_a_plein_jeu_with_mixture_on_the_chief_manual_is_not_missed_on_the_other() -> None:
    piece = head("fr", lines=("Plein jeu",)).repeat_bars(4, *CHORDS)
    told = [f for f in walk(piece, organ_named("fr")).findings if f.rule == "missing-stop"]
    assert len(told) <= 1


def test_a_tremulant_is_that_of_the_manual_that_one_hand_plays() -> None:
    piece = hymn((3, "R.H. Sw.")).text(5, 1, "Trem. on", staff=2)
    analysis = walk(piece, organ_named("en"))
    assert analysis.steps[-1].registration.tremulants == {"swell"}


def test_a_third_manual_on_an_organ_of_two_is_told() -> None:
    piece = hymn((5, "III. Man."), language="de", between=True)
    assert "missing-division" in rules(walk(piece, organ_named("de")))


def test_the_great_has_by_custom_no_box() -> None:
    assert "no-box" in rules(walk(hymn((5, "Gt. box closed")), organ_named("en")))


def test_a_piece_that_draws_nothing_is_told_once() -> None:
    piece = Piece().tempo("Andante", 80).text(1, 1, "Gt.", above=False).repeat_bars(8, *CHORDS)
    piece.text(5, 1, "Sw.", above=False)
    told = [f for f in walk(piece, organ_named("en")).findings if f.rule == "nothing-drawn"]
    assert len(told) == 1
    assert "Swell" in str(told[0].message)


def test_a_pedal_to_correspond_is_drawn_to_suit_the_manual() -> None:
    piece = head(lines=("Gt. Open Diapason 8", "Ped. to match")).repeat_bars(4, *CHORDS)
    assert drawn(piece, "en", "pedal") == {"Bourdon", "Bass Flute"}
    assert not {"nothing-drawn", "marking-not-understood"} & rules(walk(piece, organ_named("en")))


def test_a_pedal_that_is_drawn_stays_as_it_is_when_it_is_to_balance() -> None:
    piece = hymn((5, "Ped. to balance"))
    assert drawn(piece, "en", "pedal") == {"Bourdon"}
    assert "marking-not-understood" not in rules(walk(piece, organ_named("en")))
