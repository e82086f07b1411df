"""What changes from one organ to another: stops, keyboards, findings. Common practice, no source."""

from __future__ import annotations

from core.analysis import analyse
from core.compare.switching import Switched, what_changes
from core.organ.reading import read_organ
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS

RICH = read_organ(
    b"Great\nOpen Diapason 8\n\nSwell\nOboe 8\nSalicional 8\n\nChoir\nClarinet 8\n\nPedal\nBourdon 16\n", "rich.txt"
)
POOR = read_organ(b"Great\nOpen Diapason 8\n\nSwell\nSalicional 8\n\nPedal\nBourdon 16\n", "poor.txt")


def switched(*texts: str) -> Switched:
    piece = Piece().repeat_bars(8, *CHORDS)
    for number, text in enumerate(texts):
        piece.text(2 * number + 1, 1, text)
    score = read_score(source_from_bytes(piece.xml()))
    found = what_changes(analyse(score, RICH), analyse(score, POOR))
    assert found is not None
    return found


def test_what_is_there_on_both_is_alike() -> None:
    found = switched("Gt. Open Diapason 8", "Sw. Salicional 8")
    assert found.alike == 2
    assert not found.stops
    assert not found.keyboards


def test_a_stop_that_the_other_lacks_is_answered_otherwise_and_told() -> None:
    found = switched("Gt. Open Diapason 8", "Sw. Oboe 8")
    assert [one.request for one in found.stops] == ["Oboe 8"]
    assert found.stops[0].before == ("Swell: Oboe 8",)
    assert found.stops[0].at.measure == "3"
    assert any("Oboe" in str(finding.message) for finding in found.new)


def test_a_keyboard_that_the_other_lacks() -> None:
    found = switched("Ch. Clarinet 8")
    assert [row.asked for row in found.keyboards] == ["Choir"]
    assert found.keyboards[0].before == "Choir"
    assert found.keyboards[0].now != "Choir"


def test_the_same_organ_changes_nothing_and_none_is_none() -> None:
    score = read_score(source_from_bytes(Piece().repeat_bars(4, *CHORDS).text(1, 1, "Sw. Oboe").xml()))
    same = what_changes(analyse(score, RICH), analyse(score, RICH))
    assert same is not None
    assert same.stops == same.keyboards == same.gone == same.new == ()
    assert what_changes(analyse(score, None), analyse(score, RICH)) is None
