"""``stopwright read``: read registration markings, without an organ."""

from __future__ import annotations

import argparse
from typing import Any

from core.cli.output import EXIT_DONE, print_json
from core.cli.words import add_words_argument, words_named
from core.errors import UsageError
from core.files import read_text
from core.markings.contract import reading_to_json
from core.markings.model import Reading
from core.markings.reading import read_marking

_MAX_BYTES = 64 * 2**20


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's words."""
    parser.add_argument("text", nargs="*", metavar="TEXT", help="a marking, quoted: 'Sw. soft 8 & 4 ft.'")
    parser.add_argument(
        "--file", metavar="F", help=r"read one marking a line; \n in it is a line break, \\ a backslash"
    )
    parser.add_argument("--language", choices=("en", "fr", "de", "it", "es", "nl", "la"), help="the piece's language")
    parser.add_argument("--explain", action="store_true", help="show how each word was read")
    parser.add_argument("--write", metavar="STYLE", help="write it again in a house style: en, en-full, fr, de, it …")
    parser.add_argument("--style", metavar="FILE", help="write it again in a house style of your own (YAML)")
    add_words_argument(parser)
    parser.add_argument("--json", action="store_true", help="for programs: one JSON document")


def run(arguments: argparse.Namespace) -> int:
    """Read the markings named on the command line or in a file."""
    texts = list(arguments.text)
    if arguments.file is not None:
        texts += lines_of(arguments.file)
    elif not texts:
        raise UsageError("no marking was given", remedy="Write one after the command, or name a file with --file")
    words = words_named(arguments)
    readings = [read_marking(text, hint=arguments.language, user_words=words) for text in texts]
    written = written_again(readings, arguments.style or arguments.write)
    if arguments.json:
        print_json("read", {"readings": [{**reading_to_json(r), **w} for r, w in zip(readings, written, strict=True)]})
        return EXIT_DONE
    for reading, again in zip(readings, written, strict=True):
        print(as_text(reading, explain=arguments.explain))
        if again:
            print(f"  written: {again['written']}")
            if not again["written_exact"]:
                print("  (no wording was found that reads back to the same)")
            if again["written_without"]:
                print(f"  (left out: {', '.join(again['written_without'])})")
    return EXIT_DONE


def written_again(readings: list[Reading], style_name: str | None) -> list[dict[str, Any]]:
    """For each reading ``written``, ``written_exact`` and ``written_without``; nothing where no style is named."""
    if style_name is None:
        return [{} for _ in readings]
    from core.markings.house_style import read_style
    from core.markings.wording import write_reading

    style = read_style(style_name)
    made = [write_reading(reading, style) for reading in readings]
    return [{"written": one.text, "written_exact": one.exact, "written_without": list(one.left_out)} for one in made]


def lines_of(path: str) -> list[str]:
    """The markings of a file, one a line, their escapes resolved."""
    content, _ = read_text(path, limit=_MAX_BYTES)
    lines = content.replace("\r\n", "\n").split("\n")
    if lines and lines[-1] == "":
        lines.pop()
    return [unescape(line) for line in lines]


def unescape(line: str) -> str:
    r"""The marking that a line stands for: ``\n`` is a line break, ``\\`` a backslash."""
    parts = line.split("\\\\")
    return "\\".join(part.replace("\\n", "\n") for part in parts)


def as_text(reading: Reading, *, explain: bool) -> str:
    """A reading for people."""
    from core.markings.explaining import instruction_in_words

    lines = [f"{reading.text!r} ({reading.language}, {reading.kind.value})"]
    lines += [f"  {instruction_in_words(one)}" for one in reading.instructions]
    if reading.unread:
        lines.append("  not understood: " + ", ".join(one.text for one in reading.unread))
    if reading.ambiguous:
        lines.append("  another reading is as good")
    if explain:
        lines += [f"    {reading.text[n.span.start : n.span.end]!r} → {n.meaning}" for n in reading.words]
    return "\n".join(lines)
