"""Opening a score file: its bytes as they are, and the score's own XML in them.

The bytes are the score of record; nothing here changes them. What the file is, its bytes say, never its name.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path

from core.errors import ScoreError
from core.score.archive import is_zip, read_archive
from core.score.encoding import find_encoding
from core.score.importing import convert, foreign_format
from core.texts import Said

MAX_BYTES = 64 * 1024 * 1024
"""No score of an organ piece comes near it (2,000 bars on three staves: 8 MB)."""

_OTHER_MAGIC = {
    b"\x1f\x8b": "gzip data",
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"GIF8": "a picture",
    b"BZh": "bzip2 data",
    b"7z\xbc\xaf": "a 7z archive",
    b"\xfd7zXZ": "xz data",
    b"Rar!": "a RAR archive",
}
_REMEDY = "Give a MusicXML score (.musicxml, .xml or .mxl)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A score file as it is.

    Attributes:
        path: where it was read from, None for bytes without a file.
        data: the file's bytes.
        xml: the score's own bytes: `data`, or the score's member of an archive.
        member: the name of that member in a `.mxl`, else None.
        encoding: the encoding of `xml`, by a name that Python knows.
        repairs: what had to be put right to read it.
        converted_from: another format that `xml` was converted from ("MIDI"), else None: such a score
            cannot be saved into its own file.
    """

    path: str | None
    data: bytes
    xml: bytes
    member: str | None = None
    encoding: str = "utf-8"
    repairs: tuple[Said, ...] = ()
    converted_from: str | None = None


def read_source(path: str | Path) -> Source:
    """Read a score file.

    Raises:
        ScoreError: it is missing, unreadable, a folder, too large, or no score.
    """
    file = Path(path)
    try:
        if file.is_dir():
            raise ScoreError("this is a folder, not a score", path=path, remedy="Name the score file in it")
        if not file.exists():
            raise ScoreError("there is no such file", path=path, remedy="Look at the name and the folder")
        if not file.is_file():
            raise ScoreError("this is not an ordinary file", path=path, remedy=_REMEDY)
        with file.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ScoreError(f"the file cannot be read ({reason})", path=path, remedy="Look at its permissions") from error
    return source_from_bytes(data, str(path))


def source_from_bytes(data: bytes, path: str | None = None) -> Source:
    """The source in a file's bytes; `path` is only named in errors.

    Raises:
        ScoreError: the bytes hold no score.
    """
    if not data.strip(b" \t\r\n\0"):
        raise ScoreError("the file is empty", path=path, remedy=_REMEDY)
    if len(data) > MAX_BYTES:
        raise _too_large(path)
    if is_zip(data):
        member, xml = _score_member(data, path)
    else:
        _refuse_other_kinds(data, path)
        member, xml = None, data
    foreign = foreign_format(xml, path) if member is None else None
    if foreign is not None:
        converted, repair = convert(xml, foreign, path)
        return Source(path=path, data=data, xml=converted, repairs=(repair,), converted_from=foreign)
    encoding, repairs = find_encoding(xml, path, member)
    return Source(path=path, data=data, xml=xml, member=member, encoding=encoding, repairs=repairs)


def _score_member(data: bytes, path: str | None) -> tuple[str, bytes]:
    try:
        return read_archive(data, path, MAX_BYTES)
    except (zlib.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError) as error:
        raise ScoreError(
            f"the compressed score is damaged ({error})", path=path, remedy="Save or download it again"
        ) from error


def _refuse_other_kinds(data: bytes, path: str | None) -> None:
    for magic, name in _OTHER_MAGIC.items():
        if data.startswith(magic):
            remedy = "Unpack it first" if "data" in name or "archive" in name else _REMEDY
            raise ScoreError(f"this is {name}, not a score", path=path, remedy=remedy)


def _too_large(path: str | None) -> ScoreError:
    return ScoreError(
        f"the file is larger than {MAX_BYTES // 1024**2} MB",
        path=path,
        remedy="Divide the piece into movements",
    )
