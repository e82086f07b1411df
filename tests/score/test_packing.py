"""One member of an archive replaced: every other byte stays; unusual archives are refused."""

from __future__ import annotations

import io
import struct
import zipfile

import pytest
from odd_scores import archive, plain

from core.errors import EditError
from core.score.outline import read_outline, read_outline_exactly
from core.score.packing import pack, replace_member
from core.score.source import source_from_bytes

NAME = "score/Prélude.xml"
NEW = b"<score-partwise/>" * 999


def zip_with(method: int) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as packed:
        packed.writestr(NAME, plain())
        packed.writestr("other.txt", "other")
    return stream.getvalue()


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
@pytest.mark.parametrize("member", [NAME, "other.txt"])
def test_a_member_keeps_its_kind_of_compression(method: int, member: str) -> None:
    new = replace_member(zip_with(method), member, NEW)
    with zipfile.ZipFile(io.BytesIO(new)) as packed:
        assert packed.testzip() is None
        assert packed.read(member) == NEW
        assert {info.compress_type for info in packed.infolist()} == {method}


def test_replacing_it_back_gives_the_bytes_of_the_start() -> None:
    data = replace_member(archive(plain().encode()), NAME, plain().encode())
    assert replace_member(replace_member(data, NAME, NEW), NAME, plain().encode()) == data


def test_a_streamed_member_gets_its_sizes_in_front() -> None:
    data = archive(plain().encode(), streamed=True)
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        assert packed.getinfo(NAME).flag_bits & 8
    new = replace_member(data, NAME, NEW)
    with zipfile.ZipFile(io.BytesIO(new)) as packed:
        assert not packed.getinfo(NAME).flag_bits & 8
        assert packed.getinfo("remarks.txt").flag_bits & 8
        assert packed.testzip() is None


def test_unusual_archives_are_refused() -> None:
    with pytest.raises(EditError, match="compressed in an unusual way"):
        replace_member(zip_with(zipfile.ZIP_BZIP2), NAME, NEW)
    data = bytearray(zip_with(zipfile.ZIP_DEFLATED))
    directory = data.index(b"PK\x01\x02")
    data[directory + 8] |= 1
    with pytest.raises(EditError, match="encrypted"):
        replace_member(bytes(data), NAME, NEW)
    data = bytearray(zip_with(zipfile.ZIP_DEFLATED))
    end = data.index(b"PK\x05\x06")
    struct.pack_into("<H", data, end + 10, 0xFFFF)
    with pytest.raises(EditError, match="zip64"):
        replace_member(bytes(data), NAME, NEW)


def test_a_new_archive_is_one_of_our_reader() -> None:
    for name in ("Prelude.musicxml", 'a & "b" <c>.musicxml', "Prélude.xml"):
        source = source_from_bytes(pack(name, plain().encode()))
        assert (source.member, source.xml) == (name, plain().encode())
    assert pack("a.xml", NEW) == pack("a.xml", NEW)  # no clock in it


def test_timewise_bars_without_a_part_and_parts_without_an_id() -> None:
    bars = (
        b'<part id="A"><note/></part>',
        b'<part id="B"><direction/></part>',
        b'<part id="A"/><part id="B"></part><part id="A"><note/></part>',
    )
    measures = b"".join(b"<measure>" + bar + b"</measure>" for bar in bars)
    text = b"<score-timewise>" + measures + b"</score-timewise>"
    outline = read_outline(text)
    assert outline == read_outline_exactly(text)
    assert [[measure.start >= 0 for measure in part] for part in outline.parts] == [
        [True, False, True],
        [False, True, True],
    ]
    nameless = b"<score-partwise><part><measure><note/></measure></part><part><measure/></part></score-partwise>"
    assert read_outline(nameless) == read_outline_exactly(nameless)
    assert [len(part) for part in read_outline(nameless).parts] == [1, 1]


@pytest.mark.parametrize("text", [b"", b"<a>", b"<a/><b/>", b"no xml"])
def test_what_is_no_xml_is_one_sentence(text: bytes) -> None:
    with pytest.raises(EditError, match="XML is faulty"):
        read_outline_exactly(text)
    if text != b"<a>" and text != b"<a/><b/>":
        with pytest.raises(EditError, match="XML is faulty"):
            read_outline(text)
