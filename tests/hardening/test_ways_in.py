"""Every bomb by its name through every command that takes such a file: one sentence, status 2, nothing written."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

import bombs
from core.cli.main import main
from core.score.reading import read_score
from core.score.source import read_source

ROOT = Path(__file__).resolve().parents[2]
ORGAN = str(ROOT / "sample_specs" / "village.yaml")
PIECE = str(ROOT / "sample_specs" / "demo_piece.musicxml")
SLOW = ("zip bomb", "zip bomb with a forged size", "200,000 entries", "an attribute of 20 MB", "5 MB")
"""Refused after a second or so: tried with a few commands only."""
STYLES = [["check", PIECE, "--style"], ["read", "Gt. 8", "--style"], ["report", PIECE, "--style"]]

SCORE_COMMANDS = {
    "check": lambda p, out: ["check", p, "--json"],
    "plan": lambda p, out: ["plan", p, "--organ", ORGAN, "--json"],
    "needs": lambda p, out: ["needs", p, "-o", f"{out}/needs.html"],
    "score": lambda p, out: ["score", p],
    "sheet": lambda p, out: ["sheet", p, "--organ", ORGAN, "-o", f"{out}/sheet.html"],
    "pistons": lambda p, out: ["pistons", p, "--organ", ORGAN, "--csv", f"{out}/plan.csv"],
    "compare": lambda p, out: ["compare", p, "--organs", ORGAN],
    "report": lambda p, out: ["report", p, "--number", "--csv", f"{out}/report.csv"],
    "diff": lambda p, out: ["diff", PIECE, p],
    "diff, the former": lambda p, out: ["diff", p, PIECE],
    "engrave": lambda p, out: ["engrave", p, "-o", f"{out}/piece.pdf", "--findings"],
    "mark": lambda p, out: ["mark", p, "-o", f"{out}/marked.musicxml", "--rewrite", "--style", "de"],
}
ORGAN_COMMANDS = {
    "check": lambda p: ["check", PIECE, "--organ", p, "--json"],
    "draw": lambda p: ["draw", "Sw. Oboe", "--organ", p],
    "show": lambda p: ["organ", "show", p, "--json"],
    "page": lambda p: ["organ", "page", p],
    "colours": lambda p: ["organ", "colours", p],
    "sheet": lambda p: ["sheet", PIECE, "--organ", p],
    "pistons": lambda p: ["pistons", PIECE, "--organ", p],
    "compare": lambda p: ["compare", PIECE, "--organs", p],
    "diff": lambda p: ["diff", PIECE, PIECE, "--organ", p],
    "mark": lambda p: ["mark", PIECE, "-o", f"{p}.musicxml", "--organ", p, "--opening-block"],
}


def _opened(*_: object) -> int:
    raise AssertionError("what is refused must not come to the engraver")


def refused(words: list[str], path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """The one sentence with which a command refuses a file."""
    folder = path.parent
    before = sorted(folder.rglob("*"))
    began = time.process_time()
    assert main(words, {"engrave": _opened}) == 2
    took = time.process_time() - began
    said = capsys.readouterr()
    assert said.out == ""
    lines = said.err.splitlines()
    assert lines[0].startswith("stopwright: ")
    assert all(line.startswith("  ") for line in lines[1:]), "one sentence; under it only its list of faults"
    assert path.name in lines[0]
    assert "something went wrong" not in said.err
    assert "root:" not in said.err, "the content of another file"
    assert sorted(folder.rglob("*")) == before
    assert took < 4
    return said.err


@pytest.mark.parametrize("name", bombs.SCORES)
def test_scores_by_every_command(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bomb.musicxml"
    path.write_bytes(bombs.SCORES[name]())
    commands = [*SCORE_COMMANDS.values()][:: 6 if name in SLOW else 1]
    told = {refused(words(str(path), tmp_path), path, capsys) for words in commands}
    assert len({one.split(": ", 2)[-1] for one in told}) == 1, "all say the same"


@pytest.mark.parametrize("name", bombs.READABLE)
def test_what_is_only_odd_is_read(name: str, tmp_path: Path) -> None:
    path = tmp_path / "odd.musicxml"
    path.write_bytes(bombs.READABLE[name]())
    score = read_score(read_source(path))
    assert [text.text for text in score.texts if "Oboe" in text.text] == ["Sw. Oboe"]


@pytest.mark.parametrize("name", bombs.YAML)
def test_specifications_by_every_command(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bomb.yaml"
    path.write_bytes(bombs.YAML[name]())
    for words in [*ORGAN_COMMANDS.values()][:: 6 if name in SLOW else 1]:
        refused(words(str(path)), path, capsys)


@pytest.mark.parametrize("name", ["empty", "binary", "NULs", "5 MB"])
def test_stop_lists(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bomb.txt"
    path.write_bytes(bombs.YAML[name]())
    refused(["organ", "read", str(path), "-o", str(tmp_path / "organ.yaml")], path, capsys)
    for words in ORGAN_COMMANDS.values():
        refused(words(str(path)), path, capsys)


@pytest.mark.parametrize("name", bombs.YAML)
def test_notes_words_and_styles(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bomb.yaml"
    path.write_bytes(bombs.YAML[name]())
    refused(["check", PIECE, "--notes", str(path)], path, capsys)
    refused(["report", PIECE, "--number", "--notes", str(path)], path, capsys)
    if name not in ("empty", *SLOW):  # a words file or style may say nothing
        refused(["check", PIECE, "--words", str(path)], path, capsys)
        refused(["draw", "Gt. 8", "--organ", ORGAN, "--words", str(path)], path, capsys)
        for words in STYLES:
            refused([*words, str(path)], path, capsys)
        refused(["mark", PIECE, "-o", str(tmp_path / "o.musicxml"), "--rewrite", "--style", str(path)], path, capsys)


@pytest.mark.parametrize("name", bombs.JSON)
def test_former_plans_results_and_cases(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bomb.json"
    path.write_bytes(bombs.JSON[name]())
    refused(["pistons", PIECE, "--organ", ORGAN, "--generals", "1-8", "--keep", str(path)], path, capsys)
    if name != "empty":
        refused(["batch", PIECE, "--results", str(path)], path, capsys)
        refused(["draw", "--file", str(path), "--organ", ORGAN], path, capsys)


@pytest.mark.parametrize("content", [b"\xff\xfe\xfa", b"missing.musicxml\n", b"\0\n", b"x" * 5000])
def test_lists_of_a_batch(content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "list.txt"
    path.write_bytes(content)
    assert main(["batch", f"@{path}"]) == 2
    said = capsys.readouterr().err
    assert said.startswith("stopwright: ")
    assert said.count("\n") == 1
    assert "something went wrong" not in said


def test_a_list_that_names_itself_ends(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "list.txt"
    path.write_text(f"@{path}\n", encoding="utf-8")
    assert main(["batch", f"@{path}"]) == 2
    assert "something went wrong" not in capsys.readouterr().err


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes are POSIX's")
def test_pipes_devices_and_folders_hang_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        for words in (
            ["check", str(path)],
            ["check", PIECE, "--organ", str(path)],
            ["check", PIECE, "--notes", str(path)],
            ["check", PIECE, "--words", str(path)],
            ["check", PIECE, "--style", str(path)],
            ["read", "--file", str(path)],
            ["draw", "--file", str(path), "--organ", ORGAN],
            ["pistons", PIECE, "--organ", ORGAN, "--keep", str(path)],
            ["batch", PIECE, "--results", str(path)],
        ):
            assert main(words) == 2, words
            assert "something went wrong" not in capsys.readouterr().err


HEAVY = {
    "two million elements": "b'<score-partwise>' + b'<a/>' * 2_100_000 + b'</score-partwise>'",
    "100,000 attributes": "b'<score-partwise ' + b' '.join(b'a%d=\"\"' % n for n in range(100_000)) + b'/>'",
    "65 MB": "b'<score-partwise>' + b' ' * (65 * 2**20) + b'</score-partwise>'",
    "a zip bomb": "bombs._zip_bomb(200)",
    "a directory of 300,000 files": "bombs._million_records()",
}
MEASURED = """
import sys, resource, time
sys.path[:0] = [{support!r}]
import bombs
from core.score.source import source_from_bytes
from core.score.reading import read_score
from core.errors import ScoreError
data = {data}
kilo = 1024 if sys.platform != "darwin" else 1
before, began = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
try:
    read_score(source_from_bytes(data, "bomb"))
except ScoreError as error:
    print(str(error).count("\\n"), end=" ")
print(time.process_time() - began, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * kilo / 2**20)
"""


@pytest.mark.parametrize("name", HEAVY)
def test_heavy_files_are_refused_in_time_and_memory(name: str) -> None:
    here = Path(__file__).parent
    code = MEASURED.format(support=str(here.parent / "support"), data=HEAVY[name])
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    lines, seconds, megabytes = done.stdout.split()
    assert int(lines) == 0
    assert float(seconds) < 2
    assert float(megabytes) < 300
