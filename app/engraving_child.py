"""The one script that talks to the engraver. It runs as a process of its own, without the window's toolkit.

The engraver holds the interpreter's lock while it works and can crash on odd input; here it stops and
endangers nobody. In on standard input: a line of JSON, for ``load`` followed by ``size`` bytes of the
score. Out on standard output: ten digits with the length of the JSON document that follows.

    {"do": "load", "revision": 3, "size": 81234, "gap": 22}
        → {"is": "prepared", bars, headings}, {"is": "slice", page}, {"is": "loaded", pages}
    {"do": "page", "revision": 3, "page": 2} → {"is": "page", …}
    {"do": "excerpts", "size": 81234, "bars": [4, 11], "count": 2} → {"is": "excerpt", bar, …} for each, {"is": "done"}
    {"do": "print", "size": 81234, "width": 2100, "height": 2970} → {"is": "page", …} for each, {"is": "done"}
"""

from __future__ import annotations

import ctypes
import json
import sys
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any, BinaryIO

from lxml import etree

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from core.errors import StopwrightError
from core.score.drawing import read_page
from core.score.engraving import FIRST_SLICE, Prepared, prepare

OPTIONS: dict[str, Any] = {
    "header": "none",
    "footer": "none",
    "svgViewBox": True,
    "svgRemoveXlink": True,
    "svgFormatRaw": True,
    "smuflTextFont": "none",
    "xmlIdSeed": 1,
    "breaks": "auto",
    "scale": 100,
    "pageWidth": 2100,
    "pageHeight": 2970,
    "pageMarginTop": 100,
    "pageMarginLeft": 110,
    "pageMarginRight": 90,
}


_TIGHT: dict[str, Any] = {
    "breaks": "none",
    "adjustPageWidth": True,
    "adjustPageHeight": True,
    "pageMarginTop": 20,
    "pageMarginBottom": 20,
    "pageMarginLeft": 20,
    "pageMarginRight": 20,
}
_MARGINS: dict[str, Any] = {
    "pageMarginTop": 120,
    "pageMarginBottom": 150,
    "pageMarginLeft": 130,
    "pageMarginRight": 120,
}


class Engraver:
    """Answers the requests of one window."""

    def __init__(self, out: BinaryIO) -> None:
        import verovio

        verovio.enableLog(verovio.LOG_OFF)
        self.out = out
        self.toolkit = verovio.toolkit()
        self.owners: dict[str, str] = {}
        self.known: set[str] = set()

    def answer(self, request: dict[str, Any], source: BinaryIO) -> None:
        """Do one request and send what it gives."""
        revision = int(request.get("revision", 0))
        if request["do"] == "load":
            self._load(source.read(int(request["size"])), revision, int(request.get("gap", 4)))
        elif request["do"] == "page":
            self._send_page("page", revision, int(request["page"]))
        elif request["do"] == "excerpts":
            self._excerpts(source.read(int(request["size"])), request["bars"], int(request["count"]))
        elif request["do"] == "print":
            self._print(source.read(int(request["size"])), int(request["width"]), int(request["height"]))

    def _excerpts(self, score: bytes, bars: list[int], count: int) -> None:
        """A few bars from each of these bars on, each on a page just as large as they are."""
        prepared = self._prepared(score)
        if prepared is None:
            return
        self.toolkit.setOptions({**OPTIONS, **_TIGHT})
        for bar in bars:
            if self.toolkit.loadData(prepared.excerpt(bar, count)) and self.toolkit.getPageCount():
                page = read_page(self.toolkit.renderToSVG(1), prepared.owners)
                page["glyphs"].update(_signs_in_texts(page))
                self._send({"is": "excerpt", "bar": bar, **page})
        self._send({"is": "done"})

    def _print(self, score: bytes, width: int, height: int) -> None:
        """All pages for print, the first with the title."""
        prepared = self._prepared(score)
        if prepared is None:
            return
        self.owners = prepared.owners
        self.toolkit.setOptions({**OPTIONS, "header": "auto", "pageWidth": width, "pageHeight": height, **_MARGINS})
        if not self.toolkit.loadData(prepared.whole()):
            self._send({"is": "failed", "revision": 0, "why": ""})
            return
        self.known.clear()
        for number in range(1, self.toolkit.getPageCount() + 1):
            self._send_page("page", 0, number)
        self._send({"is": "done"})

    def _prepared(self, score: bytes) -> Prepared | None:
        try:
            return prepare(score)
        except StopwrightError as error:
            self._send({"is": "failed", "revision": 0, "why": str(error)})
            return None

    def _load(self, score: bytes, revision: int, gap: int) -> None:
        self.known.clear()
        try:
            prepared = prepare(score)
        except StopwrightError as error:
            self._send({"is": "failed", "revision": revision, "why": str(error)})
            return
        self.owners = prepared.owners
        headings = [asdict(heading) for heading in prepared.headings]
        bars = prepared.bars
        self._send({"is": "prepared", "revision": revision, "bars": bars, "headings": headings})
        # the lane stands in the gap below each system, also below the last one of a page
        self.toolkit.setOptions({**OPTIONS, "spacingSystem": min(gap, 48), "pageMarginBottom": gap * 9})
        if bars > FIRST_SLICE + 20 and self.toolkit.loadData(prepared.first_bars()):
            self._send_page("slice", revision, 1)
        whole = prepared.whole()
        del prepared  # the copy's tree takes more room than all else here
        give_back()
        if not self.toolkit.loadData(whole):
            self._send({"is": "failed", "revision": revision, "why": ""})
            return
        del whole
        give_back()
        self._send({"is": "loaded", "revision": revision, "pages": self.toolkit.getPageCount()})

    def _send_page(self, kind: str, revision: int, number: int) -> None:
        page = read_page(self.toolkit.renderToSVG(number), self.owners)
        page["glyphs"].update(_signs_in_texts(page))
        page["glyphs"] = {code: path for code, path in page["glyphs"].items() if code not in self.known}
        self.known.update(page["glyphs"])
        bars = [chunk["bar"] for chunk in page["chunks"] if chunk["bar"] is not None]
        span = {"first": min(bars, default=-1), "last": max(bars, default=-1)}
        self._send({"is": kind, "revision": revision, "page": number, **span, **page})

    def _send(self, content: dict[str, Any]) -> None:
        body = json.dumps(content, ensure_ascii=False, separators=(",", ":")).encode()
        self.out.write(b"%010d" % len(body) + body)
        self.out.flush()


def give_back() -> None:
    """Let the system have what was freed; where its allocator cannot be asked, it keeps it for later."""
    try:
        ctypes.CDLL(None).malloc_trim(0)
    except (OSError, AttributeError, TypeError):
        return


def _signs_in_texts(page: dict[str, Any]) -> dict[str, str]:
    """Outlines of the music signs that stand in texts, from the engraver's own font."""
    runs = [run for chunk in page["chunks"] for text in chunk["texts"] for run in text["runs"]]
    codes = {f"{ord(sign):04X}" for run in runs if run[4] for sign in run[0]}
    found = {}
    for code in codes:
        outline = _font_outline(code)
        if outline is not None:
            found[code] = outline
    return found


@cache
def _font_outline(code: str) -> str | None:
    import verovio

    file = Path(verovio.__file__).parent / "data" / "Leipzig" / f"{code}.xml"
    if not file.is_file():
        return None
    path = etree.parse(str(file)).getroot().find(".//{*}path")
    return None if path is None else path.get("d")


def main() -> None:
    """Serve until standard input closes."""
    out, sys.stdout = sys.stdout.buffer, sys.stderr  # nobody else may write between the answers
    engraver = Engraver(out)
    for line in iter(sys.stdin.buffer.readline, b""):
        engraver.answer(json.loads(line), sys.stdin.buffer)


if __name__ == "__main__":
    main()
