"""Where there is no display the same view is written as files."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QImage

from app.pictures import write_pictures
from app.window import Window


def test_the_view_is_written_as_png_and_html(opened: Window, tmp_path: Path) -> None:
    index = write_pictures(opened, tmp_path / "view")
    assert index.name == "index.html"
    picture = QImage(str(tmp_path / "view" / "window.png"))
    assert picture.width() >= 1280
    page = QImage(str(tmp_path / "view" / "page-1.png"))
    dark = sum(page.pixelColor(x, y).lightness() < 128 for x in range(0, 1400, 7) for y in range(0, 1900, 7))
    assert dark > 300, "notes are on the page"
    html = index.read_text(encoding="utf-8")
    assert "Tuba" in html
    assert "window.png" in html
    assert "St Osyth" in html
    assert "://" not in html, "nothing is fetched from elsewhere"
