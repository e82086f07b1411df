"""A newer file of a piece: what was decided goes with its marking or bar, and what has no place waits, unlost."""

from __future__ import annotations

from fractions import Fraction

from core.analysis import Analysis, analyse
from core.compare.bars import are_one_piece
from core.compare.carrying import Carried, carry_over
from core.compare.editions import Difference
from core.notes import NO_NOTES, Dismissal, Notes, PlayerNote, Query, Spot, anchor_of, find_spot
from core.notes_file import read_notes, write_notes
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece

BARS = [("C4 D4 E4 F4", "C3:4", "C2:4"), ("G4 A4 B4 C5", "E3:4", "G2:4"), ("E4:2 F4:2", "F3:4", "F2:4")]
BARS += [("D5 C5 B4 A4", "G3:4", "E2:4"), ("G4:3 F4", "A3:4", "D2:4"), ("C5:4", "C3:4", "C2:4")]


def piece(*numbers: int, texts: dict[int, str] | None = None) -> Analysis:
    """The bars of those numbers (0: a bar of rests), with texts at places of the new order."""
    made = Piece()
    for number in numbers:
        made.bar(*(BARS[number - 1] if number else ("r:4", "r:4", "r:4")))
    for bar, text in (texts or {}).items():
        made.text(bar, 1, text)
    return analyse(read_score(source_from_bytes(made.xml())), None)


FORMER = piece(1, 2, 3, 4, 5, 6, texts={1: "Gt. Principal 8", 4: "Sw. Flomptuba 8 & Oboe"})


def spot(bar: int) -> Spot:
    return Spot(bar=bar - 1, measure=str(bar), time=Fraction(0), part="P1", staff=1)


def notes() -> Notes:
    flompt = next(m.id for m in FORMER.markings.all_texts if "Flompt" in m.text.text)
    anchor = anchor_of(FORMER.score, flompt)
    return Notes(
        dismissals=(
            Dismissal(rule="marking-not-understood", marking=anchor, reason="a jest"),
            Dismissal(rule="solo-end", at=spot(3), reason="clear"),
        ),
        player=(PlayerNote(at=spot(2), text="add Flute"), PlayerNote(at=spot(5), text="turn")),
        queries=(Query(number=7, rule="marking-not-understood", message="What is a Flomptuba?", marking=anchor),),
    )


def to(later: Analysis, own: Notes = NO_NOTES) -> Carried:
    return carry_over(notes(), FORMER, later, own)


def places(carried: Carried, later: Analysis) -> list[int | None]:
    onsets = [find_spot(later.score, line.at) for line in carried.notes.player]
    return [None if onset is None else later.score.bar_at(onset).index + 1 for onset in onsets]


def test_bars_put_in_shift_what_was_decided() -> None:
    later = piece(0, 0, 1, 2, 3, 4, 5, 6, texts={3: "Gt. Principal 8", 6: "Sw. Flomptuba 8 & Oboe"})
    carried = to(later)
    assert places(carried, later) == [4, 7]
    assert not carried.waiting
    assert len(carried.kept) == 5
    assert carried.notes.dismissals[0].marking is not None
    assert carried.notes.dismissals[0].marking.bar == 5
    assert len(carried.editions.bars_new) == 2
    assert not carried.editions.differences


def test_what_stood_in_a_bar_taken_out_waits_and_is_kept() -> None:
    later = piece(1, 3, 4, 5, 6, texts={1: "Gt. Principal 8", 3: "Sw. Flomptuba 8 & Oboe"})
    carried = to(later)
    assert places(carried, later) == [None, 4]
    assert [str(one.what) for one in carried.waiting] == ["pencilled in: ‘add Flute’"]
    assert carried.notes.player[0].text == "add Flute"
    again = read_notes(write_notes(carried.notes), "x.yaml")
    assert again == carried.notes


def test_a_bar_that_waited_is_found_again_in_a_still_newer_file() -> None:
    without = piece(1, 3, 4, 5, 6, texts={1: "Gt. Principal 8", 3: "Sw. Flomptuba 8 & Oboe"})
    waiting = to(without).notes
    back = carry_over(waiting, without, FORMER, NO_NOTES)
    assert len(back.notes.player) == 2  # nothing was lost on the way
    assert back.notes.player[1].at == spot(5)


def test_a_marking_taken_out_waits_and_is_told_as_removed() -> None:
    carried = to(piece(1, 2, 3, 4, 5, 6, texts={1: "Gt. Principal 8"}))
    assert {d.kind for d in carried.editions.differences} == {Difference.REMOVED}
    assert [one.waits for one in carried.decided] == [True, False, False, False, True]
    assert [query.number for query in carried.notes.queries] == [7]


def test_the_newer_files_own_notes_win_and_nothing_comes_twice() -> None:
    own = Notes(player=(PlayerNote(at=spot(2), text="add Flute"),), language="de")
    carried = to(FORMER, own)
    assert carried.notes.language == "de"
    assert [line.text for line in carried.notes.player] == ["add Flute", "turn"]


def test_what_counts_as_one_piece() -> None:
    assert are_one_piece(FORMER.score, piece(0, 0, 1, 2, 3, 4, 5, 6).score)
    assert are_one_piece(FORMER.score, piece(1, 2, 3, 6).score)
    assert not are_one_piece(FORMER.score, piece(5, 5, 5, 5, 1, 5).score)
