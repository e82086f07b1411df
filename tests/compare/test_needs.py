"""What a piece demands of any organ, each with its place."""

from __future__ import annotations

from core.cli.needs import to_json, to_text
from core.compare.needs import Needs, needs_of
from making import Piece
from walking import CHORDS, LINE, opened, walk


def demanded(piece: Piece, *, on_an_organ: bool = False) -> Needs:
    return needs_of(walk(piece, without_organ=not on_an_organ))


def dialogue() -> Piece:
    """Hands together on the Great, then the right on the Swell over the left on the Choir, pedals throughout."""
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(4, *LINE).repeat_bars(2, *CHORDS)
    return piece.text(5, 1, "R.H. Sw.").text(5, 1, "L.H. Ch.", staff=2).text(9, 1, "Gt.", above=False)


def test_the_divisions_played_at_one_time_are_told_with_their_first_place() -> None:
    for on_an_organ in (False, True):
        found = demanded(dialogue(), on_an_organ=on_an_organ).together
        assert {t.divisions: t.at.measure for t in found} == {
            ("great", "pedal"): "1",
            ("choir", "swell", "pedal"): "5",
        }


def test_a_set_within_a_larger_one_is_not_told_again() -> None:
    piece = opened().repeat_bars(2, CHORDS[0], CHORDS[1], "r:4").repeat_bars(2, *CHORDS)
    found = demanded(piece.text(3, 1, "add Principal 4")).together
    assert [t.divisions for t in found] == [("great", "pedal")]


def test_the_ends_of_the_compass_have_places() -> None:
    piece = opened().repeat_bars(2, *CHORDS).bar("C6:4", "C2:4", "E4:4").repeat_bars(2, *CHORDS)
    found = to_json(demanded(piece))
    assert found["compass"] == {"manual": ["C2", "C6"], "pedal": ["G2", "E4"]}
    places = found["compass_at"]
    assert isinstance(places, dict)
    assert [at["measure"] for at in places["manual"]] == ["3", "3"]
    assert [at["measure"] for at in places["pedal"]] == ["1", "3"]


def test_the_text_tells_where() -> None:
    text = to_text(demanded(dialogue().text(3, 1, "Sw. to Gt.")), "Study")
    assert "choir and swell and pedal (bar 5)" in text
    assert "swell to great, bar 3" in text
    assert "compass of the manuals: C3 (bar 1)" in text
