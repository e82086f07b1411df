"""What there is to do: the scores that paths name, each with the organs it is checked on."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from core import __version__
from core.errors import ReadError
from core.files import printable, read_bytes

_SCORES = (".musicxml", ".mxl", ".xml")
_ORGANS = (".yaml", ".yml", ".txt")
_LIST_BYTES = 16 * 2**20
_NOTES = ".stopwright.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One score on some organs.

    Attributes:
        organs: paths of specifications or plain stop lists; () checks what needs no organ.
        language: of the markings, where it is told.
    """

    score: str
    organs: tuple[str, ...] = ()
    language: str | None = None


def find_scores(paths: Sequence[str]) -> tuple[str, ...]:
    """Scores that paths name: files, folders with all below them, and ``@LIST``, a file with a path a line.

    Raises:
        ReadError: a path is not there, or nothing is found.
    """
    found = tuple(dict.fromkeys(_each(paths, _SCORES)))
    if not found:
        raise ReadError(
            "no score was found", path=", ".join(map(printable, paths)), remedy="Scores end in .musicxml, .mxl or .xml."
        )
    return found


def find_organs(paths: Sequence[str]) -> tuple[str, ...]:
    """Organs that paths name, in the same ways. Raises ReadError."""
    return tuple(dict.fromkeys(p for p in _each(paths, _ORGANS) if not p.endswith(_NOTES)))


def _each(paths: Sequence[str], endings: tuple[str, ...]) -> Iterator[str]:
    for path in paths:
        if path.startswith("@"):
            yield from _each(_listed(path[1:]), endings)
        elif Path(path).is_dir():
            yield from _below(path, endings)
        elif Path(path).exists():
            yield path
        else:
            raise ReadError("there is no such file or folder", path=printable(path), remedy="Check its name.")


def _below(folder: str, endings: tuple[str, ...]) -> Iterator[str]:
    """Files of a folder in a steady order; links to folders are not followed, so that none is walked in a ring."""
    for here, folders, files in os.walk(folder):
        folders.sort()
        for name in sorted(files):
            if name.lower().endswith(endings) and not name.startswith("."):
                yield str(Path(here, name))


def _listed(path: str) -> list[str]:
    """Paths of a list, from its own folder; empty lines and such as begin with # are left out."""
    data, _ = read_bytes(path, limit=_LIST_BYTES)
    folder = Path(path).parent
    lines = (line.strip() for line in data.decode("utf-8", errors="surrogateescape").splitlines())
    return [str(folder / line) for line in lines if line and not line.startswith("#")]


def key_of(job: Job) -> str:
    """What tells whether a job was done already: the files as they are now, and the program's version."""
    stamps = []
    for path in (job.score, *job.organs):
        try:
            status = Path(path).stat()
            stamps.append(f"{path}|{status.st_size}|{status.st_mtime_ns}")
        except OSError:
            stamps.append(f"{path}|absent")
    return "\n".join([__version__, job.language or "", *stamps])
