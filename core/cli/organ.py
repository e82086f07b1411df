"""``stopwright organ read FILE``, ``show``, ``page`` and ``colours SPEC``: stop lists and specifications."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from core.cli import colours, organ_page
from core.cli.output import EXIT_DONE, print_json, warn
from core.errors import OrganError
from core.files import write_bytes
from core.organ.contract import organ_to_json
from core.organ.reading import MAX_BYTES, decode, is_specification, load_organ, read_file, read_list

_READ = """Turns a stop list, as pasted from a booklet or a web page, into a specification (YAML) that you can
check and complete. Lines that nothing was read from, and readings that may be wrong, are named on
standard error."""
_SHOW = """Shows an organ: its manuals, stops, couplers and aids, what is assumed where the file is silent,
and what each division can answer."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The parts of the command and their options."""
    parts = parser.add_subparsers(dest="part", metavar="read|show|page|colours", required=True)
    read = parts.add_parser("read", help="a plain stop list to a specification", description=_READ)
    read.add_argument("file", metavar="FILE", help="the list, plain text; - for standard input")
    read.add_argument("-o", "--output", metavar="OUT", help="write the specification here")
    read.add_argument("--json", action="store_true", help="print what was read as JSON")
    show = parts.add_parser("show", help="an organ as an organist would describe it", description=_SHOW)
    show.add_argument("spec", metavar="SPEC", help="a specification (YAML) or a plain stop list")
    show.add_argument("--json", action="store_true", help="print the organ as JSON")
    book = parts.add_parser("colours", help="the colours an organ can make", description=colours.DESCRIPTION)
    colours.add_arguments(book)
    page = parts.add_parser("page", help="the specification page, for print", description=organ_page.DESCRIPTION)
    organ_page.add_arguments(page)


def run(arguments: argparse.Namespace) -> int:
    """Run `organ read`, `organ show`, `organ page` or `organ colours`."""
    if arguments.part == "colours":
        return colours.run(arguments)
    if arguments.part == "page":
        return organ_page.run(arguments)
    return _read(arguments) if arguments.part == "read" else _show(arguments)


def _read(arguments: argparse.Namespace) -> int:
    path = "standard input" if arguments.file == "-" else arguments.file
    source = sys.stdin.buffer.read(MAX_BYTES + 1) if arguments.file == "-" else read_file(path)
    text = decode(source, path)
    if is_specification(text, path):
        raise OrganError(
            "this is a specification already", path=path, remedy=f"See it with: stopwright organ show {path}"
        )
    reading = read_list(text, path)
    if arguments.output or not arguments.json:
        from core.organ.writing import write_organ

        specification = write_organ(reading.organ)
        if arguments.output:
            write_bytes(arguments.output, specification.encode("utf-8"))
        else:
            sys.stdout.write(specification)
    if arguments.json:
        print_json("organ read", organ_to_json(reading.organ, reading.unread, reading.doubts))
    else:
        for item in reading.left_over:
            warn(f"line {item.line} was not read: {item.text}")
        for doubt in reading.doubts:
            warn(f"line {doubt.line}: {doubt.text}")
    return EXIT_DONE


def _show(arguments: argparse.Namespace) -> int:
    from core.organ.summary import abilities, summary

    path = Path(arguments.spec)
    text = decode(read_file(path), path)
    if arguments.json and not is_specification(text, path):
        reading = read_list(text, path)
        shown = organ_to_json(reading.organ, reading.unread, reading.doubts)
        print_json("organ show", {**shown, "abilities": abilities(reading.organ)})
        return EXIT_DONE
    organ = load_organ(path)
    if arguments.json:
        print_json("organ show", {**organ_to_json(organ), "abilities": abilities(organ)})
    else:
        sys.stdout.write(summary(organ))
    return EXIT_DONE
