"""Changes at a page turn, pistons out of reach, free time and assistants. Common practice, no source.

That a hand draws one to four stops in about a second: Wisconsin Alliance of Composers, A Composer's-Eye View of
Writing for the Organ. A thumb acts on the stops of the keyboard above it: MILLER, lines 1213-1215.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from core.analysis import Analysis, Decisions, analyse
from core.findings import Level
from core.organ.model import Aid, AidKind, Organ, Reach
from core.practice.player import Player
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS, opened, organ

FULL = ("C4+E4+G4+C5 D4+F4+A4+D5 E4+G4+C5+E5 D4+G4+B4+D5", "C3+E3+G3+B3 D3+F3+A3+C4 E3+G3+B3+C4 G2+B2+D3+F3")
RUNNING = " ".join(["C3:1/2 D3:1/2 E3:1/2 F3:1/2"] * 2)
MANY = "Gt. Clarabella 8, Dulciana 8, Principal 4, Trumpet 8"


def analysed(piece: Piece, aids: tuple[Aid, ...] = (), assistants: int = 0) -> Analysis:
    on: Organ = replace(organ(), aids=aids)
    score = read_score(source_from_bytes(piece.xml(), "study.musicxml"))
    return analyse(score, on, Decisions(player=Player(assistants=assistants)))


def found(analysis: Analysis, rule: str) -> list[Level]:
    return [f.level for f in analysis.findings if f.rule == rule]


def hymn(words: str, page: int, bar: int = 5) -> Piece:
    return opened().repeat_bars(8, *CHORDS).text(bar, 1, words).page(page)


def resting(words: str, page: int) -> Piece:
    piece = opened().repeat_bars(3, *CHORDS).bar("r:4", "r:4", "C3:4").repeat_bars(4, *CHORDS)
    return piece.text(5, 1, words).page(page)


AT_THE_TURN: dict[str, Callable[[], Piece]] = {
    "one stop on the new page": lambda: hymn("add Principal 4", 5),
    "a coupler": lambda: hymn("Sw. to Gt.", 5),
    "a beat after the turn": lambda: opened().repeat_bars(8, *CHORDS).text(5, 2, "add Principal 4").page(5),
}
ELSEWHERE: dict[str, Callable[[], Piece]] = {
    "two bars after it": lambda: hymn("add Principal 4", 3),
    "two bars before it": lambda: hymn("add Principal 4", 7),
    "both hands rest": lambda: resting("add Principal 4", 5),
    "only the hand moves": lambda: hymn("R.H. Sw.", 5),
    "a box": lambda: hymn("Sw. box open", 5),
    "no page in the file": lambda: opened().repeat_bars(8, *CHORDS).text(5, 1, "add Principal 4"),
    "a fermata before it": lambda: (
        opened()
        .repeat_bars(3, *CHORDS)
        .bar("C4+E4+G4:4^", "C3+G3:4", "C3:4")
        .repeat_bars(4, *CHORDS)
        .text(5, 1, "add Principal 4")
        .page(5)
    ),
}


@pytest.mark.parametrize("name", AT_THE_TURN)
def test_a_change_where_the_page_is_turned_is_told_once(name: str) -> None:
    assert found(analysed(AT_THE_TURN[name]()), "change-at-page-turn") == [Level.ADVICE]


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_turn_with_time_for_it_is_quiet(name: str) -> None:
    assert found(analysed(ELSEWHERE[name]()), "change-at-page-turn") == []


def test_somebody_who_turns_leaves_the_hand_free() -> None:
    assert found(analysed(hymn("add Principal 4", 5), assistants=1), "change-at-page-turn") == []


def busy(words: str = MANY, before: str = "") -> Piece:
    piece = opened().repeat_bars(8, *FULL, RUNNING).text(5, 1, words)
    return piece.text(4, 3, before) if before else piece


GENERALS = (Aid(kind=AidKind.GENERAL, text="6 general pistons", reach=(Reach.THUMB, Reach.TOE)),)
CHOIR_ONLY = (Aid(kind=AidKind.DIVISIONAL, text="4 pistons to the Choir", division="choir", reach=(Reach.THUMB,)),)
THUMBS = (Aid(kind=AidKind.DIVISIONAL, text="4 thumb pistons to each manual", reach=(Reach.THUMB,)),)
STUDS = (Aid(kind=AidKind.GENERAL, text="6 general toe studs", reach=(Reach.TOE,)),)


@pytest.mark.parametrize("aids", [GENERALS, THUMBS, STUDS], ids=["both", "thumbs", "studs"])
def test_full_chords_over_running_pedals_leave_no_limb_for_a_piston(aids: tuple[Aid, ...]) -> None:
    assert found(analysed(busy(), aids), "piston-out-of-reach") == [Level.WARNING]


@pytest.mark.parametrize("aids", [GENERALS, THUMBS], ids=["generals", "divisionals"])
def test_a_thumb_under_three_part_chords_reaches_a_piston(aids: tuple[Aid, ...]) -> None:
    piece = opened().repeat_bars(8, *CHORDS[:2], RUNNING).text(5, 1, MANY)
    assert found(analysed(piece, aids), "piston-out-of-reach") == []


def test_a_toe_beside_a_held_pedal_note_reaches_a_stud() -> None:
    piece = opened().repeat_bars(8, *FULL, "C3:4").text(5, 1, MANY)
    assert found(analysed(piece, STUDS), "piston-out-of-reach") == []


def test_without_pistons_the_change_itself_is_what_is_told() -> None:
    analysis = analysed(busy())
    assert found(analysis, "piston-out-of-reach") == []
    assert found(analysis, "change-too-quick") == [Level.WARNING]


@pytest.mark.parametrize("words", ["ad lib.", "Cadenza", "recit.", "colla voce", "senza misura", "librement"])
def test_time_of_the_player_s_own_is_no_hard_time(words: str) -> None:
    assert found(analysed(busy(before=words)), "change-too-quick") == []


@pytest.mark.parametrize("words", ["rit.", "poco rall.", "allargando", "cédez", "breiter werden"])
def test_in_a_ritardando_a_quick_change_is_advice(words: str) -> None:
    assert found(analysed(busy(before=words)), "change-too-quick") == [Level.ADVICE]


@pytest.mark.parametrize("words", ["a tempo", "dolce", "con moto", "trem. ad lib."])
def test_other_words_give_no_time(words: str) -> None:
    assert found(analysed(busy(before=words)), "change-too-quick") == [Level.WARNING]


def test_a_tempo_takes_the_time_back() -> None:
    piece = busy(before="rit.").text(4, 4, "a tempo")
    assert found(analysed(piece), "change-too-quick") == [Level.WARNING]


def test_an_old_ritardando_no_longer_counts() -> None:
    piece = opened().repeat_bars(8, *FULL, RUNNING).text(2, 1, "rit.").text(6, 1, MANY)
    assert found(analysed(piece), "change-too-quick") == [Level.WARNING]


def test_assistants_move_a_motion_s_worth_each() -> None:
    """Five controls change: one assistant moves four and the player one in passing; the player alone is told."""
    quick = "change-too-quick"
    assert found(analysed(busy()), quick)
    assert found(analysed(busy(), assistants=1), quick) == []
    assert found(analysed(busy(), assistants=2), quick) == []
