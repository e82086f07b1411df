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
_CONTAINER_LIMIT = 1024 * 1024


def is_zip(data: bytes) -> bool:
    """Whether the bytes begin as an archive does."""
    return data[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def read_archive(data: bytes, path: str | None, limit: int) -> tuple[str, bytes]:
    """The score's member of an archive: its name and its bytes.

    Raises:
        ScoreError: the archive is broken, too large, or names no score.
    """
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, UnicodeDecodeError) as error:
        raise ScoreError(
            "the compressed score is cut off or damaged", path=path, remedy="Save or download it again"
        ) from error
    with archive:
        members = archive.infolist()
        if len(members) > MAX_MEMBERS:
            raise ScoreError(
                f"the archive holds {len(members)} files, more than {MAX_MEMBERS}",
                path=path,
                remedy="Give the score's own .mxl",
            )
        name = _root_file(archive, path)
        return name, _read_member(archive, name, path, limit)


def _read_member(archive: zipfile.ZipFile, name: str, path: str | None, limit: int) -> bytes:
    try:
        info = archive.getinfo(name)
        with archive.open(info) as stream:
            content = stream.read(limit + 1)
    except KeyError as error:
        raise ScoreError(
            f"the archive has no file {name!r}", path=path, where=CONTAINER, remedy="Save the score again"
        ) from error
    except zipfile.BadZipFile as error:
        raise ScoreError("the archive is damaged", path=path, where=name, remedy="Save or download it again") from error
    if len(content) > limit or len(content) > MAX_RATIO * max(info.compress_size, 1024):
        raise ScoreError(
            "it unpacks to more than any score holds",
            path=path,
            where=name,
            remedy="Do not trust this file; ask for another copy",
        )
    return content


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
