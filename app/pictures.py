"""The window as files, where there is no display: pictures of it and of each page, and one HTML page."""

from __future__ import annotations

import time
from collections.abc import Callable
from html import escape
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF
from PySide6.QtGui import QImage, QImageWriter, QPainter
from PySide6.QtWidgets import QApplication

from app.open_finding import place_words, sentence
from app.overlay_painting import OverlayPainter
from app.page_desk import PAGE_HEIGHT, PAGE_WIDTH
from app.page_painting import paint_page
from app.palette import LEVEL_WORDS, SIGNS
from app.sentences import HANDS, hand_sentence
from app.title_block import paint_title
from app.translation import shown, tr
from app.window import Window
from core.files import make_folder, write_bytes

PAGE_PIXELS = 1400
_PATIENCE = 120.0


def wait_until(ready: Callable[[], bool], seconds: float = _PATIENCE) -> bool:
    """Let the window work until something is so."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        QApplication.processEvents()
        if ready():
            return True
        time.sleep(0.004)
    return False


def is_complete(window: Window) -> bool:
    """Whether all pages are engraved (or given up) and the piece is worked through."""
    if window.workers.is_busy:
        return False
    if window.session.document.source is None:
        return True
    view = window.score
    pages = range(view.page_count)
    engraved = all(view.store.has(page) or view.failed_pages & {page, -1} for page in pages)
    is_laid_out = view.engraver.pages > 0 or bool(view.failed_pages)
    worked_through = window.session.derived is not None or window.session.has_failed
    return worked_through and is_laid_out and engraved


def write_pictures(window: Window, folder: Path) -> Path:
    """Write ``window.png``, ``page-1.png`` … and ``index.html``; returns the last."""
    make_folder(folder)
    window.show()
    wait_until(lambda: is_complete(window))
    wait_until(lambda: False, 0.3)  # let what was just told be painted
    write_bytes(folder / "window.png", png(window.grab().toImage()))
    pages = []
    for page in range(window.score.page_count):
        image = page_picture(window, page, PAGE_PIXELS)
        if image is not None:
            name = f"page-{page + 1}.png"
            write_bytes(folder / name, png(image))
            pages.append(name)
    index = folder / "index.html"
    write_bytes(index, _html(window, pages).encode("utf-8", "replace"))
    return index


def png(image: QImage) -> bytes:
    """An image as the bytes of a PNG file."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(image)
    return bytes(buffer.data().data())


def page_picture(window: Window, page: int, width: int) -> QImage | None:
    """One page with all that stands on it."""
    view = window.score
    compiled = view.store.compiled(page)
    if compiled is None:
        return None
    scale = width / PAGE_WIDTH
    lift = view.title_height if page == 0 else 0.0
    image = QImage(width, round((PAGE_HEIGHT + lift) * scale), QImage.Format.Format_RGB32)
    image.fill(view.colours.colour("page"))
    painter = QPainter(image)
    if page == 0:
        paint_title(painter, view.title, view.colours, scale)
    painter.translate(0, lift * scale)
    clip = QRectF(0, 0, PAGE_WIDTH, PAGE_HEIGHT)
    paint_page(painter, compiled, view.colours.colour("ink"), scale, clip)
    overlay = view.store.overlay(page)
    if overlay is not None:
        OverlayPainter(painter, view.colours, scale).paint(overlay, None, None)
    painter.end()
    return image


def _html(window: Window, pages: list[str]) -> str:
    derived = window.session.derived
    colours = window.colours
    title = derived.analysis.score.title if derived else "Stopwright"
    organ = window.session.organ
    body = [f"<h1>{escape(title or 'Untitled')}</h1>"]
    if organ is not None:
        body.append(f"<p><i>on {escape(organ.name)}</i></p>")
    body.append("<h2>The window</h2><img src='window.png' alt='the window'>")
    body += ["<h2>Remarks</h2>", _findings(window), "<h2>The registration, step by step</h2>", _steps(window)]
    body.append("<h2>The score</h2>")
    body += [f"<img src='{name}' id='{name[:-4]}' alt='{name[:-4]}'>" for name in pages]
    style = (
        f"body{{font-family:'Liberation Serif',Georgia,serif;background:{colours.page};color:{colours.ink};"
        "max-width:60rem;margin:2rem auto;padding:0 1rem;line-height:1.4}"
        f"img{{max-width:100%;border:1px solid {colours.rule};margin:.5rem 0}}"
        "td{vertical-align:top;padding:.2rem .8rem .2rem 0}h2{font-weight:normal;margin-top:2rem}"
        f".error{{color:{colours.error}}}.warning{{color:{colours.doubt}}}.advice{{color:{colours.advice}}}"
        f"small{{color:{colours.faint}}}a{{color:{colours.accent}}}"
    )
    head = f"<meta charset='utf-8'><title>{escape(title or 'Stopwright')}</title><style>{style}</style>"
    return f"<!doctype html><html lang='en'><head>{head}</head><body>{''.join(body)}</body></html>\n"


def _findings(window: Window) -> str:
    derived = window.session.derived
    if derived is None or not derived.index.findings:
        return "<p>Nothing to remark.</p>"
    rows = []
    for finding in derived.index.findings:
        level = finding.level.value
        place = escape(place_words(finding))
        page = window.score.store.page_of(finding.at.bar) if finding.at is not None else None
        if page is not None:
            place = f"<a href='#page-{page + 1}'>{place}</a>"
        remedies = "".join(f"<br>→ {escape(shown(p.text))}" for p in finding.proposals[:3])
        rows.append(
            f"<tr><td class='{level}'>{SIGNS[level]} {tr(LEVEL_WORDS[level])}</td><td>{place}</td>"
            f"<td>{escape(sentence(finding))}<br><small>{escape(shown(finding.why))}{remedies}</small></td></tr>"
        )
    return f"<table>{''.join(rows)}</table>"


def _steps(window: Window) -> str:
    derived = window.session.derived
    if derived is None or derived.analysis.organ is None:
        return "<p>Choose an organ to see what is drawn.</p>"
    organ = derived.analysis.organ
    rows = []
    for step in derived.analysis.steps:
        said = "; ".join(escape(text.replace("\n", " / ")) for text in step.texts)
        hands = [
            f"{tr(HANDS[hand])} {escape(hand_sentence(organ, step.registration, hand))}"
            for hand in ("right", "left", "feet")
        ]
        again = "" if step.at.nth == 1 else f", time {step.at.nth}"
        rows.append(
            f"<tr><td>bar {escape(step.at.measure)}{again}</td><td><i>{said}</i></td><td>{'<br>'.join(hands)}</td></tr>"
        )
    return f"<table>{''.join(rows)}</table>"
