"""``stopwright diff``: exit status, JSON, text and HTML."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main
from walking import CHORDS, opened

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    one, two = tmp_path / "first.musicxml", tmp_path / "second.musicxml"
    one.write_bytes(opened().repeat_bars(6, *CHORDS).text(3, 1, "Sw. to Gt.").xml())
    later = opened().repeat_bars(6, *CHORDS).text(3, 1, "Sw. to Gt.").text(5, 1, "Gt. add <b>Principal 4")
    two.write_bytes(later.xml())
    return one, two


def test_the_same_file_twice(files: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diff", str(files[0]), str(files[0])]) == 0
    assert "Nothing differs" in capsys.readouterr().out


def test_what_differs_is_said_and_the_status_tells(
    files: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["diff", *map(str, files), "--organ", str(LISTS / "en.txt"), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert [(d["kind"], d["later_at"]["measure"]) for d in found["differences"]] == [("added", "5")]
    assert found["effects"][0]["now"] == ["Great: Principal 4"]


def test_the_report_as_a_page(files: tuple[Path, Path], tmp_path: Path) -> None:
    page = tmp_path / "differences.html"
    assert main(["diff", *map(str, files), "-o", str(page)]) == 1
    text = page.read_text(encoding="utf-8")
    assert "first.musicxml compared with second.musicxml" in text
    assert "&lt;b&gt;Principal" in text
    assert "<b>Principal" not in text


def test_it_never_writes_over_what_it_reads(files: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    before = files[1].read_bytes()
    assert main(["diff", *map(str, files), "-o", str(files[1])]) == 2
    assert files[1].read_bytes() == before
