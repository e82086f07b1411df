"""Takes the words out of a PDF file by its own tables, as a reader's “select all” would: for tests alone.

Follows ISO 32000-1: content streams (7.8), text operators (9.4), ToUnicode maps (9.10.3).
"""

from __future__ import annotations

import re
import zlib

_OBJECT = re.compile(rb"(\d+) 0 obj\b(.*?)endobj", re.S)
_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.S)


def _objects(data: bytes) -> dict[int, bytes]:
    return {int(found[1]): found[2] for found in _OBJECT.finditer(data)}


def _stream(body: bytes) -> bytes:
    found = _STREAM.search(body)
    assert found is not None
    return zlib.decompress(found[1]) if b"FlateDecode" in body[: found.start()] else found[1]


def _map(text: bytes) -> dict[int, str]:
    table: dict[int, str] = {}
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", text, re.S):
        for low, high, rest in re.findall(rb"<(\w+)>\s*<(\w+)>\s*(\[[^\]]*\]|<\w+>)", block):
            first = int(low, 16)
            targets = re.findall(rb"<(\w+)>", rest)
            for number in range(first, int(high, 16) + 1):
                if rest.startswith(b"["):
                    table[number] = bytes.fromhex(targets[number - first].decode()).decode("utf-16-be")
                else:
                    table[number] = chr(int(targets[0], 16) + number - first)
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", text, re.S):
        for code, target in re.findall(rb"<(\w+)>\s*<(\w+)>", block):
            table[int(code, 16)] = bytes.fromhex(target.decode()).decode("utf-16-be")
    return table


def _fonts(objects: dict[int, bytes], page: bytes) -> dict[bytes, dict[int, str]]:
    found = re.search(rb"/Resources (\d+) 0 R", page)
    assert found is not None
    names = re.findall(rb"/(F\d+) (\d+) 0 R", objects[int(found[1])])
    fonts = {}
    for name, number in names:
        unicode = re.search(rb"/ToUnicode (\d+) 0 R", objects[int(number)])
        assert unicode is not None, "a font whose words cannot be copied"
        fonts[name] = _map(_stream(objects[int(unicode[1])]))
    return fonts


def pdf_pages(data: bytes) -> list[str]:
    """The words of each page, a line for each height."""
    objects = _objects(data)
    kids = next(body for body in objects.values() if b"/Kids" in body)
    numbers = re.findall(rb"(\d+) 0 R", kids[kids.index(b"/Kids") : kids.index(b"]")])
    return [_page(objects, objects[int(number)]) for number in numbers]


def _page(objects: dict[int, bytes], page: bytes) -> str:
    fonts = _fonts(objects, page)
    contents = re.search(rb"/Contents (\d+) 0 R", page)
    assert contents is not None
    text, font = "", {}
    pattern = rb"/(F\d+) [\d.]+ Tf|(BT)|([-\d.]+) ([-\d.]+) Td|<(\w+)> Tj"
    for name, begins, _across, down, shown in re.findall(pattern, _stream(objects[int(contents[1])])):
        if name:
            font = fonts[name]
        elif begins or (down and float(down)):
            text += "\n" if text and not text.endswith("\n") else ""
        elif shown:
            codes = [int(shown[at : at + 4], 16) for at in range(0, len(shown), 4)]
            text += "".join(font.get(code, "\ufffd") for code in codes)
    return text


def embedded_fonts(data: bytes) -> tuple[set[str], set[str]]:
    """The fonts that a file names, and those whose outlines it holds."""
    named, held = set(), set()
    for body in _objects(data).values():
        name = re.search(rb"/BaseFont /(?:[A-Z]+\+)?(\S+)", body)
        if name and b"/Type0" in body:
            named.add(name[1].decode())
        name = re.search(rb"/FontName /(?:[A-Z]+\+)?(\S+)", body)
        if name and b"/FontFile2" in body:
            held.add(name[1].decode())
    return named, held


def page_sizes(data: bytes) -> list[tuple[int, int]]:
    """Width and height of each page in points, rounded."""
    found = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", data)
    return [(round(float(width)), round(float(height))) for width, height in found]
