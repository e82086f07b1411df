"""Damage of every sort, drawn from seeded dice: to bytes, to lines, to XML, to archives, to YAML and JSON."""

from __future__ import annotations

import io
import random
import zipfile

from lxml import etree

JUNK = (
    "",
    " ",
    "=",
    "-",
    "0",
    "-1",
    "1",
    "8",
    "16",
    "2 2/3",
    "1e9",
    "3.7",
    "999999999999999999999",
    "nan",
    "½",
    "4/0",
    "yes",
    "x" * 300,
    "٣",
    "\u202e",
    "\u200b",
    "\ufeff",
    "é",
    "e\u0301",
    "ß",
    "ſ",
    "İ",
    "🎹",
    "Ⅳ",
    "no",
    "off",
    "null",
    "~",
    "2:30",
    "010",
    "<script>",
    "&amp;",
    "]]>",
    "%s%n",
    "{0}",
    "../../x",
    "\\n",
    "C#",
    "P",
    "Gt.",
    "add",
    "to",
    "(",
    ")",
    "[",
    "]",
    '"',
    "'",
    "″",
)
MARKUP = (
    b"<",
    b">",
    b"&",
    b"<!--",
    b"-->",
    b"<![CDATA[",
    b"]]>",
    b"<?x?>",
    b"<note/>",
    b"</note>",
    b"<chord/>",
    b"<grace/>",
    b"&#0;",
    b"<backup><duration>999</duration></backup>",
    b"<forward><duration>7</duration></forward>",
    b"<staff>9</staff>",
    b"<divisions>0</divisions>",
    b"<divisions>7</divisions>",
    b"<staves>40</staves>",
    b"<words/>",
    b"&#x202e;",
    b"\x00",
    b"\xff",
    b"<repeat direction='backward' times='99'/>",
    b"<sound dacapo='yes'/>",
    b"<sound tocoda='a'/>",
    b"<ending number='1, 2' type='start'/>",
    b"<transpose><chromatic>999</chromatic></transpose>",
    b"<octave-shift type='up' size='8'/>",
    b"<beats>3+2</beats>",
)
TEXTUAL = (
    b":",
    b"- ",
    b"  ",
    b"{",
    b"}",
    b"[",
    b"]",
    b'"',
    b"'",
    b"#",
    b"&a ",
    b"*a",
    b"\t",
    b"\n",
    b"\r",
    b"!!x ",
    b"<<: ",
    b"? ",
    b"|",
    b">",
    b",",
    b"\xff",
    b"\x00",
    b"\xc3",
    b"\xe2\x80\xae",
    b"---\n",
    b"no",
    b"8",
    b"16'",
    b"2 2/3",
    b"IV",
    b"III-IV",
    b"C-g3",
    b"999999999999",
    "½".encode(),
    "²".encode(),
    "٣".encode(),
    b"GREAT\n",
    b"Swell to Great",
    b"PEDAL",
    b"null",
    b"true",
    b"1e400",
    b'{"a":',
    b"}]",
    b"exactly",
    b"none",
    b"x" * 400,
)


def bytes_damaged(data: bytes, dice: random.Random, pieces: tuple[bytes, ...]) -> bytes:
    """A few bytes cut, put in, changed, repeated; sometimes the end is cut off."""
    made = bytearray(data)
    for _ in range(dice.randint(1, 5) if len(data) > 1000 else 1):
        if not made:
            break
        at = dice.randrange(len(made))
        match dice.randrange(6):
            case 0:
                del made[at : at + dice.randint(1, 40)]
            case 1 | 2:
                made[at:at] = dice.choice(pieces)
            case 3:
                made[at] = dice.randrange(256)
            case 4:
                start = dice.randrange(len(made))
                made[at:at] = made[start : start + dice.randint(1, 300)]
            case 5 if dice.random() < 0.1:
                del made[at + 1 :]
    return bytes(made)


def lines_damaged(data: bytes, dice: random.Random) -> bytes:
    """Lines left out, doubled, exchanged, run together, indented."""
    lines = data.split(b"\n")
    for _ in range(dice.randint(1, 4) if len(lines) > 20 else 1):
        at, other = dice.randrange(len(lines)), dice.randrange(len(lines))
        match dice.randrange(6):
            case 0 if len(lines) > 1:
                del lines[at]
            case 1:
                lines.insert(other, lines[at])
            case 2:
                lines[at], lines[other] = lines[other], lines[at]
            case 3:
                lines[at] = lines[at] + b" " + lines[other].strip()
            case 4:
                lines[at] = b" " * dice.randint(1, 5) + lines[at]
            case 5:
                words = lines[at].split(b" ")
                words[dice.randrange(len(words))] = dice.choice(JUNK).encode()
                lines[at] = b" ".join(words)
    return b"\n".join(lines)


def xml_damaged(data: bytes, dice: random.Random) -> bytes:
    """Elements left out, doubled, moved, renamed; texts and attributes made junk. Still well-formed."""
    root = etree.fromstring(data)
    for _ in range(dice.randint(1, 6)):
        elements = [e for e in root.iter(etree.Element) if e is not root]
        if not elements:
            break
        chosen, other = dice.choice(elements), dice.choice(elements)
        parent = chosen.getparent()
        assert parent is not None
        match dice.randrange(7):
            case 0:
                parent.remove(chosen)
            case 1 | 2:
                chosen.text = "".join(c for c in dice.choice(JUNK) if c != "\x00")
            case 3 if chosen.attrib:
                chosen.set(dice.choice(sorted(chosen.attrib)), dice.choice(JUNK))
            case 4:
                parent.insert(
                    dice.randrange(len(parent) + 1), etree.fromstring(etree.tostring(chosen, with_tail=False))
                )
            case 5 if chosen not in other.iterancestors() and other is not chosen:
                other.append(chosen)
            case 6:
                chosen.tag = other.tag
    return etree.tostring(root, encoding=dice.choice(("UTF-8", "UTF-8", "UTF-8", "UTF-16", "ISO-8859-1")))


def packed(xml: bytes, dice: random.Random) -> bytes:
    """The score in an archive, whose own parts may be odd too."""
    name = dice.choice(("score.xml", "a/b.xml", "../up.xml", "/etc/x.xml", "é.xml", "x" * 300 + ".xml", "a&b<.xml"))
    named = name.replace("&", "&amp;").replace("<", "&lt;")
    container = f'<container><rootfiles><rootfile full-path="{named}"/></rootfiles></container>'.encode()
    if dice.random() < 0.1:
        container = bytes_damaged(container, dice, MARKUP)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", dice.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED))) as archive:
        archive.writestr("META-INF/container.xml", container)
        archive.writestr(name, xml)
        if dice.random() < 0.3:
            archive.writestr("picture.png", bytes(range(256)))
    data = stream.getvalue()
    return bytes_damaged(data, dice, MARKUP) if dice.random() < 0.4 else data


def text_drawn(dice: random.Random, words: tuple[str, ...]) -> str:
    """A marking put together from words of the trade, junk and any signs at all."""
    pieces = []
    for _ in range(dice.randint(1, 14)):
        match dice.randrange(8):
            case 0:
                pieces.append(dice.choice(JUNK))
            case 1:
                pieces.append("".join(chr(_sign(dice)) for _ in range(dice.randint(1, 6))))
            case 2:
                pieces.append(
                    dice.choice((",", ".", ";", "-", "–", "/", "&", "+", "\n", " ", "(", ")", "[", "]", ":", "="))
                )
            case _:
                pieces.append(dice.choice(words))
    return dice.choice((" ", " ", " ", "")).join(pieces)


def _sign(dice: random.Random) -> int:
    code = dice.choice((dice.randrange(32, 0x250), dice.randrange(32, 0xFFFE), dice.randrange(32, 0x1FFFF)))
    return 0xFFFD if 0xD800 <= code < 0xE000 else code
