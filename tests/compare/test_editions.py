"""Two files of one piece: what was added, removed, moved, changed or only reworded. Common practice, no source."""

from __future__ import annotations

from core.analysis import Analysis
from core.compare.bars import match_bars
from core.compare.editions import Difference, compare_editions
from core.compare.effects import effects_of
from making import Piece
from walking import CHORDS, LINE, organ, walk

Marks = tuple[tuple[int, str], ...]
BARS = [CHORDS, LINE, CHORDS, CHORDS, LINE, LINE, CHORDS, LINE]


def piece(*marks: tuple[int, str], without: int | None = None, extra: int | None = None) -> Piece:
    """Eight bars that differ, perhaps with one left out or one put in (before a bar, from 1)."""
    made = (
        Piece(title="Study (invented)")
        .tempo("Andante", 76)
        .text(1, 1, "Gt. Open Diapason 8")
        .text(1, 1, "Gt.", above=False)
    )
    keys = "CDEFGABC"
    for index, bar in enumerate(BARS):
        if index + 1 == extra:
            made.bar("A4 B4 A4 B4", "F3+A3:4", "F2:4")
        if index + 1 != without:
            made.bar(f"{keys[index]}5:2 {bar[0].split()[0].rstrip('(')}:2", bar[1], bar[2])
    for bar, words in marks:
        made.text(bar, 1, words)
    return made


def compared(former: Piece, later: Piece) -> list[tuple[str, str | None, str | None]]:
    found = compare_editions(walk(former), walk(later))
    return [(d.kind.value, d.former, d.later) for d in found.differences]


def test_the_same_file_differs_in_nothing() -> None:
    one = walk(piece((3, "Sw. Oboe"), (5, "Gt. to Ped.")))
    assert compare_editions(one, one).is_empty
    assert effects_of(one, one) == ()


def test_added_removed_and_changed() -> None:
    found = compared(
        piece((3, "Sw. Oboe"), (5, "Gt. to Ped."), (7, "Sw. to Gt.")),
        piece((2, "Ch. Clarinet"), (3, "Sw. Salicional"), (5, "Gt. to Ped.")),
    )
    assert found == [
        ("added", None, "Ch. Clarinet"),
        ("changed", "Sw. Oboe", "Sw. Salicional"),
        ("removed", "Sw. to Gt.", None),
    ]


def test_other_words_for_the_same_are_reworded() -> None:
    assert compared(piece((3, "Sw. Oboe 8")), piece((3, "Swell Hautboy 8 ft."))) == [
        ("reworded", "Sw. Oboe 8", "Swell Hautboy 8 ft.")
    ]


def test_a_marking_a_bar_later_has_moved() -> None:
    found = compare_editions(walk(piece((3, "Sw. to Gt."))), walk(piece((4, "Sw. to Gt."))))
    [difference] = found.differences
    assert difference.kind is Difference.MOVED
    assert (difference.former_at.measure, difference.later_at.measure) == ("3", "4")


def test_far_apart_it_is_another_marking() -> None:
    found = compared(piece((2, "Sw. to Gt.")), piece((8, "Sw. to Gt.")))
    assert {kind for kind, _, _ in found} == {"added", "removed"}


def test_a_bar_put_in_moves_nothing() -> None:
    former, later = (
        walk(piece((3, "Sw. Oboe"), (7, "Sw. to Gt."))),
        walk(piece((3, "Sw. Oboe"), (8, "Sw. to Gt."), extra=5)),
    )
    found = compare_editions(former, later)
    assert found.differences == ()
    assert [at.measure for at in found.bars_new] == ["5"]
    assert found.bars_gone == ()


def test_a_bar_left_out_takes_its_marking_with_it() -> None:
    found = compare_editions(walk(piece((5, "Sw. Oboe"))), walk(piece(without=5)))
    assert [at.measure for at in found.bars_gone] == ["5"]
    assert [(d.kind, d.former) for d in found.differences] == [(Difference.REMOVED, "Sw. Oboe")]


def test_bars_that_differ_on_both_sides_are_matched_by_what_they_share() -> None:
    former, later = walk(piece()).score, walk(piece(extra=4)).score
    pairs = match_bars(former, later)
    assert (None, 3) in pairs
    assert (7, 8) in pairs
    assert sorted(one for one, _ in pairs if one is not None) == list(range(8))


def test_what_sounds_differently_is_told_in_runs() -> None:
    former: Analysis = walk(piece((3, "Gt. add Principal 4"), (6, "Gt. Principal 4 off")))
    later: Analysis = walk(piece((4, "Gt. add Principal 4"), (6, "Gt. Principal 4 off")))
    [effect] = effects_of(former, later)
    assert (effect.start.measure, effect.until.measure) == ("3", "4")
    assert effect.before == ("Great: Principal 4",)
    assert effect.now == ()


def test_hands_on_another_manual_are_told() -> None:
    [effect] = effects_of(walk(piece()), walk(piece((4, "R.H. Sw."))))
    assert ("right", organ().division("great").name, organ().division("swell").name) in effect.hands
    assert effect.until is None
