"""The results file: a JSON line for each job done, appended as it is done, so that a run can be taken up again."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

from core.batch.work import Row
from core.errors import ReadError, WriteError
from core.files import printable


class Ledger:
    """Results on the disc. A line that was cut off by a crash is passed over and written again."""

    def __init__(self, path: str | Path) -> None:
        self._path = Path(path)
        self._done: dict[str, list[Row]] = {}
        self._file: int | None = None

    def __enter__(self) -> Ledger:
        self._done = dict(_read(self._path))
        try:
            self._file = os.open(self._path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
        except OSError as error:
            raise WriteError(
                f"the results cannot be written ({error.strerror})",
                path=printable(self._path),
                remedy="Choose another place.",
            ) from error
        if _is_cut_off(self._path):
            os.write(self._file, b"\n")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._file is not None:
            os.close(self._file)
            self._file = None

    def rows_of(self, key: str) -> list[Row] | None:
        """The rows of a job done before, or None."""
        return self._done.get(key)

    def add(self, key: str, rows: list[Row]) -> None:
        """Write a job's rows down; on return they are with the system, whatever becomes of this process."""
        assert self._file is not None
        line = json.dumps({"key": key, "rows": rows}, ensure_ascii=True) + "\n"
        try:
            data = line.encode("ascii")
            while data:
                data = data[os.write(self._file, data) :]
        except OSError as error:
            raise WriteError(
                f"the results cannot be written ({error.strerror})",
                path=printable(self._path),
                remedy="Make room, and call it again: what is done is kept.",
            ) from error


def _read(path: Path) -> Iterator[tuple[str, list[Row]]]:
    if not path.exists():
        return
    try:
        text = path.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        raise ReadError(f"the results cannot be read ({error.strerror})", path=printable(path)) from error
    lines = text.splitlines()
    understood = 0
    for line in lines:
        try:
            entry = json.loads(line)
            yield str(entry["key"]), list(entry["rows"])
            understood += 1
        except (ValueError, KeyError, TypeError):
            continue
    if lines and not understood:
        raise ReadError(
            "this is no results file of ours", path=printable(path), remedy="Name a new file; it would be added to."
        )


def _is_cut_off(path: Path) -> bool:
    with path.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        if not size:
            return False
        file.seek(size - 1)
        return file.read(1) != b"\n"
