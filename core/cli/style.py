"""``stopwright style``: the built-in house styles, and one of them as a file to be copied and changed."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.cli.output import EXIT_DONE, print_json
from core.errors import UsageError
from core.files import write_bytes
from core.markings.house_style import BUILT_IN, read_style, style_text
from core.organ.yaml_fields import suggestion


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's words."""
    parser.add_argument("name", nargs="?", metavar="STYLE", help="a built-in style; without one, all are listed")
    parser.add_argument("-o", "--output", metavar="FILE", help="write it to a file, which must not be there yet")
    parser.add_argument("--json", action="store_true", help="for programs: one JSON document")


def run(arguments: argparse.Namespace) -> int:
    """List the built-in styles, or print one of them, or write it to a file."""
    if arguments.name is None:
        return _list(arguments)
    if arguments.name not in BUILT_IN:
        remedy = suggestion(arguments.name, BUILT_IN, all_of="Name one of")
        raise UsageError(f"there is no built-in style “{arguments.name}”", remedy=remedy)
    text = style_text(arguments.name)
    if arguments.output is not None:
        path = Path(arguments.output)
        if path.exists():
            raise UsageError(f"{path} is there already", remedy="Name a file that is not there yet")
        write_bytes(path, text.encode("utf-8"), expected=None)
    if arguments.json:
        print_json("style", {"name": arguments.name, "text": text, "file": arguments.output})
    elif arguments.output is None:
        print(text, end="")
    else:
        print(f"{arguments.output}: copied; change what differs, then name it with --style {arguments.output}")
    return EXIT_DONE


def _list(arguments: argparse.Namespace) -> int:
    if arguments.output is not None:
        raise UsageError("no style was named", remedy=f"Name one of {', '.join(BUILT_IN)}")
    styles = [read_style(name) for name in BUILT_IN]
    if arguments.json:
        rows = [
            {"name": one.name, "language": one.language, "title": one.title, "source": one.source} for one in styles
        ]
        print_json("style", {"styles": rows})
    else:
        for one in styles:
            print(f"{one.name:<8} {one.title}")
    return EXIT_DONE
