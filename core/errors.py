"""The errors a user may meet. This module imports nothing of the project.

StopwrightError
├── ReadError       the input cannot be used (exit status 2)
│   ├── ScoreError
│   ├── OrganError  may carry many problems at once
│   └── NotesError
├── EditError       an edit does not fit the document
├── WriteError      a file could not be written; the old one is whole
└── UsageError      the command line's words are off
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


def printable(path: object) -> str:
    """A file's name for a sentence: on one line, whatever the name holds, and not endless."""
    text = "".join(c if c.isprintable() else repr(c)[1:-1] for c in str(path))
    return text if len(text) <= 200 else f"{text[:120]}…{text[-60:]}"


class StopwrightError(Exception):
    """Something a user can mend; its text names the file, the place, the fault and the remedy."""

    def __init__(
        self,
        problem: str,
        *,
        path: str | Path | None = None,
        line: int | None = None,
        where: str | None = None,
        remedy: str | None = None,
    ) -> None:
        super().__init__(problem)
        self.problem = problem
        self.path = str(path) if path is not None else None
        self.line = line
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        place = printable(self.path) if self.path else ""
        if self.line is not None:
            place += f", line {self.line}" if place else f"line {self.line}"
        if self.where:
            place += f", {self.where}" if place else self.where
        text = f"{place}: {self.problem}" if place else self.problem
        if self.remedy:
            text = f"{text.rstrip('.')}. {self.remedy}"
        return text


class ReadError(StopwrightError):
    """The input cannot be used at all."""


class ScoreError(ReadError):
    """A score file cannot be read."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of a specification file: where it stands and what to write instead."""

    line: int | None
    where: str
    problem: str
    remedy: str = ""

    def __str__(self) -> str:
        place = f"line {self.line}, {self.where}" if self.line else self.where
        return f"{place}: {self.problem}" + (f". {self.remedy}" if self.remedy else "")


class OrganError(ReadError):
    """A specification or stop list cannot be read; `problems` lists all its faults at once."""

    def __init__(
        self,
        problem: str,
        *,
        problems: tuple[Problem, ...] = (),
        path: str | Path | None = None,
        line: int | None = None,
        where: str | None = None,
        remedy: str | None = None,
    ) -> None:
        super().__init__(problem, path=path, line=line, where=where, remedy=remedy)
        self.problems = problems

    def __str__(self) -> str:
        first = super().__str__()
        return "\n".join([first, *(f"  {p}" for p in self.problems)])


class NotesError(ReadError):
    """The notes file beside a score cannot be read."""


class EditError(StopwrightError):
    """An edit does not fit the document it is applied to."""


class WriteError(StopwrightError):
    """A file could not be written; what stood there before is whole."""


class UsageError(StopwrightError):
    """The command line was not understood."""
