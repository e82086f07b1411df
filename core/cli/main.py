"""The command line: ``stopwright COMMAND …``. Each command is a module of its own, imported when called."""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from core import __version__
from core.cli.output import EXIT_INTERRUPTED, EXIT_UNUSABLE, Door, refuse_losses, warn
from core.errors import StopwrightError

COMMANDS: dict[str, tuple[str, str]] = {
    "read": ("core.cli.read", "read registration markings, without an organ"),
    "draw": ("core.cli.draw", "what a marking draws on an organ, and why"),
    "organ": ("core.cli.organ", "turn a plain stop list into a specification; show one"),
    "score": ("core.cli.score", "what was read from a score file"),
    "plan": ("core.cli.plan", "the registration in force, step by step"),
    "check": ("core.cli.check", "what will not work, what somebody must decide"),
    "needs": ("core.cli.needs", "what a piece demands of any organ"),
    "sheet": ("core.cli.sheet", "the registration sheet of a piece for one organ"),
    "batch": ("core.cli.batch", "check many scores on several organs in one call"),
    "pistons": ("core.cli.pistons", "the fewest combinations that play a programme, and where each is pressed"),
    "compare": ("core.cli.compare", "the same piece on several organs: what each has, lacks and substitutes, ranked"),
    "report": ("core.cli.report", "the proof report, with queries to the author numbered once and for all"),
    "diff": ("core.cli.diff", "the registration of two files of one piece compared"),
    "style": ("core.cli.style", "the built-in house styles; one of them as a file to copy and change"),
    "engrave": ("core.cli.engrave", "the score on paper, as PDF or SVG, with or without its findings"),
    "mark": ("core.cli.mark", "write the marked-up score; nothing else in it changes"),
    "open": ("core.cli.open", "open a score and organs in the window"),
    "demo": ("core.cli.demo", "the built-in piece on a built-in organ: findings, then the window"),
}

SHOW_FAULTS = "STOPWRIGHT_SHOW_FAULTS"
"""Set in the environment: a fault of the program is shown whole, for those who mend it."""

DESCRIPTION = """Reads the registration markings of an organ score (MusicXML), answers them with the stops of
a given organ, and shows what will not work there."""


def _overview() -> str:
    lines = ["commands:"]
    lines += [f"  {name:<8} {summary}" for name, (_, summary) in COMMANDS.items()]
    lines += ["", "Every command has a --help of its own, and --json for programs."]
    return "\n".join(lines)


def main(argv: Sequence[str] | None = None, doors: Mapping[str, Door] | None = None) -> int:
    """Run one command and return its exit status.

    Args:
        argv: the words after ``stopwright``; the process's own where None.
        doors: commands and parts of commands that need the window's toolkit, by name.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    words = list(sys.argv[1:] if argv is None else argv)
    parser = argparse.ArgumentParser(
        prog="stopwright",
        description=DESCRIPTION,
        epilog=_overview(),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        add_help=True,
    )
    parser.add_argument("--version", action="version", version=f"stopwright {__version__}")
    parser.add_argument("command", metavar="COMMAND", choices=list(COMMANDS), help="one of the commands below")
    if not words:
        parser.print_help()
        return 0
    chosen = parser.parse_args(words[:1]).command
    module = importlib.import_module(COMMANDS[chosen][0])
    command_parser = argparse.ArgumentParser(prog=f"stopwright {chosen}", description=COMMANDS[chosen][1])
    module.add_arguments(command_parser)
    try:
        arguments = command_parser.parse_args(words[1:])
        arguments.doors = dict(doors or {})
        refuse_losses(chosen, arguments)
        status = int(module.run(arguments))
        sys.stdout.flush()
        return status
    except StopwrightError as error:
        warn(f"stopwright: {error}")
        return EXIT_UNUSABLE
    except KeyboardInterrupt:
        return EXIT_INTERRUPTED
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as error:
        if os.environ.get(SHOW_FAULTS):
            raise
        warn(f"stopwright: {_told(error)}")
        _drop_output()
        return EXIT_UNUSABLE


def _told(error: Exception) -> str:
    """A sentence for what nobody foresaw; where it was is for the makers."""
    if isinstance(error, OSError):
        return f"what was to be printed or read could not be ({error.strerror or error}); nothing was written over"
    if isinstance(error, MemoryError):
        return "there is not enough memory for this; divide the piece into movements"
    import traceback

    frame = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{type(error).__name__} in {Path(frame.filename).name}, line {frame.lineno}"
    return (
        f"something went wrong in the program ({place}). Your files are as they were; please send the makers this line "
        "and what you called it with"
    )


def _drop_output() -> None:
    """Let nothing half printed be flushed at the end, where it would fail again."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.__stdout__.fileno() if sys.__stdout__ else 1)
        os.close(nowhere)
