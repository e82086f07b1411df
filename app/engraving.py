"""Asks the engraving child for a whole score or for excerpts and waits; for print. Needs no toolkit."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryFile
from typing import Any

from core.errors import ReadError
from core.export.paper import PaperSize
from core.score.drawing import Page

CHILD = Path(__file__).with_name("engraving_child.py")
_LENGTH_DIGITS = 10
_LOOK_EVERY = 0.1  # seconds between two looks whether it is wanted still
_PATIENCE = 300  # seconds for a score of several thousand bars on a slow machine


class NoLongerWantedError(Exception):
    """Whoever asked for the pages wants them no more."""


def always() -> bool:
    """It is wanted whatever comes."""
    return True


def engraved_pages(score: bytes, size: PaperSize = PaperSize.A4, is_wanted: Callable[[], bool] = always) -> list[Page]:
    """Every page of a score (its XML bytes) as draw lists; each brings all the outlines that it needs.

    Raises:
        NoLongerWantedError: `is_wanted` said so meanwhile.
        ReadError: it cannot be engraved.
    """
    width, height = (round(side * 10) for side in size.millimetres)
    answers = _ask({"do": "print", "width": width, "height": height}, score, is_wanted)
    glyphs: dict[str, str] = {}
    pages = []
    for page in answers:
        glyphs.update(page["glyphs"])
        pages.append(page)
    for page in pages:
        page["glyphs"] = glyphs
    return pages


def engraved_excerpts(
    score: bytes, bars: Sequence[int], count: int = 1, is_wanted: Callable[[], bool] = always
) -> dict[int, Page]:
    """A few bars from each of these bar indexes on, as draw lists on pages as large as they are.

    Raises:
        NoLongerWantedError: `is_wanted` said so meanwhile.
        ReadError: the score cannot be engraved.
    """
    if not bars:
        return {}
    request = {"do": "excerpts", "bars": list(bars), "count": count}
    return {int(page["bar"]): page for page in _ask(request, score, is_wanted)}


def _ask(request: dict[str, Any], score: bytes, is_wanted: Callable[[], bool]) -> list[Page]:
    line = json.dumps({**request, "size": len(score)}).encode() + b"\n"
    answer = _answered(line + score, is_wanted)
    pages: list[Page] = []
    for one in _answers(answer):
        if one["is"] == "done":
            return pages
        if one["is"] == "failed":
            raise ReadError(one.get("why") or "this score cannot be engraved")
        pages.append(one)
    raise ReadError("the engraver ended while it drew this score", remedy="Is the file whole? Other programs may say.")


def _answered(data: bytes, is_wanted: Callable[[], bool]) -> bytes:
    """What the child writes; it is ended when its answer is no longer wanted, or too long in coming."""
    until = time.monotonic() + _PATIENCE
    with TemporaryFile() as request:  # a pipe would have to be fed while we look whether it is wanted still
        request.write(data)
        request.seek(0)
        child = subprocess.Popen(
            [sys.executable, "-I", str(CHILD)], stdin=request, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        try:
            while True:
                try:
                    return child.communicate(timeout=_LOOK_EVERY)[0]
                except subprocess.TimeoutExpired as error:
                    if not is_wanted():
                        raise NoLongerWantedError from error
                    if time.monotonic() > until:
                        raise ReadError("engraving this score takes too long", remedy="Print a part of it.") from error
        finally:
            if child.poll() is None:
                child.kill()
                child.communicate()


def _answers(data: bytes) -> Iterator[dict[str, Any]]:
    at = 0
    while at + _LENGTH_DIGITS <= len(data):
        length = int(data[at : at + _LENGTH_DIGITS])
        body = data[at + _LENGTH_DIGITS : at + _LENGTH_DIGITS + length]
        if len(body) < length:
            return
        yield json.loads(body)
        at += _LENGTH_DIGITS + length
