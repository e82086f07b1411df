"""The colour book printed: for people, or as JSON."""

from __future__ import annotations

import argparse
import sys
from itertools import groupby

from core.cli.output import EXIT_DONE, print_json
from core.errors import UsageError
from core.markings.house_style import Style, read_style
from core.organ.model import Organ
from core.organ.reading import load_organ
from core.resolve.colour_book.book import colour_book
from core.resolve.colour_book.contract import book_to_json
from core.resolve.colour_book.customs import sections
from core.resolve.colour_book.labels import LOUDNESS, labels_of
from core.resolve.colour_book.model import Accompaniment, Colour
from core.resolve.colour_book.wordings import wordings
from core.resolve.colour_book.words import LANGUAGES, Found, find, plain_words, word_for
from core.resolve.traditions import frame_language


def show(arguments: argparse.Namespace) -> int:
    """Print the book, or what a word finds in it."""
    if arguments.words:
        return _list_words(arguments.language or "en")
    if arguments.spec is None:
        raise UsageError("name a specification or stop list, or ask for the words with --words")
    organ = load_organ(arguments.spec)
    style = style_for(organ, arguments.style or arguments.language)
    book = colour_book(organ, tradition=arguments.tradition)
    found = find(book, arguments.word or "", style.language)
    if arguments.json:
        print_json("organ colours", book_to_json(organ, found, style))
    else:
        sys.stdout.write(as_text(organ, found, style, arguments.word))
    return EXIT_DONE


def style_for(organ: Organ, name: str | None = None) -> Style:
    """The house style of that name; else the one of the organ's language, English where there is none."""
    language = frame_language(organ)
    return read_style(name or (language if language in LANGUAGES else "en"))


def _list_words(language: str) -> int:
    for tongues in plain_words().values():
        sys.stdout.write(f"{', '.join(tongues[language])}\n")
    return EXIT_DONE


def as_text(organ: Organ, found: Found, style: Style, asked: str | None = None) -> str:
    """What was found, for people."""
    parts = [f"{organ.name}: {len(found.colours)} colour{'s' if len(found.colours) != 1 else ''}"]
    if asked:
        parts[0] += f" for {_understood(found, style)}"
        parts.append("\n\n".join(_colour(organ, one, style) for one in found.colours))
    else:
        titles = dict(sections())
        for section, some in groupby(found.colours, key=lambda c: c.section):
            parts.append(titles[section].upper() + "\n\n" + "\n\n".join(_colour(organ, c, style) for c in some))
    if found.gaps:
        parts.append("WHAT IT HAS NOT\n\n" + "\n".join(f"  {gap.said}" for gap in found.gaps))
    if asked and not found.colours and not found.gaps:
        parts.append("Nothing is known by these words; see them all with: stopwright organ colours --words")
    return "\n\n".join(part for part in parts if part) + "\n"


def _understood(found: Found, style: Style) -> str:
    words = [word_for(sound, style.language) for sound in found.sought.sounds]
    return ", ".join([*words, *(f"“{word}”" for word in found.sought.rest)]) or "these words"


def _colour(organ: Organ, colour: Colour, style: Style) -> str:
    worded = wordings(organ, colour, style)
    division = organ.division(colour.division)
    custom = "" if "any" in colour.traditions else f" ({', '.join(colour.traditions)})"
    lines = [f"  {colour.name}, {division.name}{custom}", f"    {_drawn(organ, colour)}"]
    lines.append(f"    {'; '.join(_facts(colour))}")
    lines += [f"    against it: {_against(organ, one)}" for one in colour.accompaniments]
    if not colour.solo and colour.free:
        lines.append(f"    free: {', '.join(organ.division(d).name for d in colour.free)}")
    lines.append(f"    {colour.why}")
    lines += [f"    mind: {one}" for one in colour.cautions]
    lines.append(f"    here: {_one_line(worded.here.text)}")
    if worded.travels.text != worded.here.text:
        lines.append(f"    elsewhere: {_one_line(worded.travels.text)}")
    return "\n".join(lines)


def _drawn(organ: Organ, colour: Colour) -> str:
    homes = list(dict.fromkeys(organ.division_of(s).id for s in colour.stops))
    if len(homes) == 1:
        return ", ".join(labels_of(organ, colour.stops))
    return "; ".join(
        f"{organ.division(home).name}: "
        + ", ".join(labels_of(organ, [s for s in colour.stops if organ.division_of(s).id == home]))
        for home in homes
    )


def _facts(colour: Colour) -> list[str]:
    boxed = {True: "in the box", False: "in no box", None: "box: not said, or only in part"}[colour.enclosed]
    box = [f"box {colour.box if colour.box != 'half' else 'half open'}"] if colour.box else []
    return [
        f"{LOUDNESS[colour.loudness]} ({colour.loudness} of 10)",
        boxed,
        *box,
        *(["Tremulant"] if colour.tremulant else []),
    ]


def _against(organ: Organ, one: Accompaniment) -> str:
    stops = ", ".join(labels_of(organ, one.stops))
    return f"{organ.division(one.division).name}: {stops} ({one.balance})"


def _one_line(text: str) -> str:
    return text.replace("\n", " / ")
