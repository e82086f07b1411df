"""What came from a score or a stop list stays text, wherever it is shown as HTML or SVG."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from xml.sax.saxutils import escape

import pytest
from lxml import etree

from core.batch.work import Row
from core.cli.main import main
from core.export.catalogue import catalogue_paper, catalogue_to_csv
from core.export.html import page_html
from making import Piece

ROOT = Path(__file__).resolve().parents[2]
EVIL = (
    "<script>alert(1)</script>\"'><img src=x onerror=alert(2)><b onmouseover='alert(3)'>&lt;i&gt; javascript:alert(4)"
)
_PLAIN = """
html head meta title style body header h1 h2 h3 main section p table thead tbody tr th td br em strong b i small
span sub sup img
footer div ul ol li a caption col colgroup dl dt dd hr
"""
ELEMENTS = frozenset(_PLAIN.split())


class Page(HTMLParser):
    """Gathers what a browser would take as markup."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.text += data


def harmless(html: str) -> Page:
    page = Page()
    page.feed(html)
    assert page.tags <= ELEMENTS, page.tags - ELEMENTS
    assert not [name for name, _ in page.attributes if name.startswith("on")]
    for name, value in page.attributes:
        if name in ("src", "href"):
            assert value.startswith(("data:image/svg+xml;base64,", "#")) or re.fullmatch(r"[\w-]+\.(png|svg)", value), (
                value
            )
    return page


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("evil")
    for name, words in (("piece", "Sw. Flomptuba"), ("other", "Sw. Vox")):
        piece = Piece(title=escape(EVIL), part_name=escape(EVIL)).repeat_bars(4, "C5 D5 E5 F5", "C3+E3:4", "C2:4")
        piece.text(1, 1, f"{words} 8 {EVIL}").text(2, 1, f"Gt. to Ped. {EVIL}").rehearsal(3, escape(EVIL)).numbers[
            4
        ] = "4&lt;b&gt;"
        piece.credits.append(escape(f"Registration: Sw. Oboe {EVIL}"))
        (made / f"{name}.musicxml").write_bytes(piece.xml())
    text = (
        f"St {EVIL}\n\nGREAT\nOpen Diapason 8\n{EVIL} 8\n\nSWELL {EVIL}\nOboe 8\nGamba {EVIL} 8\n\nPEDAL\nBourdon 16\n"
    )
    (made / "organ.txt").write_text(text, encoding="utf-8")
    return made


PAPERS = {
    "sheet": ["sheet", "piece.musicxml", "--organ", "organ.txt", "--specification"],
    "report": ["report", "piece.musicxml", "--organ", "organ.txt", "--style", "en"],
    "needs": ["needs", "piece.musicxml"],
    "compare": ["compare", "piece.musicxml", "--organs", "organ.txt"],
    "diff": ["diff", "piece.musicxml", "other.musicxml", "--organ", "organ.txt"],
    "organ page": ["organ", "page", "organ.txt"],
    "batch": ["batch", "piece.musicxml", "--workers", "1"],
}


@pytest.mark.parametrize("paper", PAPERS)
def test_papers(paper: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    assert main([*PAPERS[paper], "-o", f"{paper}.html"]) in (0, 1)
    page = harmless(Path(f"{paper}.html").read_text(encoding="utf-8"))
    assert paper == "batch" or "alert(1)" in page.text, "it stands there as text"


def test_the_front_page(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder)
    words = ["mark", "piece.musicxml", "--organ", "organ.txt", "-o", "marked.musicxml", "--front-page", "front.html"]
    assert main([*words, "--resolved", "under"]) == 0
    harmless(Path("front.html").read_text(encoding="utf-8"))
    root = etree.fromstring(Path("marked.musicxml").read_bytes())
    assert not list(root.iter("script", "img", "b"))


def test_the_catalogue() -> None:
    row: Row = {"score": EVIL, "organ": EVIL, "status": "refused", "why": EVIL}
    harmless(page_html(catalogue_paper([row])))
    assert not re.search(r"(?m)^[=+@-]", catalogue_to_csv([{**row, "why": "=1+1", "score": "+x", "organ": "@y"}]))


def test_engraved_svg_and_the_page_of_pictures(folder: Path) -> None:
    program = [sys.executable, "-m", "app"]
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(folder), "PYTHONPATH": str(ROOT)}
    for words in (
        ["engrave", "piece.musicxml", "-o", "o.svg", "--findings", "--organ", "organ.txt"],
        ["open", "piece.musicxml", "--organ", "organ.txt", "--pictures", "shown"],
        ["sheet", "piece.musicxml", "--organ", "organ.txt", "--cues", "-o", "cues.html"],
    ):
        done = subprocess.run(
            [*program, *words], cwd=folder, env=env, capture_output=True, text=True, timeout=120, check=False
        )
        assert done.returncode == 0, done.stderr
    for path in folder.glob("o-*.svg"):
        root = etree.fromstring(path.read_bytes())
        tags = {etree.QName(e).localname for e in root.iter(etree.Element)}
        assert not tags & {"script", "foreignObject", "image", "a", "img", "b", "animate", "set", "iframe"}
        for element in root.iter(etree.Element):
            for name, value in element.attrib.items():
                assert not etree.QName(name).localname.startswith("on")
                assert "javascript:" not in value
                assert etree.QName(name).localname != "href" or value.startswith("#")
    harmless((folder / "shown" / "index.html").read_text(encoding="utf-8"))
    harmless((folder / "cues.html").read_text(encoding="utf-8"))
