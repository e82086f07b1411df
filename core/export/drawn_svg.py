"""Engraved music as a flat SVG that any viewer draws: outlines, lines, and texts that stay texts.

It is made of draw lists (`core.score.drawing`); texts of the score are escaped here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from html import escape
from typing import Any, NamedTuple

from core.score.drawing import Page

_FACE = "Liberation Serif"  # one name: not every viewer reads a list; others take a serif of their own
UNITS_A_MILLIMETRE = 100.0
# Signs of the music font that stand in a line of words, as the characters that text fonts have for them.
IN_WORDS = {
    0xECA2: "𝅝", 0xECA3: "𝅗𝅥", 0xECA4: "𝅗𝅥", 0xECA5: "♩", 0xECA6: "♩", 0xECA7: "♪", 0xECA8: "♪", 0xECB7: ".",
    0xE260: "♭", 0xE261: "♮", 0xE262: "♯", 0xE520: "p", 0xE521: "m", 0xE522: "f", 0xE524: "s", 0xE525: "z",
}  # fmt: skip


class Mark(NamedTuple):
    """A highlight behind the music: a rectangle in page units with a sign at its corner."""

    x: float
    y: float
    width: float
    height: float
    sign: str
    words: str


def page_svg(page: Page, *, marks: Sequence[Mark] = ()) -> str:
    """One page. Its size is in millimetres; an outline that is used often is given once.

    Args:
        page: the draw lists, with all the outlines they use.
        marks: highlights, drawn behind.
    """
    width, height = page["size"]
    codes = list(dict.fromkeys(use[0] for chunk in page["chunks"] for use in chunk["uses"]))
    glyphs: Mapping[str, str] = page["glyphs"]
    outlines = "".join(
        f'<path id="g{escape(code)}" d="{escape(glyphs[code])}" transform="scale(1,-1)"/>'
        for code in codes
        if code in glyphs
    )
    body = "".join(
        [*(_mark(mark) for mark in marks), *(part for chunk in page["chunks"] for part in _chunk(chunk, glyphs))]
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1" '
        f'width="{width / UNITS_A_MILLIMETRE:g}mm" height="{height / UNITS_A_MILLIMETRE:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}"><defs>{outlines}</defs>{body}</svg>\n'
    )


def _mark(mark: Mark) -> str:
    size = 260
    return (
        f"<g><title>{escape(mark.words)}</title>"
        f'<rect x="{mark.x:g}" y="{mark.y:g}" width="{mark.width:g}" height="{mark.height:g}" fill="#f3e3b3" '
        'stroke="#8a6d1f" stroke-width="14" stroke-dasharray="60 40"/>'
        f'<text x="{mark.x:g}" y="{mark.y - 60:g}" font-family="DejaVu Sans, sans-serif" font-size="{size}" '
        f'fill="#5c4710">{escape(mark.sign)}</text></g>'
    )


def _chunk(chunk: Page, glyphs: Mapping[str, str]) -> Iterator[str]:
    for code, a, b, c, d, e, f, _owner in chunk["uses"]:
        if code in glyphs:
            place = (
                f"translate({e:g},{f:g})"
                if (b, c) == (0, 0) and a == d == 1
                else f"matrix({a:g},{b:g},{c:g},{d:g},{e:g},{f:g})"
            )
            yield f'<use xlink:href="#g{escape(code)}" transform="{place}"/>'
    for width, dash, x1, y1, x2, y2, _owner in chunk["lines"]:
        dashes = f' stroke-dasharray="{_numbers(dash)}"' if dash else ""
        yield f'<path d="M{x1:g} {y1:g} L{x2:g} {y2:g}" stroke="#000" stroke-width="{width:g}" fill="none"{dashes}/>'
    for data, matrix, filled, width, dash, _owner in chunk["shapes"]:
        place = f' transform="matrix({",".join(f"{value:g}" for value in matrix)})"' if matrix else ""
        fill = "#000" if filled and not dash else "none"
        stroke = f' stroke="#000" stroke-width="{width or 1:g}"' if width or not filled else ""
        dashes = f' stroke-dasharray="{_numbers(dash)}"' if dash else ""
        yield f'<path d="{escape(data)}" fill="{fill}"{stroke}{dashes}{place}/>'
    for text in chunk["texts"]:
        yield from _text(text, glyphs)


def _numbers(values: Sequence[float]) -> str:
    return " ".join(f"{value:g}" for value in values)


def _text(text: Page, glyphs: Mapping[str, str]) -> Iterator[str]:
    """One block: its words, and the signs between them, as text; signs that stand alone as outlines."""
    if any(not run[4] for run in text["runs"]):
        spans = "".join(
            f'<tspan font-size="{_size(run):g}" font-weight="{"bold" if run[2] and not run[4] else "normal"}" '
            f'font-style="{"italic" if run[3] else "normal"}">{escape(words_of(run))}</tspan>'
            for run in text["runs"]
        )
        yield (
            f'<text x="{text["x"]:g}" y="{text["y"]:g}" text-anchor="{escape(text["anchor"])}" '
            f'font-family="{_FACE}" xml:space="preserve">{spans}</text>'
        )
        return
    x = float(text["x"])
    for content, size, *_ in text["runs"]:
        for sign in content:
            data = glyphs.get(f"{ord(sign):04X}")
            if data:
                scale = size / 1000
                place = f"translate({x:g},{text['y']:g}) scale({scale:g},{-scale:g})"
                yield f'<path d="{escape(data)}" transform="{place}"/>'
            x += size * 0.6


def _size(run: Sequence[Any]) -> float:
    """The size of a run; a sign of the music font is set larger there than a text font needs."""
    return float(run[1]) * (0.62 if run[4] else 1.0)


def words_of(run: Sequence[Any]) -> str:
    """A run's text, with music signs as the characters of a text font."""
    return "".join(IN_WORDS.get(ord(sign), "") for sign in run[0]) if run[4] else str(run[0])
