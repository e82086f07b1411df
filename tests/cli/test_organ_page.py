"""``stopwright organ page`` as a user meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main

SPEC = str(Path(__file__).resolve().parents[2] / "sample_specs" / "village.yaml")
LIST = "GREAT\nOpen Diapason 8\n<script>alert(1)</script> Flute 4\n\nPEDAL\nBourdon 16\n"


def test_without_a_file_the_page_is_printed_as_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["organ", "page", SPEC]) == 0
    out = capsys.readouterr().out
    assert "manual" in out
    assert "8′" in out


@pytest.mark.parametrize(
    ("name", "begins"), [("p.html", "<!doctype html>"), ("p.HTM", "<!doctype html>"), ("p.txt", "ST")]
)
def test_a_file_is_written_by_its_ending(tmp_path: Path, name: str, begins: str) -> None:
    assert main(["organ", "page", SPEC, "-o", str(tmp_path / name), "--paper", "letter", "--large"]) == 0
    assert (tmp_path / name).read_text(encoding="utf-8").startswith(begins)


def test_a_stop_list_has_a_page_too_and_its_markup_stays_text(tmp_path: Path) -> None:
    stops, page = tmp_path / "list.txt", tmp_path / "page.html"
    stops.write_text(LIST, encoding="utf-8")
    assert main(["organ", "page", str(stops), "-o", str(page)]) == 0
    assert "<script" not in page.read_text(encoding="utf-8")


def test_json_has_the_words_of_the_page(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["organ", "page", SPEC, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["command"] == "organ page"
    assert answer["page"]["groups"][0]["rows"]


@pytest.mark.parametrize("name", ["page.docx", "page", "page.html.exe"])
def test_another_ending_is_refused_in_one_sentence(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["organ", "page", SPEC, "-o", str(tmp_path / name)]) == 2
    assert ".html, .pdf or .txt" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_the_list_itself_is_never_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stops = tmp_path / "list.txt"
    stops.write_text(LIST, encoding="utf-8")
    assert main(["organ", "page", str(stops), "-o", str(stops)]) == 2
    assert stops.read_text(encoding="utf-8") == LIST
    assert "list.txt is read here, so it is not written over" in capsys.readouterr().err


def test_pdf_without_the_window_is_refused_and_says_what_can_be_had(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["organ", "page", SPEC, "-o", str(tmp_path / "p.pdf")]) == 2
    assert ".html" in capsys.readouterr().err
