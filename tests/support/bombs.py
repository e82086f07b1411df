"""Hostile and broken files, each by its name: what is refused, and what is odd but must be read."""

from __future__ import annotations

import gzip
import io
import struct
import zipfile
from collections.abc import Callable

from making import Piece

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
CONTAINER = '<container><rootfiles><rootfile full-path="{0}"/></rootfiles></container>'


def good_score(words: str = "Sw. Oboe") -> bytes:
    """A small score."""
    return Piece(title="Air (invented)").repeat_bars(3, "C5 D5 E5 F5", "C3+E3:4", "C2:4").text(1, 1, words).xml()


def _with(head: str, words: str = "Sw. Oboe") -> bytes:
    """The small score behind another head, with words that may hold entities."""
    text = good_score("WORDS").decode().replace("WORDS", words)
    return (head + text[text.index("<score-partwise") :]).encode()


def _laughs(levels: int = 9) -> bytes:
    entities = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, levels + 1))
    return _with(f'{HEAD}<!DOCTYPE score-partwise [<!ENTITY a0 "ten letters">{entities}]>', f"&a{levels};")


def _archive(members: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return stream.getvalue()


def packed(name: str = "score.xml", xml: bytes | None = None, method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A compressed score."""
    score = good_score() if xml is None else xml
    return _archive({"META-INF/container.xml": CONTAINER.format(name).encode(), name: score}, method)


def _zip_bomb(megabytes: int = 300) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", CONTAINER.format("s.xml"))
        with archive.open("s.xml", "w") as member:
            for _ in range(megabytes):
                member.write(b" " * 2**20)
    return stream.getvalue()


def _forged_size() -> bytes:
    """The bomb whose directory says that it unpacks to 1,000 bytes."""
    data = bytearray(_zip_bomb(80))
    at = data.rindex(b"PK\x01\x02")
    data[at + 24 : at + 28] = struct.pack("<I", 1000)
    return bytes(data)


def _encrypted() -> bytes:
    data = bytearray(packed())
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.rindex(mark)
        data[at + flags] |= 1
    return bytes(data)


def _many_members() -> bytes:
    return _archive(
        {f"m{n}": b"" for n in range(1001)} | {"META-INF/container.xml": b"<container/>"}, zipfile.ZIP_STORED
    )


def _million_records() -> bytes:
    """A directory of 300,000 entries, each of which would become an object."""
    record = (
        struct.pack("<4s4B4HL2L5H2L", b"PK\x01\x02", 20, 3, 20, 0, 0, 0, 0, 33, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0) + b"a"
    )
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, len(record) * 300_000, 0, 0)
    return b"PK\x03\x04" + record * 300_000 + end


SCORES: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "nothing but NULs": lambda: b"\0" * 5000,
    "white space": lambda: b" \n\t" * 100,
    "a letter": lambda: b"Dear organist, the score comes by post.",
    "binary": lambda: bytes(range(256)) * 20,
    "a web page": lambda: b"<!doctype html><html><body>404</body></html>",
    "a picture": lambda: b"\x89PNG\r\n\x1a\n" + bytes(100),
    "a PDF": lambda: b"%PDF-1.7\n" + bytes(100),
    "gzip named as a score": lambda: gzip.compress(good_score() * 50),
    "cut off": lambda: good_score()[:-700],
    "NULs within": lambda: good_score().replace(b"<words>", b"<words>\0\0"),
    "two roots": lambda: good_score() + b"<score-partwise/>",
    "no notes": lambda: b"<score-partwise><part-list/></score-partwise>",
    "another root": lambda: b"<opus><title>Works</title></opus>",
    "entity bomb": _laughs,
    "quadratic bomb": lambda: _with(f'{HEAD}<!DOCTYPE s [<!ENTITY a "{"x" * 60_000}">]>', "&a;" * 60_000),
    "entity loop": lambda: _with(f'{HEAD}<!DOCTYPE s [<!ENTITY a "&b;"><!ENTITY b "&a;">]>', "&a;"),
    "outside entity": lambda: _with(f'{HEAD}<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]>', "&x;"),
    "outside entity by net": lambda: _with(f'{HEAD}<!DOCTYPE s [<!ENTITY x SYSTEM "http://192.0.2.1/x">]>', "&x;"),
    "outside parameter entity": lambda: _with(
        f'{HEAD}<!DOCTYPE s [<!ENTITY % p SYSTEM "http://192.0.2.1/p.dtd"> %p;]>', "&x;"
    ),
    "unknown entity": lambda: _with(HEAD, "&nosuch;"),
    "deep": lambda: b"<score-partwise>" + b"<a>" * 50_000,
    "deep and closed": lambda: b"<score-partwise>" + b"<a>" * 3000 + b"</a>" * 3000 + b"</score-partwise>",
    "a name of a million signs": lambda: b"<score-partwise><" + b"a" * 1_000_000 + b"/></score-partwise>",
    "an attribute of 20 MB": lambda: b'<score-partwise a="' + b"x" * 20_000_000 + b'"/>',
    "unknown encoding": lambda: (
        good_score().replace(b"UTF-8", b"EBCDIC-9", 1) if b"UTF-8" in good_score()[:60] else _says("no-such")
    ),
    "UTF-7": lambda: _says("UTF-7"),
    "punycode": lambda: _says("punycode"),
    "escapes": lambda: _says("unicode_escape"),
    "rot13": lambda: _says("rot13"),
    "half of a UTF-16 sign": lambda: good_score().decode().replace("UTF-8", "UTF-16").encode("utf-16")[:-1],
    "zip bomb": _zip_bomb,
    "zip bomb with a forged size": _forged_size,
    "encrypted": _encrypted,
    "cut-off archive": lambda: packed()[:200],
    "archive without container": lambda: _archive({"score.xml": good_score()}),
    "container that is no XML": lambda: _archive({"META-INF/container.xml": b"score.xml", "score.xml": good_score()}),
    "container that names nothing": lambda: _archive({"META-INF/container.xml": b"<container/>"}),
    "container that names a path above": lambda: _archive(
        {"META-INF/container.xml": CONTAINER.format("../../../etc/passwd").encode(), "score.xml": good_score()}
    ),
    "container with an entity bomb": lambda: _archive({"META-INF/container.xml": _laughs(), "score.xml": good_score()}),
    "container with an outside entity": lambda: _archive(
        {
            "META-INF/container.xml": b'<!DOCTYPE c [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
            b'<container><rootfiles><rootfile full-path="&x;"/></rootfiles></container>'
        }
    ),
    "packed as no score is": lambda: packed(method=zipfile.ZIP_LZMA),
    "an archive of 1,001 files": _many_members,
    "a directory of 300,000 files": _million_records,
    "an archive in the archive": lambda: packed(xml=packed()),
    "divisions of nothing": lambda: good_score().replace(b"<divisions>12", b"<divisions>0"),
}


def _says(encoding: str) -> bytes:
    text = good_score().decode()
    return f'<?xml version="1.0" encoding="{encoding}"?>\n{text[text.index("<score-partwise") :]}'.encode()


READABLE: dict[str, Callable[[], bytes]] = {
    "a real DOCTYPE": lambda: _with(
        HEAD + '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
        '"http://www.musicxml.org/dtds/partwise.dtd">'
    ),
    "an entity of its own": lambda: _with(f'{HEAD}<!DOCTYPE s [<!ENTITY oboe "Oboe">]>', "Sw. &oboe;"),
    "UTF-16 with its mark": lambda: good_score().decode().replace("UTF-8", "UTF-16").encode("utf-16"),
    "UTF-16 without": lambda: good_score().decode().replace("UTF-8", "UTF-16").encode("utf-16-be"),
    "UTF-8 that says UTF-16": lambda: _says("UTF-16"),
    "Latin-1": lambda: _says("ISO-8859-1"),
    "a mark before UTF-8": lambda: b"\xef\xbb\xbf" + good_score(),
    "packed under a path above": lambda: packed("../../score.xml"),
    "packed under an absolute path": lambda: packed("/etc/score.xml"),
    "stored": lambda: packed(method=zipfile.ZIP_STORED),
}


def _aliases() -> str:
    lines = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 15)]
    return "\n".join(lines)


YAML: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "binary": lambda: bytes(range(256)) * 20,
    "NULs": lambda: b"language: en\0\n",
    "not UTF-8": lambda: b"title: \xff\xfe\xfa\n",
    "alias bomb": lambda: _aliases().encode(),
    "one alias": lambda: b"title: &a x\nname: *a\n",
    "merge bomb": lambda: b"a: &a {x: 1}\nb: &b\n  <<: [*a, *a]\nc:\n  <<: [*b, *b]\n",
    "merge key": lambda: b"specification: 1\n<<: {a: b}\n",
    "python tag": lambda: b"!!python/object/apply:os.system ['true']\n",
    "a tag": lambda: b"title: !secret x\n",
    "deep lists": lambda: b"a: " + b"[" * 3000,
    "deep maps": lambda: "\n".join(" " * n + "a:" for n in range(300)).encode(),
    "200,000 entries": lambda: b"a: [" + b"x," * 200_000 + b"]\n",
    "two documents": lambda: b"a: b\n---\na: c\n",
    "a list": lambda: b"- a\n- b\n",
    "a number of 5,000 digits": lambda: b"9" * 5000,
    "a date of no month": lambda: b"title: 2024-13-45\nnonsense: 1\n",
    "tabs": lambda: b"a:\n\tb: c\n",
    "a repeated key": lambda: b"language: en\nlanguage: de\n",
    "a bracket left open": lambda: b"a: [b, c\n",
    "5 MB": lambda: b"# remark\n" * 600_000 + b"a: b\n",
}
JSON: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "binary": lambda: bytes(range(256)),
    "deep": lambda: b"[" * 100_000,
    "deep objects": lambda: b'{"a":' * 100_000,
    "a number of 5,000 digits": lambda: b'{"combinations": ' + b"9" * 5000 + b"}",
    "another thing": lambda: b'{"a": 1}',
    "a list": lambda: b"[1, 2]",
    "infinite": lambda: b'{"combinations": [{"slot": {"kind": "general", "number": Infinity}}]}',
    "cut off": lambda: b'{"combinations": [',
}
