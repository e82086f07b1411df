"""The one writer: whatever fails, the old or the new file is there, whole."""

from __future__ import annotations

import dataclasses
import errno
import os
import random
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from core.errors import ReadError, WriteError
from core.files import (
    ABSENT,
    REAL,
    FileOperations,
    FileStamp,
    backup_path,
    printable,
    read_bytes,
    sweep,
    write_bytes,
)

OLD = b"old " * 5_000
NEW = b"new, longer " * 9_000
STEPS = [field.name for field in dataclasses.fields(FileOperations)]


class Faulty:
    """File operations of which those of some numbers fail, or one and all after it."""

    def __init__(self, failing: set[int], *, from_number: int = 10_000, fault: int = errno.EIO) -> None:
        self.count = 0
        self.failed = 0
        self._failing = failing
        self._from = from_number
        self._fault = fault
        wrapped = {name: self._wrap(getattr(REAL, name)) for name in STEPS}
        self.operations = FileOperations(**wrapped)

    def _wrap(self, real: Callable[..., Any]) -> Callable[..., Any]:
        def step(*arguments: Any) -> Any:
            self.count += 1
            if self.count in self._failing or self.count >= self._from:
                self.failed += 1
                if real is os.close:  # even a close that fails has closed
                    os.close(*arguments)
                raise OSError(self._fault, os.strerror(self._fault))
            return real(*arguments)

        return step


def strays(folder: Path) -> list[str]:
    return [file.name for file in folder.iterdir() if file.name.startswith(".stopwright-")]


@pytest.mark.parametrize("for_ever", [False, True], ids=["once", "for ever"])
@pytest.mark.parametrize("fault", [errno.EIO, errno.ENOSPC, errno.EACCES])
@pytest.mark.parametrize("existing", [True, False], ids=["old file", "new file"])
def test_the_nth_operation_fails(tmp_path: Path, for_ever: bool, fault: int, existing: bool) -> None:
    path = tmp_path / "Prelude.musicxml"
    for number in range(1, 200):
        path.unlink(missing_ok=True)
        backup_path(path).unlink(missing_ok=True)
        if existing:
            path.write_bytes(OLD)
        faulty = Faulty({number}, from_number=number if for_ever else 10_000, fault=fault)
        try:
            write_bytes(path, NEW, backup=True, expected=FileStamp.of(OLD), operations=faulty.operations)
            sentence = ""
        except WriteError as error:
            sentence = str(error)
        passed = not sentence
        assert passed or "Prelude.musicxml" in sentence
        held = path.read_bytes() if path.exists() else None
        assert held == NEW if passed else held in ((OLD,) if existing else (None,))
        if backup_path(path).exists():
            assert backup_path(path).read_bytes() == OLD
        if not for_ever:
            assert len(strays(tmp_path)) <= 1  # only where removing it was what failed
        for name in strays(tmp_path):
            (tmp_path / name).unlink()
        if not faulty.failed:
            break
    else:
        pytest.fail("the save never passed without a fault")
    assert number > 8


def test_faults_while_recovering_from_a_fault(tmp_path: Path) -> None:
    path = tmp_path / "Prelude.musicxml"
    path.write_bytes(OLD)
    faulty = Faulty(set(), from_number=4)
    with pytest.raises(WriteError):
        write_bytes(path, NEW, operations=faulty.operations)
    assert path.read_bytes() == OLD


def test_any_operations_fail_together(tmp_path: Path) -> None:
    path = tmp_path / "Prelude.musicxml"
    chance = random.Random(8)
    saved = 0
    for _ in range(400):
        path.write_bytes(OLD)
        failing = {number for number in range(1, 24) if chance.random() < 0.12}
        faulty = Faulty(failing, fault=chance.choice([errno.EIO, errno.ENOSPC, errno.EPERM, errno.EROFS]))
        try:
            write_bytes(path, NEW, backup=chance.random() < 0.5, operations=faulty.operations)
        except WriteError:
            assert path.read_bytes() == OLD
        else:
            saved += 1
            assert path.read_bytes() == NEW
    assert 20 < saved < 380


def test_a_short_write_goes_on(tmp_path: Path) -> None:
    def little(descriptor: int, data: memoryview) -> int:
        return os.write(descriptor, data[:777])

    path = tmp_path / "a.musicxml"
    write_bytes(path, NEW, operations=dataclasses.replace(REAL, write=little))
    assert path.read_bytes() == NEW


CHILD = """
import sys
from core.files import write_bytes
path = sys.argv[1]
whole = [bytes([65 + n]) * 1_500_000 for n in range(8)]
print("ready", flush=True)
while True:
    for data in whole:
        write_bytes(path, data, backup=True)
"""


@pytest.mark.skipif(os.name == "nt", reason="signals are POSIX's")
def test_a_killed_process_leaves_a_whole_file(tmp_path: Path) -> None:
    path = tmp_path / "Toccata.musicxml"
    path.write_bytes(b"A" * 1_500_000)
    chance = random.Random(20)
    for _ in range(24):
        with subprocess.Popen(
            [sys.executable, "-c", CHILD, str(path)], stdout=subprocess.PIPE, cwd=Path(__file__).parents[1]
        ) as child:
            assert child.stdout is not None
            child.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.06))
            child.send_signal(signal.SIGKILL)
            child.wait()
        for file in (path, backup_path(path)):
            if file.exists():
                held = file.read_bytes()
                assert len(held) == 1_500_000
                assert held == held[:1] * len(held)
    write_bytes(path, NEW)
    assert strays(tmp_path) == []
    assert path.read_bytes() == NEW


@pytest.mark.skipif(not hasattr(os, "fork"), reason="limits are POSIX's")
def test_a_full_disc(tmp_path: Path) -> None:
    path = tmp_path / "Fugue.musicxml"
    path.write_bytes(OLD)
    code = (
        "import resource, signal, sys\n"
        "from core.files import write_bytes\n"
        "from core.errors import WriteError\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))\n"
        "try:\n    write_bytes(sys.argv[1], b'x' * 100_000)\n"
        "except WriteError as error:\n    print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[1],
    )
    assert "larger than this place allows" in done.stdout
    assert path.read_bytes() == OLD
    assert strays(tmp_path) == []


def test_the_mode_is_kept_and_a_new_file_has_the_usual_one(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    path.write_bytes(OLD)
    path.chmod(0o640)
    write_bytes(path, NEW)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    mask = os.umask(0o027)
    try:
        write_bytes(tmp_path / "b.musicxml", NEW)
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "b.musicxml").stat().st_mode) == 0o640


def test_the_owner_is_kept_where_it_can_be_had(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    path.write_bytes(OLD)
    asked = []
    operations = dataclasses.replace(REAL, change_owner=lambda *given: asked.append(given[1:]))
    write_bytes(path, NEW, operations=operations)
    assert asked == [(path.stat().st_uid, path.stat().st_gid)]


def test_the_temporary_file_is_private_until_it_is_whole(tmp_path: Path) -> None:
    modes = []

    def sync(descriptor: int) -> None:
        modes.append(stat.S_IMODE(os.fstat(descriptor).st_mode))
        os.fsync(descriptor)

    write_bytes(tmp_path / "a.musicxml", NEW, operations=dataclasses.replace(REAL, sync=sync))
    assert modes == [0o600]


def test_a_symbolic_link_stays_one(tmp_path: Path) -> None:
    (tmp_path / "scores").mkdir()
    real = tmp_path / "scores" / "a.musicxml"
    real.write_bytes(OLD)
    link = tmp_path / "link.musicxml"
    link.symlink_to(real)
    write_bytes(link, NEW, backup=True)
    assert link.is_symlink()
    assert real.read_bytes() == NEW
    assert backup_path(link) == real.with_name("a.musicxml.as-opened")
    assert backup_path(link).read_bytes() == OLD


def test_a_file_changed_beneath_us_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    path.write_bytes(OLD)
    stamp = FileStamp.of(OLD)
    path.write_bytes(b"somebody else's")
    with pytest.raises(WriteError, match="changed on the disc since it was opened"):
        write_bytes(path, NEW, expected=stamp)
    assert path.read_bytes() == b"somebody else's"
    assert strays(tmp_path) == []
    assert write_bytes(path, NEW) == FileStamp.of(NEW)
    with pytest.raises(WriteError, match="another program has written"):
        write_bytes(path, OLD, expected=ABSENT)
    path.unlink()
    write_bytes(path, NEW, expected=stamp)  # gone: nothing is lost by writing it
    assert path.read_bytes() == NEW


def test_only_abandoned_temporaries_are_swept(tmp_path: Path) -> None:
    child = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, text=True)
    host = _own_stray_name(tmp_path).split("-")[1]
    dead = tmp_path / f".stopwright-{host}-{child.stdout.strip()}-0123456789ab.tmp"
    own = tmp_path / f".stopwright-{host}-{os.getpid()}-0123456789ab.tmp"
    elsewhere = tmp_path / ".stopwright-00000000-1-0123456789ab.tmp"
    other = tmp_path / ".stopwright-notes.tmp"
    for file in (dead, own, elsewhere, other):
        file.write_bytes(b"")
    assert sweep(tmp_path) == [dead]
    assert own.exists()
    assert elsewhere.exists()
    assert other.exists()
    assert sweep(tmp_path / "nowhere") == []


def _own_stray_name(folder: Path) -> str:
    names: list[str] = []

    def create(path: str) -> int:
        names.append(Path(path).name)
        return REAL.create(path)

    write_bytes(folder / "x", b"", operations=dataclasses.replace(REAL, create=create))
    return names[0]


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("x" * 300 + ".musicxml", "name is too long"),
        ("no\nfolder/a\nb.musicxml", "no such folder"),
        ("nul\0.musicxml", "no file can have this name"),
        (".", "this is a folder"),
    ],
)
def test_names_that_cannot_be_are_one_sentence(tmp_path: Path, name: str, sentence: str) -> None:
    with pytest.raises(WriteError, match=sentence) as caught:
        write_bytes(f"{tmp_path}/{name}", NEW)
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_name_of_250_signs_with_newlines_is_saved_with_its_backup(tmp_path: Path) -> None:
    path = tmp_path / ("a\nb" + "ö" * 120)
    write_bytes(path, OLD)
    write_bytes(path, NEW, backup=True)
    assert path.read_bytes() == NEW
    assert backup_path(path).read_bytes() == OLD


def test_a_folder_that_may_only_be_read(tmp_path: Path) -> None:
    def create(path: str) -> int:
        raise PermissionError(errno.EACCES, "Permission denied", path)

    with pytest.raises(WriteError, match=r"you may not write here\. Choose another folder"):
        write_bytes(tmp_path / "a.musicxml", NEW, operations=dataclasses.replace(REAL, create=create))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes are POSIX's")
def test_what_is_no_ordinary_file_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(WriteError, match="no ordinary file"):
        write_bytes(tmp_path / "pipe", NEW)
    with pytest.raises(ReadError, match="no ordinary file"):
        read_bytes(tmp_path / "pipe", limit=100)


def test_reading_has_a_limit_and_gives_a_stamp(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(OLD)
    assert read_bytes(path, limit=len(OLD)) == (OLD, FileStamp.of(OLD))
    with pytest.raises(ReadError, match="larger than"):
        read_bytes(path, limit=len(OLD) - 1)
    with pytest.raises(ReadError, match="cannot be read"):
        read_bytes(tmp_path / "none", limit=1)


def test_a_printable_name_is_one_short_line() -> None:
    assert printable("a\nb\x07") == "a\\nb\\x07"
    assert len(printable("x" * 5_000)) < 200
