"""Whatever is given to a command: one clear sentence, exit status 2, nothing on standard output, nothing written."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from core.cli.main import main

ORGAN = Path(__file__).resolve().parents[2] / "sample_specs" / "village.yaml"
PIECE = Path(__file__).resolve().parents[2] / "sample_specs" / "demo_piece.musicxml"
HEAD = '<?xml version="1.0"?>'


def entity_bomb() -> str:
    entities = '<!ENTITY a0 "ten letters">' + "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    return f"{HEAD}<!DOCTYPE score-partwise [{entities}]><score-partwise>&a9;</score-partwise>"


def outside_entity() -> str:
    return f'{HEAD}<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/hostname">]><score-partwise>&x;</score-partwise>'


def zip_bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml", '<container><rootfiles><rootfile full-path="s.xml"/></rootfiles></container>'
        )
        with archive.open("s.xml", "w") as member:
            for _ in range(300):
                member.write(b" " * 1024 * 1024)


Maker = Callable[[Path], object]
BAD_SCORES: dict[str, Maker] = {
    "empty": lambda p: p.write_bytes(b""),
    "no-xml": lambda p: p.write_text("a letter to the organist"),
    "binary": lambda p: p.write_bytes(bytes(range(256)) * 20),
    "no-notes": lambda p: p.write_text(
        f'{HEAD}<score-partwise><part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>'
        '<part id="P1"><measure number="1"/></part></score-partwise>'
    ),
    "another-xml": lambda p: p.write_text(f"{HEAD}<html><body/></html>"),
    "cut-off": lambda p: p.write_bytes(PIECE.read_bytes()[:5000]),
    "cut-off-archive": lambda p: (zip_bomb(p), p.write_bytes(p.read_bytes()[:300])),
    "entity-bomb": lambda p: p.write_text(entity_bomb()),
    "outside-entity": lambda p: p.write_text(outside_entity()),
    "zip-bomb": zip_bomb,
    "deep": lambda p: p.write_text("<a>" * 50000),
    "folder": lambda p: p.mkdir(),
    "missing": lambda p: None,
}
BAD_ORGANS: dict[str, Maker] = {
    "empty": lambda p: p.write_bytes(b""),
    "binary": lambda p: p.write_bytes(bytes(range(256)) * 20),
    "alias-bomb": lambda p: p.write_text(
        "a0: &a0 [x, x]\n" + "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 15))
    ),
    "folder": lambda p: p.mkdir(),
    "missing": lambda p: None,
    "deep": lambda p: p.write_text("[" * 3000),
    "number-of-5000-digits": lambda p: p.write_text("specification: " + "9" * 5000),
}


def refused(words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    before = sorted(folder.rglob("*"))
    status = main(words)
    said = capsys.readouterr()
    assert status == 2
    assert said.out == ""
    assert said.err.startswith("stopwright: ")
    assert "Traceback" not in said.err
    assert sorted(folder.rglob("*")) == before
    return said.err


@pytest.mark.parametrize("kind", BAD_SCORES)
@pytest.mark.parametrize("command", ["check", "plan", "needs", "score"])
def test_bad_scores(kind: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "piece.musicxml"
    BAD_SCORES[kind](path)
    words = [command, str(path), "--json"]
    if command == "plan":
        words += ["--organ", str(ORGAN)]
    said = refused(words, tmp_path, capsys)
    assert "piece.musicxml" in said
    assert said.count("\n") == 1


@pytest.mark.parametrize("kind", BAD_SCORES)
def test_bad_scores_are_not_marked(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "piece.musicxml"
    BAD_SCORES[kind](path)
    refused(["mark", str(path), "-o", str(tmp_path / "out.musicxml"), "--add", "1:1:1:Sw. Oboe"], tmp_path, capsys)


@pytest.mark.parametrize("kind", BAD_ORGANS)
@pytest.mark.parametrize("command", ["check", "draw", "organ"])
def test_bad_specifications(kind: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "organ.yaml"
    BAD_ORGANS[kind](path)
    words = {
        "check": ["check", str(PIECE), "--organ", str(path)],
        "draw": ["draw", "Sw. Oboe", "--organ", str(path)],
        "organ": ["organ", "show", str(path)],
    }[command]
    assert "organ.yaml" in refused([*words, "--json"], tmp_path, capsys)
