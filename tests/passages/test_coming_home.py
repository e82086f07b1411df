"""Words that bring a hand home, and who goes where: common practice, no source."""

from __future__ import annotations

import pytest

from fault_set import head, organ_named
from making import Piece
from passage_set import CHORDS_4, LINE_4, LINE_REST_4, TENOR_4, TENOR_REST_4, bars
from walking import walk


def song(sent: str, back: str, *, language: str = "en", staff: int = 1, above: bool = True) -> Piece:
    """Four bars of chords, a solo of the right hand in bars 5 to 10, chords from bar 11."""
    piece = bars(head(language), (4, CHORDS_4), (5, LINE_4), (1, (LINE_REST_4,)), (4, CHORDS_4))
    return piece.text(5, 1, sent, staff=staff, above=above).text(11, 1, back)


def tenor(sent: str, back: str, *, language: str = "en") -> Piece:
    piece = bars(head(language), (4, CHORDS_4), (5, TENOR_4), (1, (TENOR_REST_4,)), (4, CHORDS_4))
    return piece.text(5, 1, sent, staff=2).text(11, 1, back, staff=2)


@pytest.mark.parametrize(
    ("language", "sent", "back"),
    [
        ("en", "R.H. Sw.", "R.H. returns to Gt."),
        ("en", "R.H. Sw.", "R.H. joins L.H. on Gt."),
        ("en", "R.H. Sw.", "no more solo"),
        ("en", "R.H. Sw.", "R.H. and L.H. Great"),
        ("en", "R.H. Sw.", "same manual"),
        ("en", "R.H. Oboe", "R.H. as L.H."),
        ("fr", "m. dr. R.", "m.d. revient au G."),
        ("fr", "m.d. R.", "même clavier"),
        ("fr", "m.d. R.", "plus de solo"),
        ("de", "r. H. II", "r. H. zurück auf I"),
        ("de", "r. H. Oboe 8'", "r. H. wie l. H."),
        ("de", "r. H. II", "beide Hände auf einem Manual"),
    ],
)
def test_words_end_a_solo(language: str, sent: str, back: str) -> None:
    (passage,) = walk(song(sent, back, language=language), organ_named(language)).passages
    assert passage.hand == "right"
    assert passage.marked_end
    assert passage.end is not None
    assert passage.end.measure == "11"


@pytest.mark.parametrize(
    ("language", "sent", "back"), [("en", "L.H. Sw.", "end solo"), ("de", "l.H. II", "Ende des Solos")]
)
def test_the_hand_that_was_not_away_stays_when_a_solo_ends(language: str, sent: str, back: str) -> None:
    analysis = walk(tenor(sent, back, language=language), organ_named(language))
    after = analysis.steps[-1].registration
    assert after.hand("right") == after.hand("left") == analysis.steps[0].registration.hand("right")


def test_from_solo_to_solo_the_home_is_where_the_other_hand_is() -> None:
    piece = song("R.H. Sw.", "end solo").text(8, 1, "R.H. Ch.")
    assert walk(piece, organ_named("en")).steps[-1].registration.hand("right") == "great"


@pytest.mark.parametrize(("language", "words"), [("en", "Solo: Sw. Oboe"), ("fr", "Solo: R. Hautbois")])
def test_a_solo_under_the_other_staff_is_for_the_hand_with_the_line(language: str, words: str) -> None:
    back = {"en": "Gt. both hands", "fr": "G. les deux mains"}[language]
    (passage,) = walk(song(words, back, language=language, staff=2, above=False), organ_named(language)).passages
    assert (passage.hand, passage.marked_start) == ("right", False)
    assert passage.division == {"en": "swell", "fr": "recit-expressif"}[language]


def test_a_bracket_before_both_hands_words_makes_one_solo() -> None:
    (passage,) = walk(song("[R.H. Sw., L.H. Gt.", "]"), organ_named("en")).passages
    assert passage.hand == "right"
