"""Asks the engraving child for a whole score or for excerpts and waits; for the command line. Needs no toolkit."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from core.errors import ReadError
from core.export.paper import PaperSize
from core.score.drawing import Page

CHILD = Path(__file__).with_name("engraving_child.py")
_LENGTH_DIGITS = 10
_PATIENCE = 300  # seconds for a score of several thousand bars on a slow machine


def engraved_pages(score: bytes, size: PaperSize = PaperSize.A4) -> list[Page]:
    """Every page of a score (its XML bytes) as draw lists; each brings all the outlines that it needs.

    Raises:
        ReadError: it cannot be engraved.
    """
    width, height = (round(side * 10) for side in size.millimetres)
    answers = _ask({"do": "print", "width": width, "height": height}, score)
    glyphs: dict[str, str] = {}
    pages = []
    for page in answers:
        glyphs.update(page["glyphs"])
        pages.append(page)
    for page in pages:
        page["glyphs"] = glyphs
    return pages


def engraved_excerpts(score: bytes, bars: Sequence[int], count: int = 1) -> dict[int, Page]:
    """A few bars from each of these bar indexes on, as draw lists on pages as large as they are.

    Raises:
        ReadError: the score cannot be engraved.
    """
    if not bars:
        return {}
    return {int(page["bar"]): page for page in _ask({"do": "excerpts", "bars": list(bars), "count": count}, score)}


def _ask(request: dict[str, Any], score: bytes) -> list[Page]:
    line = json.dumps({**request, "size": len(score)}).encode() + b"\n"
    try:
        done = subprocess.run(
            [sys.executable, "-I", str(CHILD)],
            input=line + score,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=_PATIENCE,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise ReadError("engraving this score takes too long", remedy="Print a part of it.") from error
    pages: list[Page] = []
    for answer in _answers(done.stdout):
        if answer["is"] == "done":
            return pages
        if answer["is"] == "failed":
            raise ReadError(answer.get("why") or "this score cannot be engraved")
        pages.append(answer)
    raise ReadError("the engraver ended while it drew this score", remedy="Is the file whole? Other programs may say.")


def _answers(data: bytes) -> Iterator[dict[str, Any]]:
    at = 0
    while at + _LENGTH_DIGITS <= len(data):
        length = int(data[at : at + _LENGTH_DIGITS])
        body = data[at + _LENGTH_DIGITS : at + _LENGTH_DIGITS + length]
        if len(body) < length:
            return
        yield json.loads(body)
        at += _LENGTH_DIGITS + length
