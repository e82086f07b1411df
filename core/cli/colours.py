"""``stopwright organ colours SPEC``: its words; what it shows is `core.cli.colours_shown`'s."""

from __future__ import annotations

import argparse

LANGUAGES = ("en", "fr", "de", "it", "es", "nl")
DESCRIPTION = """Lists the customary colours that an organ can make, each with its stops, what may accompany it,
what to know before writing it, and two wordings for a score: one that fits this organ, one that would travel.
What the organ lacks stands at the end."""
TRADITIONS = (
    "english",
    "american",
    "french-classical",
    "french-symphonic",
    "german-baroque",
    "german-romantic",
    "dutch",
    "italian",
    "spanish",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The words of the command."""
    parser.add_argument("spec", metavar="SPEC", nargs="?", help="a specification (YAML) or a plain stop list")
    parser.add_argument(
        "--word", metavar="WORDS", help="only what sounds so, in any language: 'far off', silbern, rond"
    )
    parser.add_argument("--tradition", choices=TRADITIONS, help="only customs of this tradition, and everybody's")
    parser.add_argument("--language", choices=LANGUAGES, help="of the wordings and words; else the organ's own")
    parser.add_argument("--style", metavar="STYLE", help="house style of the wordings: a built-in one or a file")
    parser.add_argument("--words", action="store_true", help="list the words that are known, in the language")
    parser.add_argument("--json", action="store_true", help="for programs: one JSON document")


def run(arguments: argparse.Namespace) -> int:
    """Print the book, or what a word finds in it."""
    from core.cli.colours_shown import show

    return show(arguments)
