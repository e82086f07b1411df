"""What every command shares: printing JSON, reading an organ or a score named on the command line."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from typing import Any

from core import __version__

EXIT_DONE = 0
EXIT_FINDINGS = 1
EXIT_UNUSABLE = 2
EXIT_INTERRUPTED = 130

FAIL_ON = ("error", "warning", "advice", "never")
_RANK = {"advice": 0, "warning": 1, "error": 2}


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
