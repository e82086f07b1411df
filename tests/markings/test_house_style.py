"""House styles as files: an editor's own, and all that may be wrong with one."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.cli.main import main
from core.errors import OrganError, ReadError
from core.markings.house_style import BUILT_IN, read_style
from core.markings.reading import read_marking
from core.markings.wording import write_marking

OWN = """
language: en
title: Ours
separator: " | "
foot: "{feet} ft."
divisions: {swell: Swell}
wordings:
  take-off: "minus {division} {stops}"
"""


@pytest.mark.parametrize("name", BUILT_IN)
def test_each_built_in_style_names_its_source(name: str) -> None:
    style = read_style(name)
    assert style.source
    assert set(style.tables["wordings"]) >= set(read_style("en").tables["wordings"])


def test_an_own_style_says_only_what_differs(tmp_path: Path) -> None:
    path = tmp_path / "ours.yaml"
    path.write_text(OWN, encoding="utf-8")
    style = read_style(path)
    assert write_marking(read_marking("Sw. Oboe 8").instructions, style) == "Swell Oboe 8 ft."
    assert write_marking(read_marking("Gt. Reeds off").instructions, style) == "minus Gt. Reeds"


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(
        "language: xx\nwordings:\n  drow: a\n  add: '{colour} {stops}'\n  play: '{division'\n"
        "divisions: none\ncolor: red\n",
        encoding="utf-8",
    )
    with pytest.raises(OrganError) as caught:
        read_style(path)
    said = str(caught.value)
    for word in ("“xx”", "drow", "{colour}", "braces", "table of words", "“color”"):
        assert word in said
    assert len(caught.value.problems) == 6


def test_there_is_no_such_style(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(ReadError, match="Did you mean “en-full”"):
        read_style("en-ful")
    latin = tmp_path / "latin.yaml"
    latin.write_bytes(b"language: en\ntitle: R\xe9cit\n")
    assert main(["read", "Gt.", "--style", str(latin)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "line 2" in captured.err


@pytest.mark.parametrize("text", ["", "- a", "a: &x 1\nb: *x", "language: [", "language: {}"])
def test_hostile_files_are_one_error(text: str, tmp_path: Path) -> None:
    path = tmp_path / "hostile.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ReadError):
        read_style(path)
