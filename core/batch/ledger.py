"""The results file: a JSON line for each job done, appended as it is done, so that a run can be taken up again."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

from core.batch.work import DONE, FAILED, REFUSED, Row
from core.errors import ReadError
from core.files import REAL, Appended, FileOperations, printable, read_bytes
from core.findings import Level

MAX_BYTES = 2**30
"""A catalogue of 10,000 scores on ten organs leaves some 100 MB."""
_BEGINNING = b'{"key": '


class Ledger:
    """Results on the disc. A line that was cut off by a crash is passed over and written again."""

    def __init__(self, path: str | Path, operations: FileOperations = REAL) -> None:
        self._path = Path(path)
        self._operations = operations
        self._done: dict[str, list[Row]] = {}
        self._file: Appended | None = None

    def __enter__(self) -> Ledger:
        data = read_bytes(self._path, limit=MAX_BYTES)[0] if os.path.lexists(self._path) else b""
        self._done = dict(_rows_in(data, self._path))
        self._file = Appended(self._path, self._operations)
        if data and not data.endswith(b"\n"):
            self._file.add(b"\n")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None

    def rows_of(self, key: str) -> list[Row] | None:
        """The rows of a job done before, or None."""
        return self._done.get(key)

    def add(self, key: str, rows: list[Row]) -> None:
        """Write a job's rows down; on return they are with the system, whatever becomes of this process."""
        assert self._file is not None
        line = json.dumps({"key": key, "rows": rows}, ensure_ascii=True) + "\n"
        self._file.add(line.encode("ascii"))


def _rows_in(data: bytes, path: Path) -> Iterator[tuple[str, list[Row]]]:
    lines = data.decode("utf-8", errors="replace").splitlines()
    understood = 0
    for line in lines:
        try:
            entry = json.loads(line)
            key, rows = entry["key"], entry["rows"]
            if not isinstance(key, str) or not isinstance(rows, list) or not all(map(_is_row, rows)):
                continue
            yield key, rows
            understood += 1
        except (ValueError, KeyError, TypeError, RecursionError):
            continue
    if lines and not understood and not data.startswith(_BEGINNING[: len(data)]):  # the first line may be cut off
        raise ReadError(
            "this is no results file of ours", path=printable(path), remedy="Name a new file; it would be added to."
        )


def _is_row(row: object) -> bool:
    """Whether it is a row as `core.batch.work` makes them, so that whoever shows it need not ask again."""
    if not isinstance(row, dict) or not isinstance(row.get("score"), str):
        return False
    if "organ" not in row or not isinstance(row["organ"], str | None):
        return False
    if row.get("status") != DONE:
        return row.get("status") in (REFUSED, FAILED) and "why" in row
    counts, levels = row.get("counts"), {level.value for level in Level}
    if not isinstance(counts, dict) or not {"markings", "unread"} <= row.keys():
        return False
    return all(level in levels and type(count) is int for level, count in counts.items())
