"""What every command shares: printing JSON, reading an organ or a score named on the command line."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from core import __version__
from core.errors import UsageError, printable

EXIT_DONE = 0
EXIT_FINDINGS = 1
EXIT_UNUSABLE = 2
EXIT_INTERRUPTED = 130

FAIL_ON = ("error", "warning", "advice", "never")
_RANK = {"advice": 0, "warning": 1, "error": 2}


_WRITTEN = ("output", "csv", "write", "front_page", "results")
_READ = ("score", "scores", "former", "later", "organ", "organs", "spec", "file", "words", "style", "notes", "keep")
_ONTO_ITSELF = {("mark", "output", "score"), ("pistons", "write", "scores")}
"""A marked score may take the place of the one it was made from, which is then kept as ``NAME.as-opened``."""


def refuse_losses(command: str, arguments: argparse.Namespace) -> None:
    """Refuse to write over what is read, and two things into one file, before anything is done. Raises UsageError."""
    written = [(name, path) for name in _WRITTEN for path in _paths(arguments, name)]
    for number, (option, output) in enumerate(written):
        for name in _READ:
            onto_itself = (command, option, name) in _ONTO_ITSELF
            for path in () if onto_itself else _paths(arguments, name):
                if _is_same(output, path):
                    raise UsageError(f"{printable(output)} is read here, so it is not written over", remedy=_OTHER)
        if any(_is_same(output, other) for _, other in written[:number]):
            raise UsageError(f"{printable(output)} cannot hold two things", remedy=_OTHER)


_OTHER = "Choose another name."


def _paths(arguments: argparse.Namespace, name: str) -> Iterator[str]:
    value = getattr(arguments, name, None)
    for one in value if isinstance(value, list) else [value]:
        if isinstance(one, str) and one not in ("", "-"):
            yield one


def _is_same(one: str, other: str) -> bool:
    try:
        return Path(one).resolve() == Path(other).resolve() or Path(one).samefile(other)
    except (OSError, ValueError, RuntimeError):
        return False


def print_json(command: str, content: dict[str, Any]) -> None:
    """Print the one JSON document of a command on standard output."""
    document = {"stopwright": __version__, "command": command, **content}
    sys.stdout.write(json.dumps(document, ensure_ascii=False) + "\n")


def exit_status(levels: Iterable[str], fail_on: str = "error") -> int:
    """1 where a finding stands at or above `fail_on`, else 0."""
    if fail_on == "never":
        return EXIT_DONE
    return EXIT_FINDINGS if any(_RANK[level] >= _RANK[fail_on] for level in levels) else EXIT_DONE


def warn(text: str) -> None:
    """A line on standard error."""
    sys.stderr.write(text.rstrip("\n") + "\n")


Door = Callable[..., int]
"""A command that needs Qt, handed in by app.main: called with its arguments, returns an exit status."""
