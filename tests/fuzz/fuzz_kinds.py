"""What is fuzzed: how a case of each kind is made from its dice, and the whole way it then goes.

A way raises nothing but a `StopwrightError`: whatever else comes out is a fault of the program.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from fuzz_mutating import JUNK, MARKUP, TEXTUAL, bytes_damaged, lines_damaged, packed, text_drawn, xml_damaged

from core.analysis import Analysis, analyse_document
from core.batch.ledger import Ledger
from core.checks.queries import asked_of, number_queries
from core.cli import check as check_command
from core.cli import draw as draw_command
from core.cli import needs as needs_command
from core.cli import plan as plan_command
from core.cli import read as read_command
from core.compare.needs import needs_of
from core.document import Document, OrganFile, Shelf, organ_from_text, save_notes, save_organ, save_score, score_of
from core.edits import AddBracket, AddMarking, ChangeMarking, DeleteMarking, Edit, MoveMarking, apply
from core.errors import EditError
from core.export.catalogue import catalogue_paper, catalogue_to_csv
from core.export.html import page_html
from core.export.needs_page import needs_paper
from core.export.pistons import former_from_json, plan_to_json, plan_to_text
from core.export.plain_text import page_text
from core.export.report import report_lines, report_paper, report_to_csv, report_to_json
from core.export.sheet import sheet_paper
from core.export.specification_page import specification_page
from core.marking_up.model import Resolved, Wishes
from core.marking_up.writing import mark_up
from core.markings.house_style import BUILT_IN, read_style, style_of_text, style_text
from core.markings.own_words import own_words
from core.markings.reading import read_marking
from core.markings.user_words import add_word, words_of_text
from core.markings.wording import write_reading
from core.notes import NO_NOTES
from core.notes_file import read_notes, write_notes
from core.organ.contract import organ_to_json
from core.organ.reading import decode, is_specification, read_list, read_organ
from core.organ.summary import abilities, summary
from core.organ.writing import write_organ
from core.pistons.demands import demands_of
from core.pistons.freeing import free_slots
from core.pistons.planning import plan_pistons
from core.score.engraving import prepare
from core.score.reading import read_score
from core.score.source import Source, source_from_bytes
from making import Piece
from walking import CHORDS, LEFT_LINE, LINE, LINE_REST, opened

ROOT = Path(__file__).resolve().parents[2]
SPECIFICATIONS = tuple(sorted((ROOT / "sample_specs").glob("*.yaml")))
LISTS = tuple(sorted((ROOT / "tests").glob("*/lists*/*.txt")))
_TRADE = """
Sw. Gt. Ch. Ped. Swell Great Choir Solo Echo R. G. P. Réc. Pos. GO HW OW RP BW man. ped. I II III 8 4 16 2 2⅔
8' 4ft. ft. 16-ft Oboe Hautbois Gamba Flöte Fl. Bourdon Diap. Diapason Principal Mixt. Trompette Clar. Cornet
Nazard Tierce Voix céleste add off ôtez mettez ab zu dazu ohne con senza sin más poco alone soft loud full
coupled uncoupled Sw.to Gt. to Koppel Copula Tirasse Acc. accouplés trem. tremblant box open closed boîte
fermée ouverte Schweller auf cresc. dim. legato rit. a tempo tutti solo both hands R.H. L.H. m.d. m.g. reduce
prepare Plein jeu Grand chœur Fonds anches jeux d'anches Organo pleno Voces ripieno
"""
WORDS = tuple(_TRADE.split())


@dataclass(frozen=True)
class Kind:
    """One sort of input: a case from dice, and the way it goes; the way tells whether the input was usable."""

    make: Callable[[random.Random], bytes]
    go: Callable[[bytes, random.Random, Path], bool]


# the inputs that are damaged


@cache
def scores() -> tuple[bytes, ...]:
    whole = (
        opened()
        .repeat_bars(2, *CHORDS)
        .repeat_bars(3, *LINE)
        .bar(*LINE_REST)
        .repeat_bars(2, *LEFT_LINE)
        .repeat_bars(2, *CHORDS)
    )
    whole.text(3, 1, "R.H. Sw. Oboe 8").text(6, 1, "add Trem.").text(7, 1, "L.H. Ch. Clarinet", staff=2).text(
        9, 1, "Gt. f, Sw. to Gt."
    )
    whole.bracket(3, 6).hairpin(4, 5, "crescendo").rehearsal(7, "B").repeat(3, 6).ending(5, 6, "1", back=True).jump(
        10, "D.C. al Fine", "dacapo"
    )
    french = Piece(title="Étude (inventée)", time="3/4", parts=(("Manuels", 2), ("Pédale", 1)), choir="Chœur")
    french.repeat_bars(5, "C5( D5 E5)", "C3+E3:3", "C2:3").text(
        1, 1, "R. Hautbois 8, Trompette; G. Fonds 8; Péd. 16, 8"
    )
    french.text(2, "3/2", "Ôtez la Trompette").text(4, 1, "G.P.R.").sing(1, "A4:3").credits.append(
        "Réc. Voix céleste; Pos. Bourdon 8"
    )
    german = (
        Piece(title="Studie (erfunden)", staves=2)
        .repeat_bars(4, "C5+E5:2 r:2", "C3~ C3= D3:2")
        .text(2, 1, "HW Prinz. 8 u. Mixt.")
    )
    german.text(3, 3, "OW: Gedackt 8' allein").dynamic(3, "pp").key_change(3, 2)
    timewise = _timewise(german.xml())
    demo = _cut((ROOT / "sample_specs" / "demo_piece.musicxml").read_bytes(), 14)
    return (whole.xml(), french.xml(), german.xml(), timewise, demo)


def _cut(xml: bytes, bars: int) -> bytes:
    from lxml import etree

    root = etree.fromstring(xml)
    for part in root.iterchildren("part"):
        for measure in list(part)[bars:]:
            part.remove(measure)
    return etree.tostring(root, encoding="UTF-8")


def _timewise(xml: bytes) -> bytes:
    """The score written bar by bar."""
    from lxml import etree

    root = etree.fromstring(xml)
    root.tag = "score-timewise"
    for part in root.findall("part"):
        for measure in list(part):
            bar = etree.SubElement(root, "measure", measure.attrib)
            inner = etree.SubElement(bar, "part", id=part.get("id", "P1"))
            inner.extend(list(measure))
        root.remove(part)
    return etree.tostring(root)


@cache
def _organ(number: int) -> OrganFile:
    path = SPECIFICATIONS[number % len(SPECIFICATIONS)]
    text = path.read_text(encoding="utf-8")
    return OrganFile(path=None, text=text, organ=organ_from_text(text, "organ.yaml"))


@cache
def _notes() -> bytes:
    analysis = analyse_document(_document(source_from_bytes(scores()[0], "Piece.musicxml"), 0))
    return write_notes(
        number_queries(replace(NO_NOTES, organ="organ.yaml", language="en"), analysis.findings, analysis.score)
    )


WORDS_FILE = b"""language: en
words:
  division: {choir: [Quire]}
  quality: {soft: [hushed]}
stops:
  Zinkophon: {family: reed, feet: 8, words: [Zph]}
also:
- {language: de, words: {family: {reed: [Schnarrer]}}}
"""
STYLE_FILE = b"""like: en
title: Our hymn books
foot: "{feet} ft."
divisions: {great: Great, swell: Swell}
wordings:
  take-off: "{division} {stops} in"
"""
ROW = {
    "score": "a.musicxml",
    "organ": None,
    "status": "done",
    "title": "A",
    "bars": 3,
    "markings": 2,
    "unread": 0,
    "counts": {"error": 0, "warning": 1, "advice": 2},
    "rules": {"x": 1},
    "seconds": 0.1,
}


# the ways


def _document(source: Source | None, number: int, notes: Any = NO_NOTES) -> Document:
    return Document(source=source, organs=(_organ(number),), chosen=0, notes=notes)


def _look(analysis: Analysis, dice: random.Random) -> None:
    """Everything that is made of an analysis, as the commands make it."""
    assert not analysis.report.failed, analysis.report.failed
    json.dumps(
        [check_command.to_json(analysis), plan_command.to_json(analysis), needs_command.to_json(needs_of(analysis))]
    )
    check_command.to_text(analysis)
    lines = report_lines(analysis, asked_of(NO_NOTES, analysis.findings, analysis.score))
    report_to_csv(lines)
    json.dumps(report_to_json(lines))
    papers = [sheet_paper(analysis), report_paper(analysis, lines), needs_paper(analysis)]
    for paper in papers:
        assert "<script" not in page_html(paper)
        page_text(paper)
    if dice.random() < 0.1 and analysis.organ is not None:
        free = free_slots(analysis.organ, generals=range(1, 9))
        plan = plan_pistons(analysis.organ, demands_of([analysis]), free, seconds=0.2)
        json.dumps(plan_to_json(analysis.organ, plan))
        plan_to_text(analysis.organ, plan)


def _edits(document: Document, dice: random.Random) -> list[Edit]:
    score = score_of(document)
    bar, last = dice.choice(score.bars), score.bars[-1]
    part = dice.randrange(len(score.parts))
    place = {
        "bar": bar.index,
        "staff": dice.randint(1, score.parts[part].staves),
        "in_bar": dice.randrange(max(bar.length, 1)),
    }
    text = text_drawn(dice, WORDS)
    made: list[Edit] = [
        AddMarking(part=part, text=text, **place),
        AddBracket(part=part, end_bar=last.index, end_in_bar=last.length, **place),
    ]
    if score.texts:
        marking = dice.choice(score.texts).id
        made += [
            ChangeMarking(marking=marking, text=text),
            DeleteMarking(marking=marking),
            MoveMarking(marking=marking, **place),
        ]
    return dice.sample(made, 2)


def go_score(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Read, analyse, show, edit, save, open again; an undo is the bytes of the start."""
    document = _document(source_from_bytes(data, "Piece.musicxml"), dice.randrange(4))
    assert document.source is not None
    score_of(document)
    analysis = analyse_document(document, style=read_style(dice.choice(BUILT_IN)) if dice.random() < 0.3 else None)
    _look(analysis, dice)
    prepare(document.source.xml)
    shelf, path = Shelf(), folder / ("Piece.mxl" if document.source.member else "Piece.musicxml")
    path.write_bytes(data)
    shelf.opened(path, data)
    save_score(document, path, shelf)
    assert path.read_bytes() == data, "a save without an edit changed the file"
    _edit_and_save(document, dice, path, shelf)
    if dice.random() < 0.25:
        wishes = Wishes(
            style=read_style(dice.choice(BUILT_IN)),
            resolved=dice.choice((None, *Resolved)),
            solos=dice.random() < 0.5,
            opening=dice.random() < 0.5,
            rewrite=dice.random() < 0.5,
            portable=dice.random() < 0.5,
        )
        marked = mark_up(document, wishes, analysis).document
        if marked.source is not None:
            read_score(source_from_bytes(marked.source.data, "Piece.musicxml"))
    return True


def _edit_and_save(document: Document, dice: random.Random, path: Path, shelf: Shelf) -> None:
    notes = len(score_of(document).notes)
    for edit in _edits(document, dice):
        try:
            done = apply(document, edit)
        except EditError:
            continue
        saved = save_score(done.document, path, shelf)
        again = source_from_bytes(path.read_bytes(), str(path))
        assert saved.source is not None
        assert again.xml == saved.source.xml
        assert len(read_score(again).notes) == notes, "an edit changed the music"
        document = done.document


def go_organ(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Read, describe, print, play a piece on it, write and read again."""
    name = "organ.yaml" if data.lstrip().startswith(b"specification") else "organ.txt"
    organ = read_organ(data, name)
    summary(organ)
    json.dumps([organ_to_json(organ), abilities(organ)])
    paper = specification_page(organ)
    assert "<script" not in page_html(paper)
    page_text(paper)
    text = decode(data, name)
    if not is_specification(text, name):
        reading = read_list(text, name)
        json.dumps(organ_to_json(reading.organ, reading.unread, reading.doubts))
    written = write_organ(organ)
    again = read_organ(written.encode(), "again.yaml")
    assert [d.name for d in again.divisions] == [d.name for d in organ.divisions]
    if dice.random() < 0.3:
        file = OrganFile(path=None, text=text, organ=organ)
        document = Document(source=source_from_bytes(dice.choice(scores()), "P.musicxml"), organs=(file,), chosen=0)
        _look(analyse_document(document), dice)
        saved = save_organ(document, 0, folder / "organ.yaml", Shelf())
        assert (folder / "organ.yaml").read_bytes() == saved.organs[0].text.encode()
    return True


def go_marking(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Read, explain, write again in a style, draw on an organ."""
    text = data.decode("utf-8")
    reading = read_marking(text, hint=dice.choice((None, "en", "fr", "de", "it", "es", "nl")))
    assert reading.text == text
    for one in reading.unread:
        assert text[one.span.start : one.span.end].strip(" .,;:") == one.text.strip(" .,;:")
    read_command.as_text(reading, explain=True)
    write_reading(reading, read_style(dice.choice(BUILT_IN)))
    organ = _organ(dice.randrange(4)).organ
    drawn = draw_command.answer(organ, text, dice.choice(([], [text], ["Great: Open Diapason 8"])))
    json.dumps(draw_command.answer_to_json(organ, drawn))
    draw_command.as_text(organ, drawn)
    return bool(reading.instructions)


def go_notes(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Read, analyse a piece with them, write and read again the same."""
    notes = read_notes(data, "P.stopwright.yaml")
    assert read_notes(write_notes(notes), "P.stopwright.yaml") == notes
    document = _document(source_from_bytes(scores()[0], str(folder / "P.musicxml")), 0, notes)
    _look(analyse_document(document), dice)
    save_notes(document, Shelf(), folder / "P.stopwright.yaml", overwrite=True)
    return True


def go_words(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Read, list, add a word, read markings with them."""
    text = data.decode("utf-8-sig") if _is_utf8(data) else ""
    words = words_of_text(text, path="words.yaml")
    own_words(text, path="words.yaml")
    read_marking(text_drawn(dice, (*WORDS, "Quire", "Zph", "hushed")), user_words=words.lexicon)
    (folder / "words.yaml").write_bytes(data)
    words_of_text(add_word(folder / "words.yaml", "Schnurps", "family: reed", "de"), path="words.yaml")
    return True


def go_style(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Read, write markings in it."""
    style = style_of_text(data.decode("utf-8-sig") if _is_utf8(data) else "", path="style.yaml")
    for _ in range(3):
        write_reading(read_marking(text_drawn(dice, WORDS)), style)
    return True


def go_results(data: bytes, dice: random.Random, folder: Path) -> bool:
    """Taken up again, added to and shown."""
    path = folder / "results.jsonl"
    path.write_bytes(data)
    with Ledger(path) as ledger:
        rows = ledger.rows_of("key") or []
        ledger.add("new", [dict(ROW)])
    assert path.read_bytes().startswith(data)
    page_text(catalogue_paper(rows))
    catalogue_to_csv(rows)
    with Ledger(path) as ledger:
        assert ledger.rows_of("new") == [ROW]
    return bool(rows)


def go_plan(data: bytes, dice: random.Random, folder: Path) -> bool:
    """A former piston plan, kept to in a new one."""
    former = former_from_json(data.decode("utf-8", errors="replace"), "plan.json")
    analysis, organ = _studied(), _organ(0).organ
    plan_pistons(organ, demands_of([analysis]), free_slots(organ, generals=range(1, 9)), former=former, seconds=0.2)
    return True


@cache
def _studied() -> Analysis:
    return analyse_document(_document(source_from_bytes(scores()[0], "P.musicxml"), 0))


@cache
def _plan() -> bytes:
    organ = _organ(0).organ
    plan = plan_pistons(organ, demands_of([_studied()]), free_slots(organ, generals=range(1, 9)), seconds=1)
    return json.dumps(plan_to_json(organ, plan)).encode()


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return False
    return True


# the makers


def make_score(dice: random.Random) -> bytes:
    data = xml_damaged(dice.choice(scores()), dice) if dice.random() < 0.7 else dice.choice(scores())
    if dice.random() < 0.3:
        data = bytes_damaged(data, dice, MARKUP)
    if dice.random() < 0.4:
        data = re.sub(
            rb"(?<=<words>)[^<]*", lambda _: _escaped(text_drawn(dice, WORDS)), data, count=dice.randint(1, 4)
        )
    return data


def _escaped(text: str) -> bytes:
    kept = "".join(c for c in text if c >= " " or c == "\n")
    return kept.replace("&", "&amp;").replace("<", "&lt;").encode("ascii", "xmlcharrefreplace")


def make_archive(dice: random.Random) -> bytes:
    return packed(make_score(dice) if dice.random() < 0.6 else dice.choice(scores()), dice)


def _textual(sources: Callable[[], tuple[bytes, ...]]) -> Callable[[random.Random], bytes]:
    def make(dice: random.Random) -> bytes:
        data = dice.choice(sources())
        return lines_damaged(data, dice) if dice.random() < 0.5 else bytes_damaged(data, dice, TEXTUAL)

    return make


@cache
def _files(*paths: Path) -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in paths)


def make_marking(dice: random.Random) -> bytes:
    return text_drawn(dice, WORDS if dice.random() < 0.9 else JUNK).encode("utf-8", "replace")


def _styles() -> tuple[bytes, ...]:
    return (STYLE_FILE, STYLE_FILE, *(style_text(name).encode() for name in BUILT_IN))


KINDS = {
    "score": Kind(make_score, go_score),
    "archive": Kind(make_archive, go_score),
    "specification": Kind(_textual(lambda: _files(*SPECIFICATIONS)), go_organ),
    "list": Kind(_textual(lambda: _files(*LISTS)), go_organ),
    "marking": Kind(make_marking, go_marking),
    "notes": Kind(_textual(lambda: (_notes(),)), go_notes),
    "words": Kind(_textual(lambda: (WORDS_FILE,)), go_words),
    "style": Kind(_textual(_styles), go_style),
    "results": Kind(_textual(lambda: ((json.dumps({"key": "key", "rows": [ROW]}) + "\n").encode(),)), go_results),
    "plan": Kind(_textual(lambda: (_plan(),)), go_plan),
}
