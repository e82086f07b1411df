"""No way out: no socket is ever opened, and no file is written but what was asked for and what is the program's own."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from bombs import good_score

ROOT = Path(__file__).resolve().parents[2]
NETWORK = {
    "socket",
    "urllib.request",
    "http",
    "http.client",
    "ftplib",
    "smtplib",
    "ssl",
    "asyncio",
    "xmlrpc",
    "requests",
}
MAY = {"core/batch/running.py"}  # --scheduler, which names its address
STOPS = "GREAT\nOpen Diapason 8\nPrincipal 4\n\nSWELL\nOboe 8\nGamba 8\n\nPEDAL\nBourdon 16\n\nSwell to Great\n"

COMMANDS = {
    "read": (["read", "Gt. 8", "--write", "de", "--explain"], []),
    "draw": (["draw", "Sw. Oboe", "--organ", "organ.txt"], []),
    "organ read": (["organ", "read", "organ.txt", "-o", "o.yaml"], ["o.yaml"]),
    "organ show": (["organ", "show", "organ.txt"], []),
    "organ page": (["organ", "page", "organ.txt", "-o", "o.pdf"], ["o.pdf"]),
    "organ colours": (["organ", "colours", "organ.txt"], []),
    "score": (["score", "piece.musicxml"], []),
    "plan": (["plan", "piece.musicxml", "--organ", "organ.txt"], []),
    "check": (["check", "piece.musicxml", "--organ", "organ.txt", "--style", "en"], []),
    "needs": (["needs", "piece.musicxml", "-o", "o.html"], ["o.html"]),
    "sheet": (["sheet", "piece.musicxml", "--organ", "organ.txt", "--cues", "-o", "o.html"], ["o.html"]),
    "pistons": (
        [
            "pistons",
            "piece.musicxml",
            "--organ",
            "organ.txt",
            "--generals",
            "1-4",
            "--csv",
            "o.csv",
            "--write",
            "o.mxl",
        ],
        ["o.csv", "o.mxl"],
    ),
    "compare": (["compare", "piece.musicxml", "--organs", "organ.txt", "-o", "o.txt"], ["o.txt"]),
    "report": (
        ["report", "piece.musicxml", "--number", "-o", "o.txt", "--csv", "o.csv"],
        ["o.txt", "o.csv", "piece.stopwright.yaml"],
    ),
    "diff": (["diff", "piece.musicxml", "other.musicxml", "-o", "o.html"], ["o.html"]),
    "style": (["style", "en", "-o", "style.yaml"], ["style.yaml"]),
    "engrave": (["engrave", "piece.musicxml", "-o", "o.svg", "--findings"], ["o-1.svg"]),
    "mark": (["mark", "piece.musicxml", "-o", "o.musicxml", "--add", "2:1:1:Sw. Gamba"], ["o.musicxml"]),
    "batch": (
        ["batch", "piece.musicxml", "--organ", "organ.txt", "--results", "o.jsonl", "--csv", "o.csv", "--workers", "1"],
        ["o.jsonl", "o.csv"],
    ),
    "open": (
        ["open", "piece.musicxml", "--organ", "organ.txt", "--pictures", "shown"],
        ["shown/window.png", "shown/page-1.png", "shown/index.html"],
    ),
}
OWN = ("home/.local/state/stopwright/", "home/.config/stopwright/", "home/.cache/", "home/.local/share/stopwright/")
OWN += ("home/Library/", "home/AppData/")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder to work in, a home and a place for temporary files of its own."""
    made = tmp_path_factory.mktemp("watched")
    for name in ("home", "here", "temporary"):
        (made / name).mkdir()
    here = made / "here"
    (here / "piece.musicxml").write_bytes(good_score("Sw. Flomptuba 8 and Oboe"))
    (here / "other.musicxml").write_bytes(good_score("Sw. Gamba"))
    (here / "organ.txt").write_text(STOPS, encoding="utf-8")
    return made


@dataclass
class Seen:
    """What was seen of a command: its status, what went out, what it wrote, the files there after it."""

    status: int = -1
    net: list[str] = field(default_factory=list)
    written: list[str] = field(default_factory=list)
    there: set[str] = field(default_factory=set)


def surroundings(folder: Path) -> dict[str, str]:
    """An environment with a home of its own, and nothing of the user's."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("XDG_", "STOPWRIGHT"))}
    home = str(folder / "home")
    own = {"HOME": home, "USERPROFILE": home, "TMPDIR": str(folder / "temporary"), "QT_QPA_PLATFORM": "offscreen"}
    return {**kept, **own, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}


@pytest.fixture(scope="module")
def seen(folder: Path) -> dict[str, Seen]:
    """Every command done in one process that watches itself."""
    commands = json.dumps({name: words for name, (words, _) in COMMANDS.items()})
    program = [sys.executable, str(Path(__file__).with_name("watched.py")), str(folder / "report"), commands]
    done = subprocess.run(
        program, cwd=folder / "here", env=surroundings(folder), capture_output=True, text=True, check=False, timeout=240
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    found: dict[str, Seen] = {}
    here = str(folder / "here")
    for line in (folder / "report").read_text(encoding="utf-8").splitlines():
        kind, _, rest = line.partition(" ")
        now = found.setdefault(rest, Seen()) if kind == "command" else found[[*found][-1]] if found else Seen()
        if kind == "status":
            now.status = int(rest)
        elif kind == "there":
            now.there = {str(Path(path).relative_to(here)) for path in json.loads(rest)}
        elif kind == "net":
            now.net.append(rest)
        elif kind == "write":
            now.written.append(rest)
    (folder / "report").unlink()
    return found


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_opens_no_socket_and_writes_what_was_asked(command: str, folder: Path, seen: dict[str, Seen]) -> None:
    names = [*COMMANDS]
    now, asked = seen[command], set(COMMANDS[command][1])
    at = names.index(command)
    before = seen[names[at - 1]].there if at else {"piece.musicxml", "other.musicxml", "organ.txt"}
    assert now.status in (0, 1)
    assert not now.net
    assert now.there - before <= asked
    assert asked <= now.there
    places = (str(folder), ".stopwright-", "/dev/", "/proc/", *(name.split("/")[0] for name in asked))
    assert not [path for path in now.written if not path.startswith(places) and not path.isdecimal()]  # a pipe


def test_nothing_is_left_but_what_is_the_programs_own(folder: Path, seen: dict[str, Seen]) -> None:
    left = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir()}
    assert not {name for name in left if not name.startswith(("here/", *OWN))}


def test_the_watch_sees_a_socket_and_a_file(tmp_path: Path) -> None:
    code = (
        f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r}); import os, watched\n"
        "watched.watch(os.open('report', os.O_WRONLY | os.O_CREAT))\n"
        "import socket; one = socket.socket(); open('strange', 'w').close(); sys.exit(watched.open_sockets())"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, check=False)
    told = (tmp_path / "report").read_text(encoding="utf-8")
    assert "net socket" in told
    assert "write strange" in told
    assert done.returncode == (1 if Path("/proc/self/fd").is_dir() else 0)


def test_nothing_imports_what_speaks_to_a_network() -> None:
    found = []
    for path in sorted(p for top in ("core", "app") for p in (ROOT / top).rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            found += [f"{name}: {one}" for one in names if one in NETWORK or "Network" in one or "WebEngine" in one]
    assert {line.split(":")[0] for line in found} <= MAY, found


def test_modules_lying_beside_the_score_are_not_run(tmp_path: Path) -> None:
    """Whoever opens a score in a downloaded folder must not run what lies in it."""
    for module in ("core", "app", "music21", "lxml", "verovio", "json", "warnings", "numpy"):
        (tmp_path / f"{module}.py").write_text("open('taken', 'w').close()\n", encoding="utf-8")
    (tmp_path / "piece.musicxml").write_bytes(good_score())
    (tmp_path / "piece.abc").write_text("X:1\nT:Air\nM:4/4\nL:1/4\nK:C\nCDEF|GABc|\n", encoding="utf-8")
    program = [sys.executable, "-P", "-c", "import sys; from app.main import main; sys.exit(main())"]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    for words in (["score", "piece.abc"], ["engrave", "piece.musicxml", "-o", "o.svg"]):
        done = subprocess.run([*program, *words], cwd=tmp_path, capture_output=True, check=False, timeout=120, env=env)
        assert done.returncode == 0, done.stderr
    assert not (tmp_path / "taken").exists()
