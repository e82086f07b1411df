"""A user's own words for a piece: named with --words, or standing beside the score."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main
from making import Piece

WORDS = "language: en\nwords: {division: {choir: [Quire]}}\n"


@pytest.fixture
def score(tmp_path: Path) -> Path:
    piece = Piece()
    piece.bar("C5:4", "C3:4", "C2:4")
    piece.text(1, 1, "Quire Oboe 8", staff=1, above=True)
    path = tmp_path / "study.musicxml"
    data = piece.xml()
    path.write_bytes(data if isinstance(data, bytes) else data.encode("utf-8"))
    return path


@pytest.fixture
def organ(tmp_path: Path) -> Path:
    path = tmp_path / "organ.txt"
    path.write_text("Great\nOpen Diapason 8\nOboe 8\n\nChoir\nOboe 8\n\nPedal\nBourdon 16\n", encoding="utf-8")
    return path


def _drawn(capsys: pytest.CaptureFixture[str]) -> dict[str, list[str]]:
    steps = json.loads(capsys.readouterr().out)["steps"]
    return {division: stops for step in steps for division, stops in step["drawn"].items() if stops}


def test_words_by_name_and_beside_the_score(
    score: Path, organ: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = ["plan", str(score), "--organ", str(organ), "--json"]
    main(command)
    assert "Choir" not in _drawn(capsys)
    named = tmp_path / "any.yaml"
    named.write_text(WORDS, encoding="utf-8")
    main([*command, "--words", str(named)])
    assert _drawn(capsys)["Choir"] == ["Oboe 8"]
    score.with_suffix(".words.yaml").write_text(WORDS, encoding="utf-8")
    main(command)
    assert _drawn(capsys)["Choir"] == ["Oboe 8"]


def test_draw_takes_words(organ: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    named = tmp_path / "any.yaml"
    named.write_text(WORDS, encoding="utf-8")
    assert main(["draw", "Quire Oboe 8", "--organ", str(organ), "--words", str(named), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["drawn"]["Choir"] == ["Oboe 8"]


def test_words_that_are_not_there_are_one_sentence(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(score), "--words", str(score.parent / "none.yaml")]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "none.yaml" in captured.err
    assert "Traceback" not in captured.err
