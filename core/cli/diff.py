"""``stopwright diff A B``: the registration of two files of one piece compared."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from core.analysis import Analysis, analyse_document
from core.cli.organ_page import add_paper_options, format_of, write_paper
from core.cli.output import EXIT_DONE, EXIT_FINDINGS, print_json
from core.compare.editions import compare_editions
from core.compare.effects import effects_of
from core.document import open_document
from core.export.editions import editions_paper, editions_to_json
from core.export.plain_text import page_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    parser.add_argument("former", metavar="A", help="the former file (.musicxml, .xml or .mxl)")
    parser.add_argument("later", metavar="B", help="the later file")
    parser.add_argument("--organ", metavar="SPEC", help="an organ: says also what sounds differently on it")
    parser.add_argument("--language", metavar="LL", help="language of the markings: en, fr, de, it, es, nl")
    add_paper_options(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document for programs")


def run(arguments: argparse.Namespace) -> int:
    """Compare two files; 1 where something differs."""
    kind = format_of(arguments.output, arguments.later)
    former, later = (_analysed(arguments, path) for path in (arguments.former, arguments.later))
    editions, effects = compare_editions(former, later), effects_of(former, later)
    names = (Path(arguments.former).name, Path(arguments.later).name)
    paper = editions_paper(later.score.title or names[1], names, editions, effects, large=arguments.large)
    if arguments.output:
        write_paper(paper, kind, arguments)
    if arguments.json:
        print_json("diff", editions_to_json(editions, effects))
    elif not arguments.output:
        sys.stdout.write(page_text(paper))
    return EXIT_DONE if editions.is_empty else EXIT_FINDINGS


def _analysed(arguments: argparse.Namespace, path: str) -> Analysis:
    document = open_document(path, [arguments.organ] if arguments.organ is not None else [], without_notes=True)
    return analyse_document(document, language=arguments.language)
