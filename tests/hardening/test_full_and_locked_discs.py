"""A real disc that is full, and one that may only be read: small file systems in memory, where the machine allows them.

Without the right to make one (a user's own name space), these are skipped and say so; a limit on the size of files
stands in for the full disc everywhere.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
UNSHARE = shutil.which("unshare")
SAVE = """
import os, sys
from pathlib import Path
from core.errors import WriteError
from core.files import FileStamp, backup_path, write_bytes
place, size, old = Path(sys.argv[1]), int(sys.argv[2]), b"old " * 10_000
path = place / "Fugue.musicxml"
filler = place / "filler"
told = {}
for room in range(0, size, max(size // 20, 1)):
    for file in place.iterdir():
        file.unlink()
    path.write_bytes(old)
    with filler.open("wb", buffering=0) as full:  # leaves so much room
        status = os.statvfs(place)
        left = status.f_bavail * status.f_frsize - room
        while left > 0:
            try:
                left -= full.write(bytes(min(left, 4096)))
            except OSError:
                break
    new = b"new, longer " * 9_000
    try:
        write_bytes(path, new, expected=FileStamp.of(old), backup=True)
        assert path.read_bytes() == new
        told["saved"] = told.get("saved", 0) + 1
    except WriteError as error:
        assert path.read_bytes() == old, "the old file was destroyed"
        assert "disc is full" in str(error), error
        told["refused"] = told.get("refused", 0) + 1
    assert not backup_path(path).exists() or backup_path(path).read_bytes() == old
    assert not [p for p in place.iterdir() if p.suffix == ".tmp"]
print(told["refused"], told.get("saved", 0))
"""
LOCKED = """
import sys
from pathlib import Path
from core.errors import WriteError
from core.files import write_bytes
path = Path(sys.argv[1]) / "Fugue.musicxml"
try:
    write_bytes(path, b"new")
except WriteError as error:
    print(error)
print(path.read_bytes().decode(), sorted(p.name for p in path.parent.iterdir()))
"""


def in_memory(place: Path, script: str, *words: str) -> str:
    """What a script prints that runs where `place` is a small file system of its own."""
    if UNSHARE is None:
        pytest.skip("there is no unshare here, so no file system can be made without root")
    place.mkdir()
    done = subprocess.run(
        [UNSHARE, "--user", "--map-root-user", "--mount", "sh", "-c", script, "sh", sys.executable, str(place), *words],
        capture_output=True, text=True, cwd=ROOT, check=False, timeout=120,
    )  # fmt: skip
    if done.returncode and ("unshare" in done.stderr or "mount" in done.stderr):
        pytest.skip(f"no file system of one's own may be made here ({done.stderr.strip()[:80]})")
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_full_disc_loses_nothing(tmp_path: Path) -> None:
    script = 'mount -t tmpfs -o size=400k tmpfs "$2" && exec "$1" -c "$3" "$2" 300000'
    refused, saved = map(int, in_memory(tmp_path / "small", script, SAVE).split())
    assert refused >= 5
    assert saved >= 1


def test_a_disc_that_may_only_be_read(tmp_path: Path) -> None:
    script = 'mount -t tmpfs tmpfs "$2" && printf old > "$2/Fugue.musicxml" && '
    script += 'mount -o remount,ro "$2" && exec "$1" -c "$3" "$2"'
    sentence, held = in_memory(tmp_path / "locked", script, LOCKED).splitlines()
    assert "this place can only be read" in sentence
    assert "Nothing was changed" in sentence
    assert held == "old ['Fugue.musicxml']"


def test_a_folder_one_may_not_write_in(tmp_path: Path) -> None:
    """Without root's powers: root may write everywhere."""
    if shutil.which("setpriv") is None:
        pytest.skip("there is no setpriv here")
    script = 'mount -t tmpfs tmpfs "$2" && printf old > "$2/Fugue.musicxml" && chmod 555 "$2" && '
    script += 'exec setpriv --bounding-set=-all --inh-caps=-all --no-new-privs "$1" -c "$3" "$2"'
    sentence, held = in_memory(tmp_path / "foreign", script, LOCKED).splitlines()
    assert "you may not write here" in sentence
    assert held == "old ['Fugue.musicxml']"
