"""The score on paper: pages and excerpts from the engraver, as SVG and PDF, texts kept, findings shown."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest
from lxml import etree
from window_support import make_score, words

from app.engraving import NoLongerWantedError, engraved_excerpts, engraved_pages
from app.main import DOORS
from core.cli.main import main
from core.errors import ReadError
from core.export.drawn_svg import Mark, page_svg
from core.export.paper import PaperSize
from making import Piece
from pdf_text import pdf_pages
from walking import CHORDS, opened

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"
SVG = "{http://www.w3.org/2000/svg}"


def piece() -> Piece:
    made = opened("Study <b>& Air</b> (invented)").repeat_bars(30, *CHORDS).text(3, 1, "Gt. Vox Angelica <8>")
    made.attributes[10] = '<clef number="2"><sign>C</sign><line>4</line></clef>'
    return made


@pytest.fixture(scope="module")
def score(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("engraved") / "study.musicxml"
    path.write_bytes(piece().xml())
    return path


def texts(svg: str) -> list[str]:
    root = etree.fromstring(svg.encode("utf-8"))
    return ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


def test_texts_stay_texts_and_are_escaped(score: Path) -> None:
    pages = engraved_pages(score.read_bytes())
    found = [text for page in pages for text in texts(page_svg(page))]
    assert "Gt. Vox Angelica <8>" in found
    assert any("Study <b>& Air</b>" in text for text in found)


def test_a_tempo_keeps_its_note(score: Path) -> None:
    made = opened().repeat_bars(4, *CHORDS)
    xml = made.xml().replace(
        b"<direction-type><words>Andante</words></direction-type>",
        b"<direction-type><words>Andante</words></direction-type><direction-type><metronome><beat-unit>quarter"
        b"</beat-unit><per-minute>80</per-minute></metronome></direction-type>",
        1,
    )
    assert any("♩" in text and "80" in text for text in texts(page_svg(engraved_pages(xml)[0])))


def test_an_excerpt_has_the_clef_in_force(score: Path) -> None:
    pages = engraved_excerpts(score.read_bytes(), [4, 12])
    codes = {bar: [use[0] for chunk in page["chunks"] for use in chunk["uses"]] for bar, page in pages.items()}
    c_clef = "E05C"
    assert c_clef not in codes[4]
    assert c_clef in codes[12]


def test_what_cannot_be_engraved_is_said() -> None:
    with pytest.raises(ReadError):
        engraved_pages(b"<score-partwise><part")


def test_pdf_and_svg_from_the_command_line(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["engrave", str(score), "--organ", str(LISTS / "en.txt"), "--findings", "--json"]
    assert main([*words, "-o", str(tmp_path / "study.pdf")], DOORS) == 0
    data = (tmp_path / "study.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    pages = pdf_pages(data)
    assert len(pages) == len(engraved_pages(score.read_bytes()))
    assert any("Gt. Vox Angelica <8>" in words for words in pages)
    capsys.readouterr()
    assert main([*words, "-o", str(tmp_path / "study.svg"), "--paper", "letter"], DOORS) == 0
    written = json.loads(capsys.readouterr().out)["written"]
    first = Path(written[0]).read_text(encoding="utf-8")
    assert 'width="215.9mm"' in first or 'width="216mm"' in first
    titles = [t.text for t in etree.fromstring(first.encode()).iter(f"{SVG}title")]
    assert any("Vox Angelica" in (title or "") for title in titles)


def test_it_never_writes_over_the_score(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "odd.svg"
    path.write_bytes(piece().xml())
    assert main(["engrave", str(path), "-o", str(path)], DOORS) == 2
    assert path.read_bytes() == piece().xml()


def test_cues_in_sheet_and_report(score: Path, tmp_path: Path) -> None:
    for command in ("sheet", "report"):
        page = tmp_path / f"{command}.html"
        words = [command, str(score), "--organ", str(LISTS / "en.txt"), "--cues", "-o", str(page)]
        assert main(words, DOORS) == 0
        assert "data:image/svg+xml" in page.read_text(encoding="utf-8")


def test_without_an_engraver_it_is_said(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["engrave", str(score), "-o", str(tmp_path / "x.pdf")]) == 2
    assert "cannot be engraved here" in capsys.readouterr().err


def test_a_mark_is_escaped() -> None:
    page = {"size": [100.0, 100.0], "glyphs": {}, "chunks": [], "systems": [], "notes": []}
    svg = page_svg(page, marks=[Mark(0, 0, 10, 10, "▲", "<script>alert(1)</script>")])
    assert "<script>" not in svg
    etree.fromstring(svg.encode("utf-8"))


def test_engraving_for_print_is_ended_when_it_is_no_longer_wanted() -> None:
    begun = time.monotonic()
    looks: list[float] = []

    def is_wanted() -> bool:
        looks.append(time.monotonic() - begun)
        return len(looks) < 3

    with pytest.raises(NoLongerWantedError):
        engraved_pages(make_score(2000, {}), PaperSize.A4, is_wanted)
    assert len(looks) == 3
    assert time.monotonic() - begun < looks[-1] + 2, "the child is ended at once"


def test_a_long_score_reaches_the_engraver_whole() -> None:
    pages = engraved_pages(make_score(300, {299: [words("the last bar")]}), PaperSize.A4, lambda: True)
    texts = [run[0] for page in pages for chunk in page["chunks"] for text in chunk["texts"] for run in text["runs"]]
    assert any("last" in text for text in texts)
