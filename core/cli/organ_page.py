"""``stopwright organ page ORGAN``: the specification page, as booklets print it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from core.cli.output import EXIT_DONE, Door, print_json
from core.errors import UsageError, WriteError
from core.export.paper import Paper, PaperSize, paper_to_json
from core.files import write_bytes
from core.organ.reading import load_organ

DESCRIPTION = """Prints an organ's specification in the form of organ booklets: the divisions with their stops in
columns, couplers, aids, compasses, footnotes, and what is assumed or not stated. Without -o the page is printed
as plain text."""
_FORMATS = {".html": "html", ".htm": "html", ".pdf": "pdf", ".txt": "text"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `organ page`."""
    parser.add_argument("spec", metavar="ORGAN", help="a specification (YAML) or a plain stop list")
    add_paper_options(parser)
    parser.add_argument("--json", action="store_true", help="print the page's words as JSON")


def add_paper_options(parser: argparse.ArgumentParser) -> None:
    """The options of every command that prints a paper."""
    parser.add_argument("-o", "--output", metavar="FILE", help="write FILE.html, FILE.pdf or FILE.txt, by its ending")
    parser.add_argument(
        "--paper",
        choices=[size.value for size in PaperSize],
        default=PaperSize.A4.value,
        help="the paper that it is printed on (default: a4)",
    )
    parser.add_argument("--large", action="store_true", help="in large print")


def run(arguments: argparse.Namespace) -> int:
    """Print or write the page."""
    from core.export.specification_page import specification_page

    kind = format_of(arguments.output, arguments.spec)
    paper = specification_page(load_organ(arguments.spec), large=arguments.large)
    if arguments.output:
        write_paper(paper, kind, arguments)
    if arguments.json:
        print_json("organ page", {"page": paper_to_json(paper)})
    elif not arguments.output:
        from core.export.plain_text import page_text

        sys.stdout.write(page_text(paper))
    return EXIT_DONE


def format_of(output: str | None, source: str) -> str:
    """What is to be written, by the file's ending; never over what it is made of. Raises StopwrightError."""
    if output is None:
        return "text"
    kind = _FORMATS.get(Path(output).suffix.lower())
    if kind is None:
        raise UsageError(f"{output}: a page is written as .html, .pdf or .txt", remedy="Give the file such an ending")
    if Path(output).exists() and Path(source).exists() and Path(output).samefile(source):
        raise WriteError("this is the file that the page is made of", path=output, remedy="Choose another name.")
    return kind


def write_paper(paper: Paper, kind: str, arguments: argparse.Namespace) -> None:
    """Write a paper whole or not at all. Raises StopwrightError."""
    size = PaperSize(arguments.paper)
    if kind == "pdf":
        door: Door | None = arguments.doors.get("pdf")
        if door is None:
            raise UsageError("PDF is not to be had here", remedy="Start the program as ‘stopwright’, or write .html")
        door(paper, arguments.output, size)
    elif kind == "html":
        from core.export.html import page_html

        write_bytes(arguments.output, page_html(paper, size).encode("utf-8", "replace"))
    else:
        from core.export.plain_text import page_text

        write_bytes(arguments.output, page_text(paper).encode("utf-8", "replace"))
