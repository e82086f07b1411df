"""File names with line breaks, above the folder, of 300 signs, in other encodings, with leading dashes."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from bombs import good_score
from core.cli.main import main

NAMES = {
    "line break": "a\nb.musicxml",
    "escape": "a\x1b[2Jb.musicxml",
    "quote": "a'b\"c.musicxml",
    "percent and braces": "100%s{0}.musicxml",
    "right to left": "a\u202eb.musicxml",
    "240 signs": "x" * 240 + ".musicxml",
    "Latin-1": os.fsdecode(b"Pr\xe9lude.musicxml"),
    "a leading dash": "-o.musicxml",
    "markup": "<script>&.musicxml",
    "only dots": "... .musicxml",
}


@pytest.mark.parametrize("name", NAMES)
def test_scores_of_any_name_are_read_marked_and_reported(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    if name == "Latin-1" and sys.platform == "darwin":
        pytest.skip("names are Unicode there")
    monkeypatch.chdir(tmp_path)
    path = Path(NAMES[name])
    path.write_bytes(good_score())
    assert main(["check", "--json", "--", str(path)]) == 0
    assert main(["mark", "--add", "2:1:1:Gt. 8", f"--output=new-{path.name[-230:]}", "--", str(path)]) == 0
    assert main(["report", "--number", "--output=report.html", "--", str(path)]) == 0
    capsys.readouterr()
    path.write_bytes(b"<broken")
    assert main(["check", "--", str(path)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "\x1b" not in said
    assert path.read_bytes() == b"<broken"


@pytest.mark.parametrize("name", ["x" * 300 + ".musicxml", "no/such/folder/a.musicxml", "a\0b.musicxml", ".", ""])
def test_names_that_cannot_be_are_one_sentence(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("piece.musicxml").write_bytes(good_score())
    for words in (
        ["score", name],
        ["check", "piece.musicxml", "--organ", name],
        ["check", "piece.musicxml", "--notes", name],
        ["check", "piece.musicxml", "--words", name],
        ["check", "piece.musicxml", "--style", name or "/"],
        ["mark", "piece.musicxml", "-o", name],
        ["report", "piece.musicxml", "--csv", name or "/"],
        ["read", "--file", name],
        ["batch", "piece.musicxml", "--results", name or "/"],
        ["style", "en", "-o", name],
    ):
        assert main(words) == 2, words
        said = capsys.readouterr().err
        assert said.count("\n") == 1, said
        assert "something went wrong" not in said
    assert [path.name for path in tmp_path.iterdir()] == ["piece.musicxml"]


def test_a_path_above_is_the_users_own_wish(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "below").mkdir()
    monkeypatch.chdir(tmp_path / "below")
    Path("piece.musicxml").write_bytes(good_score())
    assert main(["mark", "piece.musicxml", "-o", "../marked.musicxml", "--add", "1:1:1:Gt. 8"]) == 0
    assert (tmp_path / "marked.musicxml").exists()


def test_what_is_read_is_not_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("piece.musicxml").write_bytes(good_score())
    Path("link.csv").symlink_to("piece.musicxml")
    Path("organ.txt").write_text("GREAT\nOpen Diapason 8\n", encoding="utf-8")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    for words in (
        ["report", "piece.musicxml", "--csv", "piece.musicxml"],
        ["report", "piece.musicxml", "--csv", "./link.csv"],
        ["report", "piece.musicxml", "--csv", "r.txt", "-o", "r.txt"],
        ["pistons", "piece.musicxml", "--organ", "organ.txt", "--csv", "organ.txt"],
        ["pistons", "piece.musicxml", "--organ", "organ.txt", "--write", "organ.txt"],
        ["organ", "read", "organ.txt", "-o", "organ.txt"],
        ["organ", "page", "organ.txt", "-o", "organ.txt"],
        ["sheet", "piece.musicxml", "--organ", "organ.txt", "-o", "organ.txt"],
        ["mark", "piece.musicxml", "--organ", "organ.txt", "-o", "organ.txt"],
        ["mark", "piece.musicxml", "--organ", "organ.txt", "-o", "m.musicxml", "--front-page", "organ.txt"],
        ["batch", "piece.musicxml", "--csv", "piece.musicxml"],
        ["batch", "piece.musicxml", "--results", "piece.musicxml"],
        ["compare", "piece.musicxml", "--organs", "organ.txt", "-o", "organ.txt"],
    ):
        assert main(words) == 2, words
        assert capsys.readouterr().err.count("\n") == 1
        assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before, words


def test_a_score_marked_onto_itself_is_kept_as_it_was_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "piece.musicxml"
    path.write_bytes(good_score())
    assert main(["mark", str(path), "-o", str(path), "--add", "2:1:1:Gt. 8"]) == 0
    assert (tmp_path / "piece.musicxml.as-opened").read_bytes() == good_score()
    assert "piece.musicxml.as-opened" in capsys.readouterr().out
    assert b"Gt. 8" in path.read_bytes()
