"""What is written into a score: the same registration at every moment, the same notes, nothing else touched."""

from __future__ import annotations

import importlib.util
import json
import re
from pathlib import Path

import pytest
from lxml import etree

from core.analysis import Analysis, analyse_document
from core.cli.main import main
from core.document import Document, open_document
from core.marking_up.model import MarkedUp, Resolved, Wishes
from core.marking_up.writing import mark_up
from core.markings.house_style import read_style
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS, LINE, LINE_REST, opened

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"
WISHES = {
    "under": Wishes(style=read_style("en"), resolved=Resolved.UNDER),
    "instead": Wishes(style=read_style("en"), resolved=Resolved.INSTEAD),
    "footnotes": Wishes(style=read_style("en"), resolved=Resolved.FOOTNOTES),
    "layer": Wishes(style=read_style("en"), resolved=Resolved.LAYER, portable=True),
    "opening and solos": Wishes(style=read_style("en"), opening=True, solos=True),
    "French": Wishes(style=read_style("fr"), rewrite=True),
    "German": Wishes(style=read_style("de"), rewrite=True),
}


def piece() -> Piece:
    made = opened().repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(6, *CHORDS)
    made.text(3, 1, "Gt. soft 8 & 4").text(5, 1, "R.H. Sw.").text(6, 1, "add Trem.").text(9, 1, "R.H. Gt.")
    return made.text(11, 1, "Sw. Vox Angelica 8").text(12, 1, "Full Gt.").text(13, 1, "Ped. add Trombone", staff=3)


@pytest.fixture(params=["en", "fr", "large"])
def document(request: pytest.FixtureRequest, tmp_path: Path) -> Document:
    path = tmp_path / "study.musicxml"
    path.write_bytes(piece().xml())
    return open_document(path, [LISTS / f"{request.param}.txt"])


def heard(analysis: Analysis) -> dict[object, object]:
    """What is on, and on which keyboard, whenever a hand or the feet strike a note."""
    found: dict[object, object] = {}
    for stretch in analysis.stretches:
        r = stretch.registration
        for hand, division in r.hands:
            for moment in analysis.lines[hand].between(stretch.start, stretch.end):
                place = (analysis.score.quarters(moment.onset), stretch.nth, hand)
                found[place] = (division, frozenset(r.drawn), r.couplers, r.tremulants, r.boxes)
    return found


def texts(marked: MarkedUp) -> list[str]:
    assert marked.document.source is not None
    return [t.text for t in read_score(marked.document.source).texts]


@pytest.mark.parametrize("wish", WISHES)
def test_the_registration_and_the_notes_stay_as_they_were(document: Document, wish: str) -> None:
    before = analyse_document(document)
    marked = mark_up(document, WISHES[wish])
    after = analyse_document(marked.document)
    assert marked.written
    assert heard(after) == heard(before)
    assert after.score.notes == before.score.notes


@pytest.mark.parametrize("wish", ["under", "footnotes", "layer", "opening and solos"])
def test_only_what_was_added_differs(document: Document, wish: str) -> None:
    marked = mark_up(document, WISHES[wish])
    assert document.source is not None
    assert marked.document.source is not None
    added = re.compile(rb"\s*<(direction|credit)\b(?:(?!</\1>).)*</\1>", re.DOTALL)
    old = [m[0].strip() for m in added.finditer(document.source.xml)]
    new = [m[0].strip() for m in added.finditer(marked.document.source.xml)]
    assert [text for text in new if text in set(old)] == old
    assert added.sub(b"", marked.document.source.xml) == added.sub(b"", document.source.xml)


def test_stops_stand_beneath_what_asks_for_them(document: Document) -> None:
    marked = mark_up(document, WISHES["under"])
    assert marked.document.source is not None
    words = re.findall(r"<words[^>]*>([^<]*)</words>", marked.document.source.xml.decode())
    asked = words.index("Gt. soft 8 &amp; 4")
    assert words[asked - 1].startswith("(G")  # of texts above a staff the first in the file is printed lowest
    assert words[asked - 1].endswith(")")


def test_instead_names_this_organs_stops(document: Document) -> None:
    found = texts(mark_up(document, WISHES["instead"]))
    assert "Gt. soft 8 & 4" not in found
    assert not any("Vox Angelica" in text for text in found)


def test_each_footnote_has_its_pointer(document: Document) -> None:
    found = texts(mark_up(document, WISHES["footnotes"]))
    pointers = {t for t in found if re.fullmatch(r"\d+\)", t)}
    notes = {t.split(" ")[0] for t in found if re.match(r"\d+\) \(", t)}
    assert pointers == notes
    assert len(pointers) >= 2


def test_a_layer_is_small_and_portable_words_name_no_stop(document: Document) -> None:
    marked = mark_up(document, WISHES["layer"])
    assert marked.document.source is not None
    small = re.findall(r'<words font-style="italic" font-size="8">([^<]*)</words>', marked.document.source.xml.decode())
    assert any("or similar" in text for text in small)


def test_the_opening_block_has_a_line_for_each_keyboard(document: Document) -> None:
    block = next(t for t in texts(mark_up(document, WISHES["opening and solos"])) if t.count("\n") >= 2)
    assert len(block.splitlines()) >= 3


def test_a_solo_whose_end_is_known_gets_a_bracket_and_the_other_is_told(tmp_path: Path) -> None:
    made = piece().repeat_bars(4, *LINE).repeat_bars(3, *CHORDS).text(15, 1, "R.H. Sw.")
    path = tmp_path / "study.musicxml"
    path.write_bytes(made.xml())
    marked = mark_up(open_document(path, [LISTS / "en.txt"]), WISHES["opening and solos"])
    assert sum("bracket" in str(said) for said in marked.written) == 1
    assert any("not marked" in str(left.why) and left.at.measure == "15" for left in marked.left)


def test_what_was_not_understood_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "study.musicxml"
    path.write_bytes(piece().text(10, 1, "Gt. 8 & 4, grumfelt").xml())
    marked = mark_up(open_document(path, [LISTS / "en.txt"]), WISHES["French"])
    assert "Gt. 8 & 4, grumfelt" in texts(marked)
    assert any("grumfelt" in left.text for left in marked.left)


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score, out, page = tmp_path / "study.musicxml", tmp_path / "marked.musicxml", tmp_path / "front.html"
    score.write_bytes(piece().xml())
    words = ["mark", str(score), "--organ", str(LISTS / "en.txt"), "-o", str(out), "--json"]
    assert main([*words, "--resolved", "under", "--solo-brackets", "--front-page", str(page)]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["written"]
    assert read_score(source_from_bytes(out.read_bytes(), "marked.musicxml")).brackets
    text = page.read_text(encoding="utf-8")
    assert "Abbreviations" in text
    assert "What may be replaced" in text
    assert main([*words]) == 0
    assert out.read_bytes() == score.read_bytes()


def test_without_an_organ_it_asks_which(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score = tmp_path / "study.musicxml"
    score.write_bytes(piece().xml())
    assert main(["mark", str(score), "-o", str(tmp_path / "out.musicxml"), "--resolved", "under"]) == 2
    assert "which organ" in capsys.readouterr().err
    assert not (tmp_path / "out.musicxml").exists()


@pytest.mark.parametrize("wish", WISHES)
def test_the_built_in_piece_stays_valid_and_its_notes_the_same_to_others(wish: str) -> None:
    """By the W3C's MusicXML 4.0 schema, and as music21 reads it."""
    import music21

    schema = _schema_of(Path(__file__).parents[1] / "score" / "musicxml_schema.py")

    folder = Path(__file__).parents[2] / "sample_specs"
    document = open_document(folder / "demo_piece.musicxml", [folder / "french_symphonic.yaml"], without_notes=True)
    marked = mark_up(document, WISHES[wish]).document
    assert document.source is not None
    assert marked.source is not None
    assert schema.validate(etree.fromstring(marked.source.xml)), schema.error_log
    read = [music21.converter.parseData(s.xml.decode(), format="musicxml") for s in (document.source, marked.source)]
    one, two = ([(n.offset, n.quarterLength, str(n.pitches)) for n in r.flatten().notes] for r in read)
    assert one == two


def _schema_of(path: Path) -> etree.XMLSchema:
    """The schema, from a module in another folder of tests."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.schema()
