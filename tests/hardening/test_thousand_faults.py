"""A thousand faults while the user's files are saved, and not a byte lost: as databases test it, N = 1, 2, 3 …

The method (fail the N-th file operation, once and for ever, until all passes) is that of SQLite's published
description of its tests, https://www.sqlite.org/testing.html, sections 3.2 and 3.3 (from memory).
A part runs always; all of it with ``make faults``.
"""

from __future__ import annotations

import dataclasses
import errno
import itertools
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from core.batch.ledger import Ledger
from core.batch.work import Row
from core.document import Document, OrganFile, Shelf, organ_from_text, save_notes, save_organ, save_score
from core.edits import AddMarking, apply
from core.errors import WriteError
from core.files import REAL, FileOperations, backup_path, write_bytes
from core.notes_file import write_notes
from core.score.packing import pack
from core.score.source import source_from_bytes
from making import Piece

ROOT = Path(__file__).resolve().parents[2]
ERRORS = (errno.EIO, errno.ENOSPC, errno.EACCES, errno.EROFS, errno.EDQUOT, errno.EPERM)
STEPS = [field.name for field in dataclasses.fields(FileOperations)]


class Disc:
    """File operations of which the N-th fails, or all from it on."""

    def __init__(self, fails: int = 0, *, for_ever: bool = False, error: int = errno.EIO) -> None:
        self.count = self.failed = 0
        self._fails, self._for_ever, self._error = fails, for_ever, error
        self.operations = FileOperations(**{name: self._step(getattr(REAL, name)) for name in STEPS})

    def _step(self, real: Callable[..., Any]) -> Callable[..., Any]:
        def step(*words: Any) -> Any:
            self.count += 1
            if self._fails and (self.count == self._fails or (self._for_ever and self.count > self._fails)):
                self.failed += 1
                if real is os.close:
                    os.close(*words)
                if real is os.write and len(words[1]) > 8:  # a part of it may have got there
                    os.write(words[0], words[1][: len(words[1]) // 2])
                raise OSError(self._error, os.strerror(self._error))
            return real(*words)

        return step


def _piece() -> bytes:
    return Piece(title="Air (invented)").repeat_bars(6, "C5 D5 E5 F5", "C3+E3:4", "C2:4").text(2, 1, "Sw. Oboe").xml()


def _edited(data: bytes, path: Path) -> Document:
    source = source_from_bytes(data, str(path))
    return apply(Document(source=source), AddMarking(part=0, bar=3, staff=1, in_bar=0, text="Gt. 8")).document


def _saving_score(path: Path, data: bytes) -> tuple[bytes, Callable[[Shelf], None]]:
    document = _edited(data, path)
    assert document.source is not None
    return document.source.data, lambda shelf: save_score(document, path, shelf) and None


def _saving_notes(path: Path, data: bytes) -> tuple[bytes, Callable[[Shelf], None]]:
    notes = replace(Document().notes, language="fr")
    document = Document(source=source_from_bytes(_piece(), str(path.with_name("Air.musicxml"))), notes=notes)
    return write_notes(notes), lambda shelf: save_notes(document, shelf, path)


def _saving_organ(path: Path, data: bytes) -> tuple[bytes, Callable[[Shelf], None]]:
    text = data.decode() + "# looked over\n"
    file = OrganFile(path=str(path), text=text, organ=organ_from_text(text, str(path)))
    document = Document(organs=(file,), chosen=0)
    return text.encode(), lambda shelf: save_organ(document, 0, path, shelf) and None


def _village() -> bytes:
    return (ROOT / "sample_specs" / "village.yaml").read_bytes()


FILES = {
    "score": ("Air.musicxml", _piece, _saving_score),
    "packed score": ("Air.mxl", lambda: pack("Air.xml", _piece()), _saving_score),
    "notes": ("Air.stopwright.yaml", lambda: write_notes(replace(Document().notes, language="en")), _saving_notes),
    "specification": ("organ.yaml", _village, _saving_organ),
}


def faults_while_saving(folder: Path, kind: str, errors: tuple[int, ...]) -> int:
    """Every operation fails in its turn; the old or the new file is there, and the next save passes. Their number."""
    name, made, saving = FILES[kind]
    path, old = folder / name, made()
    new, save = saving(path, old)
    assert new != old
    faults = 0
    for error, for_ever, is_there in itertools.product(errors, (False, True), (True, False)):
        for number in range(1, 200):
            for left in folder.iterdir():
                left.unlink()
            if is_there:
                path.write_bytes(old)
            disc = Disc(number, for_ever=for_ever, error=error)
            shelf = Shelf(disc.operations)
            if is_there:
                shelf.opened(path, old)
            told = _told(lambda shelf=shelf: save(shelf))
            if told:
                assert name in told
                assert "\n" not in told
                held = path.read_bytes() if path.exists() else None
                assert held == (old if is_there else None), f"{kind}: fault {number} lost the old file"
                _passes_afterwards(path, old, new, save)
            else:
                assert path.read_bytes() == new, f"{kind}: fault {number} went unsaid"
            if backup_path(path).exists():
                assert backup_path(path).read_bytes() == old
            faults += disc.failed > 0
            if not disc.failed:
                break
        else:
            pytest.fail("the save never passed")
    return faults


def _passes_afterwards(path: Path, old: bytes, new: bytes, save: Callable[[Shelf], None]) -> None:
    shelf = Shelf()
    if path.exists():
        shelf.opened(path, old)
    save(shelf)
    assert path.read_bytes() == new


def _told(save: Callable[[], None]) -> str:
    """The sentence with which a save was refused; empty where it passed."""
    try:
        save()
    except WriteError as refused:
        return str(refused)
    return ""


def _add_eight(path: Path, disc: Disc, rows: list[Row], done: list[str]) -> None:
    with Ledger(path, disc.operations) as ledger:
        for key in "abcdefgh":
            ledger.add(key, rows)
            done.append(key)


def faults_while_adding(folder: Path, errors: tuple[int, ...]) -> int:
    """The results of a batch: what was added before a fault is there, and the run is taken up after it."""
    rows: list[Row] = [{"score": "a", "organ": None, "status": "refused", "why": "it is empty"}]
    faults = 0
    for error in errors:
        for number in range(1, 40):
            path = folder / "results.jsonl"
            path.unlink(missing_ok=True)
            disc = Disc(number, error=error)
            done: list[str] = []
            told = _told(lambda path=path, disc=disc, done=done: _add_eight(path, disc, rows, done))
            assert "results.jsonl" in told or len(done) == 8
            with Ledger(path) as again:
                assert all(again.rows_of(key) == rows for key in done)
                again.add("later", rows)
            with Ledger(path) as again:
                assert all(again.rows_of(key) == rows for key in [*done, "later"])
            faults += disc.failed
            if not disc.failed:
                break
    return faults


@pytest.mark.parametrize("kind", FILES)
def test_each_operation_fails_in_its_turn(kind: str, tmp_path: Path) -> None:
    assert faults_while_saving(tmp_path, kind, (errno.EIO, errno.ENOSPC)) > 30


def test_what_was_added_to_the_results_stays(tmp_path: Path) -> None:
    assert faults_while_adding(tmp_path, (errno.EIO, errno.ENOSPC)) > 10


@pytest.mark.faults
def test_a_thousand_faults(tmp_path: Path) -> None:
    """Counted: at least a thousand."""
    faults = sum(faults_while_saving(tmp_path, kind, ERRORS) for kind in FILES)
    for left in tmp_path.iterdir():
        left.unlink()
    faults += faults_while_adding(tmp_path, ERRORS)
    print(f"{faults} faults, 0 bytes lost")
    assert faults >= 1000


SAVER = """
import sys
sys.path[:0] = [{root!r}, {here!r}, {support!r}]
from pathlib import Path
from test_thousand_faults import FILES
from core.document import Shelf
name, made, saving = FILES[sys.argv[2]]
path, old = Path(sys.argv[1]) / name, made()
new, save = saving(path, old)
print("ready", flush=True)
while True:
    path.write_bytes(old) if not path.exists() else None
    shelf = Shelf()
    shelf.opened(path, path.read_bytes())
    save(shelf)
    from core.files import write_bytes
    write_bytes(path, old)
"""


def kills(folder: Path, kind: str, count: int, dice: random.Random) -> int:
    """A saving process killed at random moments; how often a temporary file was left."""
    name, made, saving = FILES[kind]
    path, old = folder / name, made()
    new, _ = saving(path, old)
    path.write_bytes(old)
    code = SAVER.format(root=str(ROOT), here=str(Path(__file__).parent), support=str(ROOT / "tests" / "support"))
    strays = 0
    for _ in range(count):
        with subprocess.Popen([sys.executable, "-c", code, str(folder), kind], stdout=subprocess.PIPE) as child:
            assert child.stdout is not None
            child.stdout.readline()
            time.sleep(dice.uniform(0.0, 0.05))
            child.send_signal(signal.SIGKILL)
            child.wait()
        assert path.read_bytes() in (old, new)
        if backup_path(path).exists():
            assert backup_path(path).read_bytes() in (old, new)
        strays += any(p.suffix == ".tmp" for p in folder.iterdir())
    write_bytes(path, old)
    assert not [p for p in folder.iterdir() if p.suffix == ".tmp"], "a later save sweeps what killed ones left"
    return strays


@pytest.mark.skipif(os.name == "nt", reason="signals are POSIX's")
@pytest.mark.parametrize("kind", ["score"])
def test_kills_at_random_moments(kind: str, tmp_path: Path) -> None:
    assert kills(tmp_path, kind, 3, random.Random(5)) <= 3


@pytest.mark.faults
@pytest.mark.skipif(os.name == "nt", reason="signals are POSIX's")
@pytest.mark.parametrize("kind", FILES)
def test_many_kills_at_random_moments(kind: str, tmp_path: Path) -> None:
    strays = kills(tmp_path, kind, 50, random.Random(6))
    print(f"{kind}: 50 kills, 0 files lost, {strays} times a stray, swept")
