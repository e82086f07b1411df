"""The registration sheet: the opening, each change with place, hands, stops and maker, pistons, substitutes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.analysis import Analysis
from core.cli.main import main
from core.export.html import page_html
from core.export.paper import Group, text_of
from core.export.plain_text import page_text
from core.export.sheet import sheet_paper
from core.pistons.demands import demands_of
from core.pistons.model import Free
from core.pistons.planning import plan_pistons
from making import Piece
from walking import CHORDS, LINE, LINE_REST, opened, walk

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"


def solo(*, end: bool) -> Piece:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(4, *CHORDS)
    piece.text(5, 1, "R.H. Sw.").text(11, 1, "Gt. add Principal 4, Fifteenth 2, Mixture, Trumpet 8")
    return piece.text(9, 1, "R.H. Gt.") if end else piece


def lines(analysis: Analysis, heading: str) -> list[list[str]]:
    group: Group = next(g for g in sheet_paper(analysis).groups if g.heading == heading)
    return [[text_of(cell) for cell in row.cells] for row in group.rows]


def test_what_is_drawn_before_playing() -> None:
    found = dict(lines(walk(solo(end=True)), "Before playing"))
    assert found["Great"] == "Open Diapason 8"
    assert found["Swell"] == "Oboe 8"
    assert found["Hands"] == "both hands Great"


def test_each_change_has_its_place_and_its_maker() -> None:
    changes = lines(walk(solo(end=True)), "Changes")
    by_bar = {cells[0].split("\n")[0]: cells for cells in changes}
    assert list(by_bar) == ["5", "9", "11"]
    assert "R.H. Swell, L.H. Great" in by_bar["5"][1]
    assert "solo up to bar 9" in by_bar["5"][1]
    assert "+ Great: " in by_bar["11"][2]
    assert "Trumpet 8" in by_bar["11"][2]
    assert "piston or assistant" in by_bar["11"][3]


def test_a_solo_without_end_says_so() -> None:
    changes = lines(walk(solo(end=False)), "Changes")
    assert "its end is not marked, perhaps to bar 9" in changes[0][1]


def test_pistons_take_the_place_of_stops() -> None:
    analysis = walk(solo(end=True))
    plan = plan_pistons(analysis.organ, demands_of([analysis]), Free(generals=(3, 4)))
    text = page_text(sheet_paper(analysis, plan=plan))
    assert "SET BEFORE" in text
    assert "Gen. 3" in text


def test_what_stands_in_for_something_is_told() -> None:
    analysis = walk(opened().repeat_bars(8, *CHORDS).text(5, 1, "Sw. Vox Angelica 8"))
    assert lines(analysis, "In place of")[0][0].startswith("Vox Angelica")


def test_nothing_of_a_score_is_markup() -> None:
    piece = Piece(title="<script>alert(1)</script>").text(1, 1, "Gt. <b>Open Diapason</b> 8").repeat_bars(4, *CHORDS)
    page = page_html(sheet_paper(walk(piece)))
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def test_the_command_prints_and_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score, page = tmp_path / "study.musicxml", tmp_path / "sheet.html"
    score.write_bytes(solo(end=True).xml())
    assert main(["sheet", str(score), "--organ", str(LISTS / "en.txt"), "-o", str(page), "--generals", "1-8"]) == 0
    assert "Before playing" in page.read_text(encoding="utf-8")
    assert main(["sheet", str(score), "--organ", str(LISTS / "en.txt"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["sheet"]
    assert [g["heading"] for g in found["groups"]][:2] == ["Before playing", "Changes"]


def test_columns_of_plain_text_take_their_share() -> None:
    text = page_text(sheet_paper(walk(solo(end=True))))
    assert max(map(len, text.splitlines())) <= 78
