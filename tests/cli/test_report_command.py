"""``stopwright report``: lines, queries that keep their numbers, places on paper, tables without formulas."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from core.cli.main import main
from core.score.printed_places import PrintedPlace, printed_places
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS, opened

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"
MISSING = "Gt. Vox Angelica 8"


def piece(*texts: tuple[int, str]) -> Piece:
    made = opened().repeat_bars(12, *CHORDS)
    for bar, words in texts:
        made.text(bar, 1, words)
    return made


@pytest.fixture
def score(tmp_path: Path) -> Path:
    path = tmp_path / "study.musicxml"
    path.write_bytes(piece((5, MISSING), (8, "Sw. Tuba Magna 8")).xml())
    return path


def told(
    capsys: pytest.CaptureFixture[str], score: Path, *words: str | Path, status: int = 0
) -> list[dict[str, object]]:
    assert main(["report", str(score), "--organ", str(LISTS / "en.txt"), "--json", *map(str, words)]) == status
    return json.loads(capsys.readouterr().out)["lines"]


def query_of(lines: list[dict[str, object]], marking: str) -> dict[str, object]:
    return next(line for line in lines if line["marking"] == marking)


def test_without_being_asked_nothing_is_numbered_or_written(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, score)
    assert all(line["query"] is None for line in lines)
    assert [p.name for p in score.parent.iterdir()] == [score.name]


def test_a_number_stays_with_its_fault(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = told(capsys, score, "--number")
    number = query_of(first, "Sw. Tuba Magna 8")["query"]
    assert number is not None
    score.write_bytes(piece((2, "Ch. Tromba Reale 8"), (5, MISSING), (8, "Sw. Tuba Magna 8")).xml())
    second = told(capsys, score, "--number")
    assert query_of(second, "Sw. Tuba Magna 8")["query"] == number
    fresh = query_of(second, "Ch. Tromba Reale 8")["query"]
    assert fresh > max(line["query"] for line in first if line["query"])


def test_a_number_is_never_given_again(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = told(capsys, score, "--number")
    last = max(line["query"] for line in before if line["query"])
    score.write_bytes(piece((5, MISSING)).xml())
    gone = [line for line in told(capsys, score) if line["state"] == "gone"]
    assert [line["asked"] for line in gone]
    score.write_bytes(piece((5, MISSING), (10, "Sw. Tromba Reale 8")).xml())
    after = told(capsys, score, "--number")
    assert query_of(after, "Sw. Tromba Reale 8")["query"] == last + 1


def test_answers_and_what_is_let_stand_are_kept(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, score, "--number")
    one, two = query_of(lines, MISSING)["query"], query_of(lines, "Sw. Tuba Magna 8")["query"]
    told(capsys, score, "--answer", f"{one}=a Dulciana will do", "--let-stand", f"{two}=meant so")
    later = told(capsys, score)
    assert (query_of(later, MISSING)["state"], query_of(later, MISSING)["answer"]) == ("answered", "a Dulciana will do")
    assert query_of(later, "Sw. Tuba Magna 8")["state"] == "stands"
    text = score.with_name("study.stopwright.yaml").read_text(encoding="utf-8")
    assert "a Dulciana will do" in text


def test_settled_queries_do_not_fail_a_pipeline(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, score, "--number", "--fail-on", "warning", status=1)
    for line in lines:
        if line["query"]:
            told(capsys, score, "--answer", f"{line['query']}=yes")
    told(capsys, score, "--fail-on", "warning", status=0)


def test_an_unknown_number_is_refused(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", str(score), "--answer", "7=yes"]) == 2
    assert "no query has the number 7" in capsys.readouterr().err


def test_the_report_is_a_page(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = tmp_path / "proof.html"
    told(capsys, score, "--number", "-o", page)
    text = page.read_text(encoding="utf-8")
    assert "Vox Angelica" in text
    assert "Q1" in text


def test_cells_are_no_formulas(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, table = tmp_path / "study.musicxml", tmp_path / "proof.csv"
    path.write_bytes(piece((5, "+ Vox Angelica 8 grumfelt")).xml())
    told(capsys, path, "--csv", table)
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert any(row["marking"] == "'+ Vox Angelica 8 grumfelt" for row in rows)


def test_places_on_paper_by_the_files_own_breaks() -> None:
    xml = piece().xml().decode()
    xml = xml.replace('<measure number="4">', '<measure number="4"><print new-system="yes"/>')
    xml = xml.replace('<measure number="7">', '<measure number="7"><print new-page="yes"/>')
    places = printed_places(read_score(source_from_bytes(xml.encode(), "study.musicxml")))
    assert [places[i] for i in (0, 2, 3, 5, 6, 11)] == [
        PrintedPlace(1, 1), PrintedPlace(1, 1), PrintedPlace(1, 2), PrintedPlace(1, 2), PrintedPlace(2, 1),
        PrintedPlace(2, 1),
    ]  # fmt: skip
    assert printed_places(read_score(source_from_bytes(piece().xml(), "study.musicxml"))) == ()
