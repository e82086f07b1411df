"""One member of an `.mxl` archive replaced; every other byte of the archive stays as it is.

The other members' entries are copied as they stand (compression, times, order, remarks), and the archive's
comment with them. Only the new member's entry and the directory's offsets are written anew.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass

from core.errors import EditError

_LOCAL = struct.Struct("<4sHHHHHIIIHH")
_CENTRAL = struct.Struct("<4sHHHHHHIIIHHHHHII")
_END = struct.Struct("<4s4H2LH")
_DESCRIPTOR_FOLLOWS = 0x08
_ENCRYPTED = 0x01
_WIDE = 0xFFFFFFFF
_LEVEL = 6  # every edit packs anew, and the highest level takes twice as long

CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    "<container>\n"
    "  <rootfiles>\n"
    '    <rootfile full-path="{name}" media-type="application/vnd.recordare.musicxml+xml"/>\n'
    "  </rootfiles>\n"
    "</container>\n"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """One record of the archive's directory: where it stands, and the fields that matter here."""

    start: int
    end: int
    name: bytes
    flags: int
    method: int
    packed: int
    size: int
    local: int


def replace_member(archive: bytes, member: str, content: bytes) -> bytes:
    """The archive with one member's content replaced.

    Raises:
        EditError: it is too large, encrypted, damaged or otherwise unusual.
    """
    try:
        replaced = _replaced(archive, member, content)
        with zipfile.ZipFile(io.BytesIO(replaced)) as reader:
            whole = reader.read(member) == content
    except (struct.error, zipfile.BadZipFile, ValueError, KeyError, OSError, EOFError, zlib.error) as error:
        raise EditError("this archive is damaged and cannot be edited here") from error
    if not whole:
        raise EditError("this archive is laid out in an unusual way and cannot be edited here")
    return replaced


def _replaced(archive: bytes, member: str, content: bytes) -> bytes:
    end = archive.rfind(b"PK\x05\x06")
    fields = _END.unpack_from(archive, end)
    count, size, offset = fields[4], fields[5], fields[6]
    if count == 0xFFFF or _WIDE in (size, offset):
        raise EditError("this archive is of the large kind (zip64) and cannot be edited here")
    directory = end - size
    shift = directory - offset  # bytes before the archive proper
    entries = _entries(archive, directory, count)
    chosen = _choose(archive, entries, member)
    local = chosen.local + shift
    old_end = _end_of_entry(archive, chosen, local)
    flags = chosen.flags & ~_DESCRIPTOR_FOLLOWS
    packed = _pack(content, chosen.method)
    sizes = (zlib.crc32(content), len(packed), len(content))
    new_entry = _new_local(archive, local, flags, sizes) + packed
    grown = len(new_entry) - (old_end - local)
    records = b"".join(_record(archive, entry, chosen, flags, sizes, grown) for entry in entries)
    tail = _END.pack(*fields[:6], offset + grown, fields[7]) + archive[end + _END.size :]
    between = archive[old_end:directory]
    after_records = archive[entries[-1].end : end]
    return archive[:local] + new_entry + between + records + after_records + tail


def pack(name: str, content: bytes) -> bytes:
    """A new `.mxl` archive that holds one score."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        kind = zipfile.ZipInfo("mimetype")
        archive.writestr(kind, "application/vnd.recordare.musicxml", zipfile.ZIP_STORED)
        for path, data in (
            ("META-INF/container.xml", CONTAINER.format(name=_escape(name)).encode()),
            (name, content),
        ):
            archive.writestr(zipfile.ZipInfo(path), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def _escape(name: str) -> str:
    return name.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")


def _entries(archive: bytes, directory: int, count: int) -> list[_Entry]:
    entries = []
    position = directory
    for _ in range(count):
        f = _CENTRAL.unpack_from(archive, position)
        name_length, extra_length, comment_length = f[10], f[11], f[12]
        begin = position + _CENTRAL.size
        end = begin + name_length + extra_length + comment_length
        name = archive[begin : begin + name_length]
        entries.append(
            _Entry(
                start=position,
                end=end,
                name=name,
                flags=f[3],
                method=f[4],
                packed=f[8],
                size=f[9],
                local=f[16],
            )
        )
        position = end
    return entries


def _choose(archive: bytes, entries: list[_Entry], member: str) -> _Entry:
    with zipfile.ZipFile(io.BytesIO(archive)) as reader:
        names = [info.filename for info in reader.infolist()]
    at = len(names) - 1 - names[::-1].index(member)  # of two with one name the last is read
    entry = entries[at]
    if entry.flags & _ENCRYPTED:
        raise EditError("this archive is encrypted and cannot be edited here")
    if entry.method not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise EditError("this archive is compressed in an unusual way and cannot be edited here")
    if _WIDE in (entry.packed, entry.size, entry.local):
        raise EditError("this archive is of the large kind (zip64) and cannot be edited here")
    return entry


def _end_of_entry(archive: bytes, entry: _Entry, local: int) -> int:
    fields = _LOCAL.unpack_from(archive, local)
    end: int = local + _LOCAL.size + fields[9] + fields[10] + entry.packed
    if entry.flags & _DESCRIPTOR_FOLLOWS:
        end += 16 if archive[end : end + 4] == b"PK\x07\x08" else 12
    return end


def _pack(content: bytes, method: int) -> bytes:
    if method == zipfile.ZIP_STORED:
        return content
    packer = zlib.compressobj(_LEVEL, zlib.DEFLATED, -15)
    return packer.compress(content) + packer.flush()


def _new_local(archive: bytes, local: int, flags: int, sizes: tuple[int, int, int]) -> bytes:
    f = _LOCAL.unpack_from(archive, local)
    head = _LOCAL.pack(f[0], f[1], flags, f[3], f[4], f[5], *sizes, f[9], f[10])
    names = archive[local + _LOCAL.size : local + _LOCAL.size + f[9] + f[10]]
    return head + names


def _record(
    archive: bytes, entry: _Entry, chosen: _Entry, flags: int, sizes: tuple[int, int, int], grown: int
) -> bytes:
    f = list(_CENTRAL.unpack_from(archive, entry.start))
    if entry is chosen:
        f[3] = flags
        f[7:10] = sizes
    elif entry.local > chosen.local:
        f[16] += grown
    return _CENTRAL.pack(*f) + archive[entry.start + _CENTRAL.size : entry.end]
