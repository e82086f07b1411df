"""The one writer: every file of the user is written here, whole or not at all.

A temporary file in the same folder is written, flushed to the disc and then put in the place of the old one.
Whatever fails on the way, and even if the process is killed, the old or the new file is there, whole.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import platform
import re
import secrets
import stat
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from core.errors import ReadError, WriteError
from core.errors import printable as printable

BACKUP_SUFFIX = ".as-opened"
_LONGEST_NAME = 255  # bytes, on every common file system

_SENTENCES = {
    errno.EACCES: ("you may not write here", "Choose another folder, or ask for the right to write there."),
    errno.EPERM: ("you may not write here", "Choose another folder, or ask for the right to write there."),
    errno.EROFS: ("this place can only be read", "Choose another folder."),
    errno.ENOSPC: ("the disc is full", "Make room, or choose another disc."),
    errno.EDQUOT: ("your share of the disc is used up", "Make room, or choose another disc."),
    errno.EFBIG: ("the file is larger than this place allows", "Choose another folder."),
    errno.ENAMETOOLONG: ("the name is too long", "Choose a shorter one."),
    errno.ENOENT: ("there is no such folder", "Make the folder first, or choose another."),
    errno.ENOTDIR: ("a part of this path is a file, not a folder", "Choose another folder."),
    errno.EISDIR: ("this is a folder, not a file", "Add a file name to it."),
    errno.ELOOP: ("this link leads back to itself", "Choose the file that is meant."),
}


@dataclass(frozen=True, slots=True)
class FileStamp:
    """What a file held when it was read or written, to notice a change beneath us."""

    size: int
    digest: str

    @classmethod
    def of(cls, data: bytes) -> FileStamp:
        """The stamp of a file with this content."""
        return cls(len(data), hashlib.sha256(data).hexdigest())


ABSENT = FileStamp(-1, "")
"""The stamp of a file that was not there."""


def _create(path: str) -> int:
    return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)


def _sync_folder(path: str) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _read(path: str, most: int = -1) -> bytes:
    with Path(path).open("rb") as stream:
        return stream.read(most)


def _append_to(path: str) -> int:
    return os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)


def _change_owner(path: str, user: int, group: int) -> None:
    if hasattr(os, "chown"):
        os.chown(path, user, group)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileOperations:
    """What the writer does to the disc, one function each, so that a test can let any of them fail."""

    status: Callable[[str], os.stat_result] = os.stat
    read: Callable[..., bytes] = _read
    names: Callable[[str], list[str]] = os.listdir
    create: Callable[[str], int] = _create
    append_to: Callable[[str], int] = _append_to
    write: Callable[[int, memoryview], int] = os.write
    sync: Callable[[int], None] = os.fsync
    close: Callable[[int], None] = os.close
    change_owner: Callable[[str, int, int], None] = _change_owner
    change_mode: Callable[[str, int], None] = os.chmod
    replace: Callable[[str, str], None] = os.replace
    sync_folder: Callable[[str], None] = _sync_folder
    remove: Callable[[str], None] = os.unlink


REAL = FileOperations()


def write_bytes(
    path: str | Path,
    data: bytes,
    *,
    expected: FileStamp | None = None,
    backup: bool = False,
    private: bool = False,
    operations: FileOperations = REAL,
) -> FileStamp:
    """Write a file whole or not at all, and return the stamp of what it now holds.

    Its mode is kept, its owner where that can be had; a symbolic link stays one.

    Args:
        path: the file; its folder must be there.
        data: the new content.
        expected: what the file held when it was last read or written; if it holds something else by now,
            it is not overwritten. `ABSENT`: no file may be there. None: whatever is there is overwritten.
        backup: keep what is there now beside it, as ``NAME.as-opened``.
        private: nobody else may read it (a new file's mode is else the usual one).
        operations: what touches the disc.

    Raises:
        WriteError: nothing was changed; says why.
    """
    try:
        target = os.path.realpath(path)
        old = _status(target, operations)
        if old is not None and not stat.S_ISREG(old.st_mode):
            folder = stat.S_ISDIR(old.st_mode)
            raise _refusal(path, "this is a folder" if folder else "this is no ordinary file")
        sweep(Path(target).parent, operations=operations)
        temporary = _write_temporary(target, data, old, operations, private=private)
        try:
            if old is not None and (backup or expected is not None):
                present = operations.read(target)
                _check_unchanged(path, present, expected)
                if backup:
                    _keep_backup(target, present, old, operations)
            operations.replace(temporary, target)
        except BaseException:
            _remove(temporary, operations)
            raise
    except OSError as error:
        raise _sentence(path, error) from error
    except ValueError as error:  # a name that no file can have
        raise _refusal(path, "no file can have this name") from error
    # What it holds is on the disc; a file system that cannot flush a folder's list has lost nothing.
    with contextlib.suppress(OSError):
        operations.sync_folder(str(Path(target).parent))
    return FileStamp.of(data)


def is_there(path: str | Path) -> bool:
    """Whether there is anything of this name; False where no file can have it."""
    try:
        return os.path.lexists(path)
    except (OSError, ValueError):
        return False


def make_folder(path: str | Path, *, private: bool = False) -> None:
    """Make a folder, and those above it, where it is not there yet. Raises WriteError."""
    try:
        Path(path).mkdir(parents=True, exist_ok=True, mode=0o700 if private else 0o777)
    except OSError as error:
        raise _sentence(path, error) from error
    except ValueError as error:
        raise _refusal(path, "no folder can have this name") from error


def read_bytes(path: str | Path, *, limit: int, operations: FileOperations = REAL) -> tuple[bytes, FileStamp]:
    """The content of an ordinary file of at most `limit` bytes, with its stamp.

    Raises:
        ReadError: it is not there, no ordinary file, too large, or may not be read.
    """
    try:
        status = operations.status(str(path))
        if not stat.S_ISREG(status.st_mode):
            raise ReadError("this is no ordinary file", path=printable(path), remedy="Name a file.")
        if status.st_size > limit:
            raise _too_large(path, limit)
        data = operations.read(str(path), limit + 1)
        if len(data) > limit:  # it grew, or is of a kind that tells no size
            raise _too_large(path, limit)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        problem = f"this file cannot be read ({reason})"
        raise ReadError(problem, path=printable(path), remedy="Check its name.") from error
    return data, FileStamp.of(data)


def read_text(path: str | Path, *, limit: int) -> tuple[str, FileStamp]:
    """The text of a file in UTF-8, with or without its mark. Raises ReadError."""
    data, stamp = read_bytes(path, limit=limit)
    try:
        return data.decode("utf-8-sig"), stamp
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise ReadError("the text is not UTF-8", path=path, line=line, remedy="Save it as UTF-8.") from error


class Appended:
    """A file of ours that grows line by line; what was added stays, whatever becomes of this process.

    Raises:
        WriteError: it cannot be opened.
    """

    def __init__(self, path: str | Path, operations: FileOperations = REAL) -> None:
        self._path = path
        self._operations = operations
        try:
            self._descriptor = operations.append_to(str(path))
        except OSError as error:
            raise _sentence(path, error) from error
        except ValueError as error:
            raise _refusal(path, "no file can have this name") from error

    def add(self, data: bytes) -> None:
        """Add to its end. Raises WriteError: perhaps only a part was added."""
        rest = memoryview(data)
        try:
            while rest:
                rest = rest[self._operations.write(self._descriptor, rest) :]
        except OSError as error:
            problem, remedy = _SENTENCES.get(error.errno or 0, (error.strerror or "it could not be written", ""))
            remedy = f"{remedy} What was written before is kept.".strip()
            raise WriteError(problem, path=printable(self._path), remedy=remedy) from error

    def close(self) -> None:
        """Nothing more is added."""
        with contextlib.suppress(OSError):
            self._operations.close(self._descriptor)


def backup_path(path: str | Path) -> Path:
    """Where the backup of a file is kept."""
    file = Path(os.path.realpath(path))
    name = os.fsencode(file.name)
    room = _LONGEST_NAME - len(BACKUP_SUFFIX)
    shortened = name[:room].decode("utf-8", "ignore") if len(name) > room else file.name
    return file.with_name(shortened + BACKUP_SUFFIX)


def sweep(folder: str | Path, *, operations: FileOperations = REAL) -> list[Path]:
    """Remove temporary files that a killed process of ours left in a folder; returns those removed."""
    try:
        names = operations.names(str(folder))
    except OSError:
        return []
    removed = []
    for name in names:
        found = _STRAY.fullmatch(name)
        if found and _is_abandoned(found["host"], int(found["pid"])):
            stray = Path(folder) / name
            with contextlib.suppress(OSError):
                operations.remove(str(stray))
                removed.append(stray)
    return removed


_HOST = hashlib.sha256(platform.node().encode()).hexdigest()[:8]
_STRAY = re.compile(r"\.stopwright-(?P<host>[0-9a-f]{8})-(?P<pid>[0-9]{1,10})-[0-9a-f]{12}\.tmp")


def _is_abandoned(host: str, pid: int) -> bool:
    """Whether the process that wrote a temporary file is gone, as far as can be known from here."""
    if host != _HOST or pid == os.getpid() or os.name == "nt":  # on Windows asking would end the process
        return False
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _status(target: str, operations: FileOperations) -> os.stat_result | None:
    try:
        return operations.status(target)
    except FileNotFoundError:
        return None


def _write_temporary(
    target: str, data: bytes, old: os.stat_result | None, operations: FileOperations, *, private: bool = False
) -> str:
    """A flushed temporary file beside the target with its content, owner and mode; returns its path."""
    name = f".stopwright-{_HOST}-{os.getpid()}-{secrets.token_hex(6)}.tmp"
    temporary = str(Path(target).with_name(name))
    descriptor = operations.create(temporary)
    try:
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[operations.write(descriptor, rest) :]
            operations.sync(descriptor)
        finally:
            operations.close(descriptor)
        if not private:  # as it was created: for its owner alone
            _keep_owner_and_mode(temporary, old, operations)
    except BaseException:
        _remove(temporary, operations)
        raise
    return temporary


def _keep_owner_and_mode(temporary: str, old: os.stat_result | None, operations: FileOperations) -> None:
    if old is not None and hasattr(os, "getuid"):
        with contextlib.suppress(OSError):  # only the superuser may give files away
            operations.change_owner(temporary, old.st_uid, old.st_gid)
    mode = stat.S_IMODE(old.st_mode) if old is not None else 0o666 & ~_umask()
    try:
        operations.change_mode(temporary, mode)
    except OSError as error:
        if error.errno not in (errno.EPERM, errno.ENOTSUP):  # a file system without modes
            raise


def _umask() -> int:
    """The process's mask for new files. Reading it means setting it: to the strictest, for a moment."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def _check_unchanged(path: str | Path, present: bytes, expected: FileStamp | None) -> None:
    if expected is None or FileStamp.of(present) == expected:
        return
    problem = (
        "another program has written a file here"
        if expected == ABSENT
        else ("this file was changed on the disc since it was opened")
    )
    remedy = "It was not overwritten: save under another name, or open it again."
    raise WriteError(problem, path=printable(path), remedy=remedy)


def _keep_backup(target: str, present: bytes, old: os.stat_result, operations: FileOperations) -> None:
    temporary = _write_temporary(target, present, old, operations)
    try:
        operations.replace(temporary, str(backup_path(target)))
    except BaseException:
        _remove(temporary, operations)
        raise


def _remove(temporary: str, operations: FileOperations) -> None:
    with contextlib.suppress(OSError):
        operations.remove(temporary)


def _too_large(path: str | Path, limit: int) -> ReadError:
    size = f"{limit // 1_000_000} MB" if limit >= 1_000_000 else f"{limit:,} bytes"
    return ReadError(f"this file is larger than {size}", path=printable(path), remedy="Is it the right file?")


def _refusal(path: str | Path, problem: str) -> WriteError:
    return WriteError(problem, path=printable(path), remedy="Choose another name.")


def _sentence(path: str | Path, error: OSError) -> WriteError:
    number = error.errno or 0
    problem, remedy = _SENTENCES.get(number, (error.strerror or "the file could not be written", ""))
    remedy = f"{remedy} Nothing was changed.".strip()
    return WriteError(problem, path=printable(path), remedy=remedy)
