"""The compressed form of MusicXML (`.mxl`): which member is the score, read with limits on everything."""

from __future__ import annotations

import io
import zipfile

from lxml import etree

from core.errors import ScoreError

CONTAINER = "META-INF/container.xml"
MAX_MEMBERS = 1000
MAX_RATIO = 1000
"""MusicXML packs to a tenth or twentieth; a thousandth is a bomb (deflate ends at about 1,030)."""
MAX_UNPACKED = 1024 * 1024 * 1024
"""All members together, as the archive says (a score may bring pictures and sound)."""
_CONTAINER_LIMIT = 1024 * 1024
_DIRECTORY_RECORD = b"PK\x01\x02"
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


def is_zip(data: bytes) -> bool:
    """Whether the bytes begin as an archive does."""
    return data[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def read_archive(data: bytes, path: str | None, limit: int) -> tuple[str, bytes]:
    """The score's member of an archive: its name and its bytes.

    Raises:
        ScoreError: the archive is broken, too large, or names no score.
    """
    count = data.count(_DIRECTORY_RECORD)
    if count > MAX_MEMBERS:  # before its directory is read: a million entries take a gigabyte
        raise ScoreError(
            f"the archive holds more than {MAX_MEMBERS:,} files", path=path, remedy="Give the score's own .mxl"
        )
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, UnicodeDecodeError) as error:
        raise ScoreError(
            "the compressed score is cut off or damaged", path=path, remedy="Save or download it again"
        ) from error
    with archive:
        if sum(info.file_size for info in archive.infolist()) > MAX_UNPACKED:
            raise _bomb(path, None)
        name = _root_file(archive, path)
        return name, _read_member(archive, name, path, limit)


def _read_member(archive: zipfile.ZipFile, name: str, path: str | None, limit: int) -> bytes:
    try:
        info = archive.getinfo(name)
        if info.compress_type not in _METHODS:
            raise ScoreError(
                "it is compressed in a way that scores never are", path=path, where=name, remedy="Save the score again"
            )
        with archive.open(info) as stream:
            content = stream.read(limit + 1)
    except KeyError as error:
        raise ScoreError(
            f"the archive has no file {name!r}", path=path, where=CONTAINER, remedy="Save the score again"
        ) from error
    except zipfile.BadZipFile as error:
        raise ScoreError("the archive is damaged", path=path, where=name, remedy="Save or download it again") from error
    if len(content) > limit or len(content) > MAX_RATIO * max(info.compress_size, 1024):
        raise _bomb(path, name)
    return content


def _bomb(path: str | None, name: str | None) -> ScoreError:
    return ScoreError(
        "it unpacks to more than any score holds",
        path=path,
        where=name,
        remedy="Do not trust this file; ask for another copy",
    )


def _root_file(archive: zipfile.ZipFile, path: str | None) -> str:
    if CONTAINER not in archive.namelist():
        raise ScoreError(
            f"the archive has no {CONTAINER}, so it is no compressed MusicXML",
            path=path,
            remedy="Give the score as .mxl or .musicxml",
        )
    parser = etree.XMLParser(load_dtd=False, no_network=True, remove_comments=True, remove_pis=True)
    try:
        root = etree.fromstring(_read_member(archive, CONTAINER, path, _CONTAINER_LIMIT), parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise ScoreError(
            f"the archive's list of contents is broken ({_plain(error)})",
            path=path,
            where=CONTAINER,
            remedy="Save the score again",
        ) from error
    for element in root.iter("{*}rootfile"):
        name = element.get("full-path")
        if name:
            return str(name)
    raise ScoreError(
        "the archive's list of contents names no score",
        path=path,
        where=CONTAINER,
        remedy="Save the score again",
    )


def _plain(error: Exception) -> str:
    return str(error).split(", line")[0]
