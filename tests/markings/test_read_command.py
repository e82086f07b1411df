"""The command ``read``: its JSON, its file form, its errors."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main
from core.cli.read import unescape


def test_json_has_one_reading_a_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", "Sw. Oboe", "rit.", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert list(document)[:2] == ["stopwright", "command"]
    first, second = document["readings"]
    assert first["kind"] == "registration"
    assert first["instructions"][0]["division"] == "swell"
    assert (second["kind"], second["instructions"], second["unread"]) == ("other", [], [])


def test_a_file_holds_one_marking_a_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "markings.txt"
    path.write_text("Sw. Oboe\\nGt. 8 & 4\nPed. 16\n\nGt.\\\\\n", encoding="utf-8")
    assert main(["read", "--file", str(path), "--json"]) == 0
    readings = json.loads(capsys.readouterr().out)["readings"]
    assert [r["text"] for r in readings] == ["Sw. Oboe\nGt. 8 & 4", "Ped. 16", "", "Gt.\\"]
    assert [i["division"] for i in readings[0]["instructions"]] == ["swell", "great"]


@pytest.mark.parametrize(
    ("line", "text"), [(r"a\nb", "a\nb"), (r"a\\nb", r"a\nb"), (r"\\\n", "\\\n"), ("plain", "plain")]
)
def test_escapes(line: str, text: str) -> None:
    assert unescape(line) == text


def test_explaining_goes_word_by_word(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", "Sw. soft 8 ft.", "--explain"]) == 0
    shown = capsys.readouterr().out
    assert "the Swell" in shown
    assert "quietest that answers" in shown


def test_no_text_and_bad_files_are_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read"]) == 2
    assert main(["read", "--file", str(tmp_path / "none.txt")]) == 2
    assert main(["read", "--file", str(tmp_path)]) == 2
    latin = tmp_path / "latin.txt"
    latin.write_bytes("Gt.\nR\xe9cit".encode("latin-1"))
    assert main(["read", "--file", str(latin)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "line 2" in captured.err
    assert "Traceback" not in captured.err
