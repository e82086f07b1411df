"""What the command line asks of the engraver: a score on paper, and snippets for sheets and reports."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from app.engraving import always, engraved_excerpts, engraved_pages
from core.export.drawn_svg import UNITS_A_MILLIMETRE, page_svg
from core.export.paper import PaperSize, Picture
from core.export.proof_marks import marks_on
from core.files import write_bytes
from core.findings import Finding
from core.score.model import Score
from core.score.reading import read_score
from core.score.source import Source, read_source

_SNIPPET_SCALE = 0.62  # a snippet is smaller than the score on the desk


def engrave(source: Source, output: Path, size: PaperSize, findings: Sequence[Finding], written: list[str]) -> int:
    """Write a score as PDF, or as one SVG file a page; the names written are added to `written`.

    Raises:
        StopwrightError: it cannot be engraved or written.
    """
    pages = engraved_pages(source.xml, size)
    marks = [marks_on(page, findings) for page in pages]
    if output.suffix.lower() == ".pdf":
        from app.start import make_application

        make_application()
        from app.engraved_pdf import engraved_pdf

        title = read_score(source).title or output.stem
        write_bytes(output, engraved_pdf(pages, title, size, marks))
        written.append(str(output))
        return 0
    for number, (page, shown) in enumerate(zip(pages, marks, strict=True), 1):
        name = output.with_name(f"{output.stem}-{number}{output.suffix}")
        write_bytes(name, page_svg(page, marks=shown).encode("utf-8"))
        written.append(str(name))
    return 0


def snippets(score: str | Path, bars: Sequence[int], found: dict[int, Picture], count: int = 1) -> int:
    """The music of some bars as pictures, by bar index, added to `found`. Raises StopwrightError."""
    source = read_source(score)
    found |= pictures_of(source, read_score(source), bars, count)
    return 0


def pictures_of(
    source: Source, score: Score, bars: Sequence[int], count: int = 1, is_wanted: Callable[[], bool] = always
) -> dict[int, Picture]:
    """The music of some bars as pictures, by bar index. Raises StopwrightError."""
    numbers = {bar.index: bar.number for bar in score.bars}
    found = {}
    for bar, page in engraved_excerpts(source.xml, bars, count, is_wanted).items():
        width, height = (side / UNITS_A_MILLIMETRE * _SNIPPET_SCALE for side in page["size"])
        found[bar] = Picture(
            svg=page_svg(page), width=width, height=height, words=f"the music of bar {numbers.get(bar, '?')}"
        )
    return found
