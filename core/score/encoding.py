"""Which encoding a score's XML is in: the byte-order mark first, then the bytes, then what is declared."""

from __future__ import annotations

import codecs
import re

from core.errors import ScoreError
from core.texts import Said, say

_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_BARE = ((b"<\0\0\0", "utf-32-le"), (b"\0\0\0<", "utf-32-be"), (b"<\0", "utf-16-le"), (b"\0<", "utf-16-be"))
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]*?encoding\s*=\s*["']([^"'>]{1,60})["']""")
_NO_TEXT = frozenset({"utf-7", "punycode", "idna", "unicode_escape", "raw-unicode-escape", "unicode-escape", "hz"})
"""Python knows them, no score is written in them, and signs of the markup may hide in them."""
_WIDE = ("utf-16", "utf-32", "utf_16", "utf_32", "ucs-2", "ucs-4", "iso-10646")


def find_encoding(xml: bytes, path: str | None, member: str | None) -> tuple[str, tuple[Said, ...]]:
    """The encoding of the bytes and what was repaired to find it.

    Raises:
        ScoreError: the declared encoding is unknown, or the bytes cannot be read in any.
    """
    for mark, name in _MARKS:
        if xml.startswith(mark):
            _check(xml, name, path, member)
            return name, ()
    for start, name in _BARE:
        if xml.startswith(start):
            _check(xml, name, path, member)
            return name, ()
    repairs: list[Said] = []
    if xml[:1] in b" \t\r\n" and xml.lstrip().startswith(b"<?xml"):
        repairs.append(say("An empty line before the XML declaration was passed over."))
    match = _DECLARED.match(xml)
    declared = match[1].decode("ascii", "replace").strip().lower() if match else "utf-8"
    if declared.startswith(_WIDE) or declared == "unicode":
        _check(xml, "utf-8", path, member)
        repairs.append(say("The file says {declared} but is UTF-8; it was read as UTF-8.", declared=declared))
        return "utf-8", tuple(repairs)
    return _declared_encoding(xml, declared, repairs, path, member)


def decoded(xml: bytes, encoding: str) -> bytes:
    """The bytes as UTF-8 for the parser (themselves where they are UTF-8 already)."""
    if encoding in ("utf-8", "utf-8-sig", "ascii"):
        return xml.lstrip() if xml[:1] in b" \t\r\n" else xml
    return xml.decode(encoding).lstrip("\ufeff \t\r\n").encode("utf-8", "surrogatepass")


def _declared_encoding(
    xml: bytes, declared: str, repairs: list[Said], path: str | None, member: str | None
) -> tuple[str, tuple[Said, ...]]:
    try:
        name = codecs.lookup(declared).name
        "".encode(name)  # rot13 and the like are no encodings of text
        if name.replace("_", "-") in _NO_TEXT or name in _NO_TEXT:
            raise LookupError(name)
    except (LookupError, ValueError) as error:
        raise ScoreError(
            f"it says it is written in {declared!r}, an encoding nobody here knows",
            path=path,
            line=1,
            where=member,
            remedy="Save it as UTF-8",
        ) from error
    try:
        xml.decode(name)
    except UnicodeDecodeError as error:
        line = xml.count(b"\n", 0, error.start) + 1
        column = error.start - xml.rfind(b"\n", 0, error.start)
        if b"\0" in xml[:1024] or not xml.lstrip().startswith(b"<"):
            raise _no_text(path, member) from error
        other = "utf-8" if name != "utf-8" and _fits(xml, "utf-8") else "cp1252"
        other = other if _fits(xml, other) else "latin-1"
        repairs.append(
            say(
                "Line {line}, column {column} is not {declared}; the file was read as {other}.",
                line=line,
                column=column,
                declared=declared.upper(),
                other=other.upper(),
            )
        )
        return other, tuple(repairs)
    return name, tuple(repairs)


def _fits(xml: bytes, encoding: str) -> bool:
    try:
        xml.decode(encoding)
    except UnicodeDecodeError:
        return False
    return True


def _check(xml: bytes, encoding: str, path: str | None, member: str | None) -> None:
    try:
        xml.decode(encoding)
    except UnicodeDecodeError as error:
        raise ScoreError(
            f"byte {error.start} does not fit the file's encoding, {encoding.upper()}",
            path=path,
            where=member,
            remedy="Save it again as UTF-8",
        ) from error


def _no_text(path: str | None, member: str | None) -> ScoreError:
    return ScoreError(
        "this is not XML but binary data",
        path=path,
        where=member,
        remedy="Give a MusicXML score (.musicxml, .xml or .mxl)",
    )
