"""A paper on pages: nothing cut, nothing over another, and in the PDF file words that can be copied."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication

from app.paper import page_images, pdf_bytes, text_places
from app.paper_layout import MARGIN
from app.paper_pages import Pages
from core.export.paper import Column, Flow, Group, Paper, PaperSize, Picture, Row, Run, plain, row
from core.export.specification_page import specification_page
from core.organ.reading import load_organ, read_list
from pdf_text import embedded_fonts, page_sizes, pdf_pages

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = sorted((ROOT / "sample_specs").glob("*.yaml"))


def _many(count: int) -> Paper:
    """A large organ made for this test: seven divisions."""
    names = ("Great", "Swell", "Choir", "Solo", "Echo", "Bombarde", "Pedal")
    each = count // len(names)
    lines = [f"{name.upper()}\n" + "\n".join(f"Flute No. {n} 8" for n in range(each)) for name in names]
    return specification_page(read_list("\n\n".join(lines), "large.txt").organ)


def _papers() -> list[Paper]:
    made = [specification_page(load_organ(path)) for path in SAMPLES]
    return [*made, specification_page(load_organ(SAMPLES[0]), large=True), _many(120), _many(490)]


@pytest.mark.parametrize("size", list(PaperSize))
def test_all_words_stand_within_the_margins_and_none_over_another(application: QApplication, size: PaperSize) -> None:
    for paper in _papers():
        pages = Pages(paper, size)
        for page in pages.pages:
            places = [where for _, where in text_places(page) if where.width() > 0]
            for where in places:
                assert where.left() >= MARGIN - 1
                assert where.right() <= pages.page_width - MARGIN + 1
                assert where.top() >= MARGIN - 1
                assert where.bottom() <= pages.page_height - MARGIN / 3
            places.sort(key=lambda where: where.top())
            for number, one in enumerate(places):
                below = one.bottom() - 25
                for other in places[number + 1 :]:
                    if other.top() >= below:
                        break
                    assert one.intersected(other).width() < 5, (paper.title, one, other)


def test_a_pdf_holds_the_words_as_words_and_its_fonts(application: QApplication) -> None:
    for path in SAMPLES:
        organ = load_organ(path)
        data = pdf_bytes(specification_page(organ))
        words = "\n".join(pdf_pages(data))
        flowing = " ".join(words.split())
        for division in organ.divisions:
            assert division.name.upper() in words
            for stop in division.stops:
                assert stop.name in flowing, (path.name, stop.name)
        assert "2⅔′" in words or "2⅔" not in str(organ)
        assert "\t" not in words
        named, held = embedded_fonts(data)
        assert named
        assert named == held
        assert all(name.startswith(("LiberationSerif", "DejaVu")) for name in named)


def test_a_pdf_has_the_paper_that_was_asked_for(application: QApplication) -> None:
    """ISO 216 (A4: 210 by 297 mm) and the US letter format (8.5 by 11 in, ANSI/ASME Y14.1 A), in points."""
    paper = specification_page(load_organ(SAMPLES[0]))
    assert set(page_sizes(pdf_bytes(paper, PaperSize.A4))) == {(595, 842)}
    assert set(page_sizes(pdf_bytes(paper, PaperSize.LETTER))) == {(612, 792)}


def test_a_page_break_says_the_heading_again_and_pages_are_numbered(application: QApplication) -> None:
    pages = pdf_pages(pdf_bytes(_many(490)))
    assert len(pages) >= 2
    assert any("(CONTINUED)" in page for page in pages)
    for number, page in enumerate(pages, 1):
        assert f"{number} / {len(pages)}" in page
    found = sum(page.count("Flute No.") for page in pages)
    assert found == 490  # none lost, none twice


def test_tables_say_their_head_again_and_endless_words_are_broken(application: QApplication) -> None:
    head = row("Bar", "What is drawn")
    rows = tuple(row(str(bar), f"Oboe {bar} " + "x" * (300 if bar == 7 else 3)) for bar in range(200))
    table = Group(columns=(Column(share=0, right=True), Column()), head=head, rows=rows, ruled=True)
    paper = Paper(title="Sheet", flows=(Flow(groups=(table,)),))
    pages = pdf_pages(pdf_bytes(paper))
    assert len(pages) > 2
    assert all("What is drawn" in page for page in pages)
    laid = Pages(paper)
    for page in laid.pages:
        assert all(where.right() < laid.page_width - MARGIN + 1 for _, where in text_places(page))


def test_a_row_higher_than_a_page_does_not_hang(application: QApplication) -> None:
    paper = Paper(title="x", flows=(Flow(groups=(Group(rows=(row("word " * 4000), row("last"))),), columns=2),))
    assert "last" in pdf_pages(pdf_bytes(paper))[-1]


def test_a_picture_and_styles_are_painted(application: QApplication) -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><rect width="10" height="10" fill="#f00"/></svg>'
    cells = (Run("bold", bold=True), Run("1", raised=True), *plain(" usual"))
    group = Group(
        rows=(
            Row(cells=(cells,)),
            Row(picture=Picture(svg=svg, width=40, height=20, words="a square")),
        )
    )
    paper = Paper(title="t", flows=(Flow(groups=(group,)),))
    image = next(page_images(Pages(paper), 600))
    reds = [
        (x, y)
        for x in range(0, 600, 4)
        for y in range(0, image.height(), 4)
        if image.pixelColor(x, y) == QColor("#ff0000")
    ]
    assert 200 < len(reds) < 600  # 40 by 20 mm of a page 210 mm wide
    assert "bold" in pdf_pages(pdf_bytes(paper))[0]


def test_the_command_line_writes_a_pdf_where_there_is_no_display(tmp_path: Path) -> None:
    environment = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    environment["PYTHONPATH"] = str(ROOT)
    out = tmp_path / "page.pdf"
    code = "import sys; from app.main import main; sys.exit(main())"
    done = subprocess.run(
        [sys.executable, "-c", code, "organ", "page", str(SAMPLES[0]), "-o", str(out), "--paper", "letter"],
        capture_output=True,
        text=True,
        env=environment,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert load_organ(SAMPLES[0]).name in pdf_pages(out.read_bytes())[0]
    assert list(tmp_path.iterdir()) == [out]
