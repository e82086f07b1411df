"""The draw command: its JSON, a file of cases, and inputs that cannot be used."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main

ORGAN = str(Path(__file__).parent / "organs" / "cathedral.txt")


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, object]]:
    status = main(["draw", *words, "--organ", ORGAN, "--json"])
    out = capsys.readouterr().out
    document: dict[str, object] = json.loads(out)
    assert list(document)[:2] == ["stopwright", "command"]
    return status, document


def test_one_marking_has_what_the_contract_names(capsys: pytest.CaptureFixture[str]) -> None:
    status, found = answer(capsys, "Sw. Oboe, Trem.", "--drawn", "Great: Principal 4")
    assert status == 0
    assert found["drawn"] == {"Great": ["Principal 4"], "Swell": ["Oboe 8"]}
    assert found["tremulants"] == ["Swell"]
    assert found["couplers"] == []
    assert found["findings"] == []
    because = found["because"]
    assert isinstance(because, list)
    assert {"request", "division", "chosen", "alternatives", "substitute", "why"} <= set(because[0])


def test_what_cannot_be_had_makes_the_status_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(capsys, "Ch. Clarinet")[0] == 0
    status, found = answer(capsys, "Ch. to Sw.")
    assert status == 1
    assert found["couplers"] == []


def test_many_at_once_give_what_a_single_call_gives(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    lines = [{"text": "Gt. add Mixture", "drawn": ["Great: Principal 4"]}, {"text": "Sw. 8 & 4"}]
    file = tmp_path / "cases.jsonl"
    file.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    status, found = answer(capsys, "--file", str(file))
    assert status == 0
    draws = found["draws"]
    assert isinstance(draws, list)
    _, single = answer(capsys, "Sw. 8 & 4")
    assert draws[1] == {k: v for k, v in single.items() if k not in ("stopwright", "command")}
    assert draws[0]["drawn"].keys() == {"Great"}


def test_a_slip_in_what_was_drawn_is_told_and_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = answer(capsys, "Sw. Oboe", "--drawn", "Great: Xylophone de Gambe 8", "--drawn", "Attic: Oboe 8")
    findings = found["findings"]
    assert isinstance(findings, list)
    assert [f["rule"] for f in findings] == ["unknown-drawn", "unknown-drawn"]


@pytest.mark.parametrize(
    ("text", "told"), [("nonsense", "line 1"), ('{"text": 3}', "line 1"), ('{"text": "Sw.", "drawn": [1]}', "line 1")]
)
def test_a_file_that_cannot_be_used_names_the_line(
    text: str, told: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "cases.jsonl"
    file.write_text(text + "\n", encoding="utf-8")
    assert main(["draw", "--file", str(file), "--organ", ORGAN, "--json"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert told in captured.err


def test_neither_marking_nor_file_is_a_clear_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", "--organ", ORGAN]) == 2
    assert main(["draw", "--file", "no-such-file.jsonl", "--organ", ORGAN]) == 2
    assert capsys.readouterr().out == ""


def test_for_people_each_reason_stands_on_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", "Sw. Aeoline", "--organ", ORGAN]) == 0
    out = capsys.readouterr().out
    assert "Aeoline is not on this organ's Swell" in out
    assert "(substitute)" in out
