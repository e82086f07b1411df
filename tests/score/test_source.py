"""Opening files: what the bytes are decides; each bad input is one sentence."""

from __future__ import annotations

import gzip
import io
import os
import socket
import zipfile
from pathlib import Path

import pytest
from small_scores import document, note, organ, part, words

from core.errors import ScoreError
from core.score.reading import load_score, read_score
from core.score.source import read_source, source_from_bytes

BARS = (words("Sw. Flûte 8") + note("C4", 4), note("D4", 4))
SCORE = document(part(*BARS))
CONTAINER = (
    b'<?xml version="1.0"?><container><rootfiles><rootfile full-path="%s"/>'
    b'<rootfile full-path="other.pdf" media-type="application/pdf"/></rootfiles></container>'
)


def archive(members: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        for name, content in members.items():
            target.writestr(name, content)
    return stream.getvalue()


def mxl(xml: bytes, name: str = "score.xml") -> bytes:
    return archive({"META-INF/container.xml": CONTAINER % name.encode(), name: xml})


def texts(data: bytes) -> list[str]:
    return [text.text for text in read_score(source_from_bytes(data)).texts]


def refused(data: bytes) -> str:
    """The one sentence with which bytes are refused."""
    with pytest.raises(ScoreError) as caught:
        read_score(source_from_bytes(data, "bad.musicxml"))
    sentence = str(caught.value)
    assert sentence.startswith("bad.musicxml")
    assert "\n" not in sentence
    assert caught.value.remedy
    return sentence


# -- encodings ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "encoding",
    ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1", "windows-1252", "iso-8859-15", "macintosh", "utf-16-le"],
)
def test_encodings(encoding: str) -> None:
    declared = encoding.replace("-sig", "").replace("-le", "")
    data = SCORE.decode().replace('encoding="UTF-8"', f'encoding="{declared}"').encode(encoding)
    assert texts(data) == ["Sw. Flûte 8"]


def test_undeclared_is_utf_8() -> None:
    assert texts(SCORE.replace(b' encoding="UTF-8"', b"")) == ["Sw. Flûte 8"]


def test_utf_16_declared_but_utf_8_in_bytes_is_read_and_said() -> None:
    source = source_from_bytes(SCORE.replace(b"UTF-8", b"UTF-16"))
    assert source.encoding == "utf-8"
    assert "UTF-8" in str(source.repairs[0])
    assert read_score(source).texts[0].text == "Sw. Flûte 8"


def test_bytes_that_the_declared_encoding_forbids_are_read_and_said_with_their_place() -> None:
    source = source_from_bytes(SCORE.decode().encode("cp1252"))
    assert source.encoding == "cp1252"
    assert "Line 1, column" in str(source.repairs[0])
    assert read_score(source).texts[0].text == "Sw. Flûte 8"


def test_an_empty_line_before_the_declaration() -> None:
    source = source_from_bytes(b"\r\n" + SCORE)
    assert source.xml == b"\r\n" + SCORE
    assert "empty line" in str(source.repairs[0])
    assert len(read_score(source).notes) == 2


def test_an_unknown_encoding_is_refused() -> None:
    assert "encoding" in refused(SCORE.replace(b"UTF-8", b"KLINGON-7"))
    assert "encoding" in refused(SCORE.replace(b"UTF-8", b"rot13"))


def test_a_cut_utf_16_file_is_refused() -> None:
    assert "UTF-16" in refused(SCORE.decode().encode("utf-16")[:-1])


# -- XML ------------------------------------------------------------------------------------------------------------


def test_an_outside_dtd_is_never_fetched(monkeypatch: pytest.MonkeyPatch) -> None:
    def forbidden(*_: object, **__: object) -> None:
        raise AssertionError("network")

    monkeypatch.setattr(socket, "socket", forbidden)
    doctype = (
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
        '"http://www.musicxml.org/dtds/partwise.dtd">'
    )
    assert texts(document(part(*BARS), prolog=doctype)) == ["Sw. Flûte 8"]


def test_internal_entities_are_resolved() -> None:
    doctype = '<!DOCTYPE score-partwise PUBLIC "x" "http://example.org/none.dtd" [<!ENTITY oboe "Oboe 8 &#38;#38; 4">]>'
    assert texts(document(part(words("Sw. &oboe;") + note()), prolog=doctype)) == ["Sw. Oboe 8 & 4"]


def test_outside_entities_bring_nothing_in(tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("hidden words")
    doctype = f'<!DOCTYPE score-partwise [<!ENTITY out SYSTEM "{secret.as_uri()}">]>'
    sentence = refused(document(part(words("&out;") + note()), prolog=doctype))
    assert "hidden" not in sentence


def test_an_entity_bomb_is_refused() -> None:
    levels = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 12))
    doctype = f'<!DOCTYPE score-partwise [<!ENTITY a0 "aaaaaaaaaa">{levels}]>'
    assert "unfold" in refused(document(part(words("&a11;") + note()), prolog=doctype))


def test_comments_and_instructions_inside_a_text_do_not_cut_it() -> None:
    bar = words("Sw. <!-- the old organ had none --><?page 3?>Oboe") + note()
    assert texts(document(part(bar))) == ["Sw. Oboe"]


@pytest.mark.parametrize("namespace", ["http://www.musicxml.org/ns", "urn:other"])
def test_a_root_in_a_namespace(namespace: str) -> None:
    data = SCORE.replace(b"<score-partwise ", f'<score-partwise xmlns="{namespace}" '.encode())
    assert texts(data) == ["Sw. Flûte 8"]


def test_timewise_is_the_same_score() -> None:
    upper, lower = [note("C5", 4), note("D5", 4)], [note("C3", 4), words("Ped. 16") + note("D3", 4)]
    partwise = read_score(
        source_from_bytes(document(part(*upper), part(*lower, part_id="P2"), names=("Organ", "Pedal")))
    )
    head, _, _ = document(names=("Organ", "Pedal")).decode().partition("</part-list>")
    bars = "".join(
        f'<measure number="{i + 1}">'
        + "".join(
            f'<part id="P{n}">{_attributes() if i == 0 else ""}{content[i]}</part>'
            for n, content in ((1, upper), (2, lower))
        )
        + "</measure>"
        for i in range(2)
    )
    data = f"{head}</part-list>{bars}</score-partwise>".replace("score-partwise", "score-timewise").encode()
    timewise = read_score(source_from_bytes(data))
    assert [n._replace(ordinal=0) for n in timewise.notes] == [n._replace(ordinal=0) for n in partwise.notes]
    assert [t.text for t in timewise.texts] == ["Ped. 16"]
    assert [n.ordinal for n in sorted(timewise.notes, key=lambda n: (n.bar, n.part))] == [0, 1, 2, 3]
    assert any("timewise" in str(repair) for repair in timewise.repairs)


def _attributes() -> str:
    from small_scores import attributes

    return attributes()


def test_the_whole_walk_takes_deep_nesting_as_a_sentence() -> None:
    refused(b"<score-partwise>" * 5000)


def test_a_million_elements_are_refused_before_they_are_made() -> None:
    assert "elements" in refused(b"<score-partwise>" + b"<a/>" * 2_100_000 + b"</score-partwise>")


def test_many_attributes_on_one_element() -> None:
    many = " ".join(f'a{i}="1"' for i in range(20_000))
    data = SCORE.replace(b'<measure number="1">', f'<measure number="1" {many}>'.encode())
    assert texts(data) == ["Sw. Flûte 8"]


# -- compressed -----------------------------------------------------------------------------------------------------


def test_the_first_rootfile_is_the_score_whatever_its_name() -> None:
    source = source_from_bytes(mxl(SCORE, "odd name/Prélude.bin"))
    assert source.member == "odd name/Prélude.bin"
    assert source.xml == SCORE
    assert texts(source.data) == ["Sw. Flûte 8"]


@pytest.mark.parametrize(("name", "data"), [("zip.xml", mxl(SCORE)), ("plain.mxl", SCORE)])
def test_the_name_does_not_matter(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    source, score = load_score(path)
    assert len(score.notes) == 2
    assert source.data == data


def test_broken_archives_are_refused() -> None:
    whole = mxl(SCORE)
    assert "cut off or damaged" in refused(whole[: len(whole) // 2])
    assert "container" in refused(archive({"score.xml": SCORE}))
    assert "no file" in refused(archive({"META-INF/container.xml": CONTAINER % b"gone.xml"}))
    assert "names no score" in refused(archive({"META-INF/container.xml": b"<container/>"}))
    assert "broken" in refused(archive({"META-INF/container.xml": b"<container>"}))
    damaged = bytearray(whole)
    start = whole.index(b"score.xml") + len("score.xml")
    damaged[start + 5 : start + 60] = bytes(55)
    refused(bytes(damaged))


def test_zip_bombs_are_refused() -> None:
    assert "unpacks" in refused(mxl(b"<score-partwise>" + b" " * 70_000_000))
    assert "holds" in refused(archive({f"m{i}": b"" for i in range(1001)}))


# -- no score at all ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b" \n\t ", "empty"),
        (b"\x00\x00\x00\x00", "empty"),
        (b"just some words", "not XML"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"%PDF-1.7", "PDF"),
        (gzip.compress(SCORE), "gzip"),
        (bytes(range(128, 256)) + b"\0\xff\xfe\xfd", "binary"),
        (b"<html><body/></html>", "web page"),
        (b"<recipe/>", "recipe"),
        (b"<opus/>", "list of scores"),
        (SCORE[:300], "broken"),
        (document(), "no parts"),
        (document(part("")), "no notes"),
        (document(part("<note><rest/><duration>4</duration></note>")), "no notes"),
        (
            SCORE.replace(b"<step>C</step>", b"<step>=</step>").replace(b"<step>D</step>", b"<step/>"),
            "no notes",
        ),
        (SCORE.replace(b"<divisions>1<", b"<divisions>0<"), "divisions"),
        (SCORE.replace(b"<divisions>1<", b"<divisions>-2<"), "divisions"),
        (SCORE.replace(b"<divisions>1<", b"<divisions>many<"), "divisions"),
        (SCORE.replace(b"<divisions>1<", b"<divisions>1e9<"), "divisions"),
        (SCORE.replace(b"<divisions>1<", b"<divisions>" + b"9" * 5000 + b"<"), "divisions"),
    ],
)
def test_bad_input_is_one_sentence(data: bytes, said: str) -> None:
    assert said in refused(data)


def test_files_that_cannot_be_opened(tmp_path: Path) -> None:
    with pytest.raises(ScoreError, match="no such file"):
        read_source(tmp_path / "gone.musicxml")
    with pytest.raises(ScoreError, match="folder"):
        read_source(tmp_path)
    with pytest.raises(ScoreError, match=r"cannot be read|no such file"):
        read_source("bad\0name")
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(ScoreError, match="not an ordinary file"):
        read_source(pipe)


@pytest.mark.skipif(os.geteuid() == 0, reason="root reads everything")
def test_an_unreadable_file(tmp_path: Path) -> None:
    path = tmp_path / "locked.musicxml"
    path.write_bytes(SCORE)
    path.chmod(0)
    with pytest.raises(ScoreError, match="cannot be read"):
        read_source(path)


def test_a_line_is_named_where_the_xml_breaks() -> None:
    data = SCORE.replace(b'<measure number="2">', b'\n\n<measure number="2"><oops>')
    assert "line 3" in refused(data)


def test_reading_changes_no_bytes() -> None:
    assert source_from_bytes(SCORE).xml is SCORE
    assert organ(*BARS).notes
