"""Odd but legal score files of our own making, for the tests of reading and writing bytes."""

from __future__ import annotations

import io
import zipfile

HEAD = '<?xml version="1.0" encoding="UTF-8"?>'
DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)


def note(step: str, octave: int, duration: int, staff: int, voice: int, *, inner: str = "") -> str:
    """A note on one line."""
    return (
        f"<note>{inner}<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        f"<duration>{duration}</duration><voice>{voice}</voice><staff>{staff}</staff></note>"
    )


def direction(text: str, staff: int, *, extra: str = "", attributes: str = ' placement="above"') -> str:
    """A direction with words, on one line."""
    return (
        f"<direction{attributes}><direction-type><words>{text}</words></direction-type>{extra}"
        f"<staff>{staff}</staff></direction>"
    )


def bar(number: int, *, first: str = "", text: str = "", tail: str = "") -> str:
    """A bar of 4/4 on three staves: four quarters, two halves, a whole; divisions 4."""
    lines = [f'    <measure number="{number}">']
    if first:
        lines.append(f"      {first}")
    if text:
        lines.append(f"      {text}")
    lines += [f"      {note(step, 5, 4, 1, 1)}" for step in "CDEF"]
    lines.append("      <backup><duration>16</duration></backup>")
    lines += [f"      {note(step, 4, 8, 2, 5)}" for step in "EG"]
    lines.append("      <backup><duration>16</duration></backup>")
    lines.append(f"      {note('C', 3, 16, 3, 9)}")
    if tail:
        lines.append(f"      {tail}")
    lines.append("    </measure>")
    return "\n".join(lines)


ATTRIBUTES = (
    "<attributes><divisions>4</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "<staves>3</staves></attributes>"
)
PART_LIST = (
    '  <part-list>\n    <score-part id="P1">\n      <part-name>Organ</part-name>\n    </score-part>\n  </part-list>'
)


def plain(*, head: str = HEAD, doctype: str = DOCTYPE, text: str = "", second: str = "", bars: int = 3) -> str:
    """A short organ score on three staves, indented, with line feeds."""
    measures = [bar(1, first=ATTRIBUTES, text=text)]
    measures += [bar(number, text=second if number == 2 else "") for number in range(2, bars + 1)]
    lines = [head, doctype, '<score-partwise version="4.0">', PART_LIST, '  <part id="P1">', *measures]
    return "\n".join([line for line in [*lines, "  </part>", "</score-partwise>"] if line]) + "\n"


def timewise() -> str:
    """A timewise score of two parts, of which the second is the organ's."""
    measures = []
    for number in (1, 2, 3):
        first = ATTRIBUTES if number == 1 else ""
        organ = bar(number, first=first).split("\n")[1:-1]
        voice = first.replace("<staves>3</staves>", "") + note("A", 4, 16, 1, 1).replace("<staff>1</staff>", "")
        measures += [
            f'  <measure number="{number}">',
            f'    <part id="P1">{voice}</part>',
            '    <part id="P2">',
            *organ,
            "    </part>",
            "  </measure>",
        ]
    parts = "".join(
        f'<score-part id="{id_}"><part-name>{name}</part-name></score-part>'
        for id_, name in (("P1", "Voice"), ("P2", "Organ"))
    )
    head = [HEAD, '<score-timewise version="4.0">', f"  <part-list>{parts}</part-list>"]
    return "\n".join([*head, *measures, "</score-timewise>"]) + "\n"


def archive(xml: bytes, name: str = "score/Prélude.xml", *, streamed: bool = False) -> bytes:
    """An `.mxl` with a picture, a stored text, directory entries and a comment around the score."""
    stream: io.BytesIO = _Stream() if streamed else io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        container = f'<?xml version="1.0"?><container><rootfiles><rootfile full-path="{name}"/></rootfiles></container>'
        for path, data, method in (
            ("mimetype", b"application/vnd.recordare.musicxml", zipfile.ZIP_STORED),
            ("META-INF/container.xml", container.encode(), zipfile.ZIP_DEFLATED),
            ("pictures/", b"", zipfile.ZIP_STORED),
            (name, xml, zipfile.ZIP_DEFLATED),
            ("pictures/front.png", bytes(range(256)) * 8, zipfile.ZIP_DEFLATED),
            ("remarks.txt", b"Nothing to see here.", zipfile.ZIP_STORED),
        ):
            info = zipfile.ZipInfo(path, (1999, 12, 31, 23, 58, 0))
            info.comment = path.upper().encode()
            info.extra = b"\x99\x99\x04\x00own!"
            packed.writestr(info, data, method)
        packed.comment = b"An archive's own comment"
    return stream.getvalue()


class _Stream(io.BytesIO):
    """A stream that cannot be rewound: zip writes sizes behind each member instead."""

    def seekable(self) -> bool:
        """It is not."""
        return False

    def seek(self, offset: int, whence: int = 0) -> int:
        """Refuse."""
        raise OSError("not seekable")


def odd_files() -> dict[str, bytes]:
    """Odd files by name; each has an organ part of three staves and three bars of 4/4."""
    score = plain()
    entities = DOCTYPE[:-1] + ' [<!ENTITY oboe "Oboe"><!ENTITY amp8 "&#38;">]>'
    return {
        "plain": score.encode(),
        "crlf": score.replace("\n", "\r\n").encode(),
        "old mac line ends": score.replace("\n", "\r").encode(),
        "no line breaks": "".join(line.strip() for line in score.split("\n")).encode(),
        "tabs": score.replace("    ", "\t").replace("  ", "\t").encode(),
        "utf-8 with mark": b"\xef\xbb\xbf" + score.encode(),
        "utf-16": score.replace("UTF-8", "UTF-16").encode("utf-16"),
        "utf-16 big-endian": b"\xfe\xff" + score.replace("UTF-8", "UTF-16").encode("utf-16-be"),
        "latin-1": plain(head=HEAD.replace("UTF-8", "ISO-8859-1"), text=direction("Récit", 1)).encode("latin-1"),
        "ascii": plain(head=HEAD.replace("UTF-8", "US-ASCII"), text=direction("R&#xe9;cit", 1)).encode("ascii"),
        "windows-1252": plain(head=HEAD.replace("UTF-8", "windows-1252"), text=direction("‘Récit’", 1)).encode(
            "cp1252"
        ),
        "utf-8 that says utf-16": score.replace("UTF-8", "UTF-16").encode(),
        "no declaration": plain(head="").encode(),
        "empty first line": ("\n" + score).encode(),
        "entities": plain(doctype=entities, text=direction("Sw. &oboe; &amp;amp8; Fl.", 1)).encode(),
        "cdata": plain(text=direction("<![CDATA[Sw. <Oboe> & Fl.]]>", 1)).encode(),
        "single quotes": score.replace('"', "'").replace("'-//", '"-//').replace("EN'", 'EN"').encode(),
        "comments": score.replace("<measure", "<!-- a <measure> --><?app <note/> ?><measure")
        .replace("<note>", "<note><!-- > -->", 2)
        .encode(),
        "a > in an attribute": score.replace('<measure number="2">', '<measure number="2" text="a>b">').encode(),
        "timewise": timewise().encode(),
        "prefixed": _prefixed(score).encode(),
        "mxl": archive(score.encode()),
        "mxl streamed": archive(score.encode(), streamed=True),
        "mxl utf-16": archive(score.replace("UTF-8", "UTF-16").encode("utf-16")),
        "mxl behind other bytes": archive(score.encode()),
    }


def _prefixed(score: str) -> str:
    """The score with a namespace prefix on every element."""
    body = score.split("\n", 2)[2]
    tagged = body.replace("</", "\0").replace("<", "<m:").replace("\0", "</m:")
    return HEAD + "\n" + tagged.replace("<m:score-partwise", '<m:score-partwise xmlns:m="urn:some-music"', 1)
