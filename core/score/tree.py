"""From a source's bytes to its tree: parsed within limits, namespaces dropped, parts side by side."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from core.errors import ScoreError
from core.score.encoding import decoded
from core.score.source import Source
from core.texts import Said, say

MAX_ELEMENTS = 2_000_000
"""About 300 MB of memory; 2,000 bars on three staves have 500,000."""

_OTHER_ROOTS = {
    "html": "a web page",
    "svg": "a drawing",
    "container": "the list of contents of a compressed score",
    "opus": "a MusicXML list of scores",
    "sounds": "the MusicXML list of sounds",
}


@dataclass(frozen=True, slots=True)
class BarElement:
    """A bar of one part.

    Attributes:
        element: holds the notes: the measure, or in a score-timewise the part in it.
        measure: bears the number.
        first_note: how many note elements stand before it in the file; None where it goes on from the
            part's bar before.
        first_direction: the same of direction elements.
    """

    element: etree._Element
    measure: etree._Element
    first_note: int | None = None
    first_direction: int | None = None


@dataclass(frozen=True, slots=True)
class Tree:
    """The score's elements: the root, the parts' ids in order, each part's bars.

    `text` is the XML as it was parsed, UTF-8; `is_partwise` whether it is written part by part.
    """

    root: etree._Element
    part_ids: tuple[str, ...]
    parts: tuple[tuple[BarElement, ...], ...]
    repairs: tuple[Said, ...]
    text: bytes
    is_partwise: bool


def read_tree(source: Source) -> Tree:
    """Parse a source.

    Raises:
        ScoreError: it is not XML, too large, or not MusicXML.
    """
    text = decoded(source.xml, source.encoding)
    root = _parse(source, text)
    repairs: list[Said] = []
    if root.tag not in ("score-partwise", "score-timewise"):
        raise _not_musicxml(source, root)
    if root.tag == "score-timewise":
        repairs.append(say("The file is written bar by bar (score-timewise); it was read part by part."))
        ids, parts = _timewise(root)
    else:
        ids, parts = _partwise(root)
    return Tree(
        root,
        tuple(ids),
        tuple(tuple(bars) for bars in parts),
        tuple(repairs),
        text=text,
        is_partwise=root.tag == "score-partwise",
    )


def count_elements(text: bytes) -> int:
    """How many elements a text can hold at the most."""
    return text.count(b"<") - text.count(b"</")


def parse_piece(text: bytes) -> etree._Element | None:
    """A piece of a score within its root, parsed as the whole is; None where it is no XML by itself."""
    try:
        return _root_of(text)
    except (etree.XMLSyntaxError, ValueError):
        return None


def _root_of(text: bytes) -> etree._Element:
    # Bytes, never a path (libxml2 would unpack a gzip stream); internal entities only, nothing fetched.
    parser = etree.XMLParser(
        encoding="utf-8",
        load_dtd=False,
        no_network=True,
        resolve_entities="internal",  # type: ignore[arg-type]  # the stubs know only True and False
        remove_comments=True,
        remove_pis=True,
        huge_tree=False,
    )
    root = etree.fromstring(text, parser)
    if root is not None and str(root.tag).startswith("{"):
        _drop_namespaces(root)
    return root


def _parse(source: Source, text: bytes) -> etree._Element:
    if count_elements(text) > MAX_ELEMENTS:
        raise ScoreError(
            f"the score has more than {MAX_ELEMENTS:,} elements",
            path=source.path,
            where=source.member,
            remedy="Divide the piece into movements",
        )
    try:
        root = _root_of(text)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise _not_xml(source, text, error) from error
    if root is None:
        raise ScoreError("this is not XML", path=source.path, remedy="Give a MusicXML score")
    return root


def _drop_namespaces(root: etree._Element) -> None:
    for element in root.iter(etree.Element):
        tag = element.tag
        if isinstance(tag, str) and tag.startswith("{"):
            element.tag = tag.rpartition("}")[2]


def _partwise(root: etree._Element) -> tuple[list[str], list[list[BarElement]]]:
    ids: list[str] = []
    parts: list[list[BarElement]] = []
    notes = directions = 0
    for part in root.iterchildren("part"):
        bars = [BarElement(measure, measure) for measure in part.iterchildren("measure")]
        if bars:
            bars[0] = BarElement(bars[0].element, bars[0].measure, notes, directions)
        ids.append(part.get("id") or f"part {len(ids) + 1}")
        parts.append(bars)
        if part.getnext() is not None:
            notes += sum(1 for _ in part.iter("note"))
            directions += sum(1 for _ in part.iter("direction"))
    return ids, parts


def _timewise(root: etree._Element) -> tuple[list[str], list[list[BarElement]]]:
    order: dict[str, list[BarElement | None]] = {}
    notes = directions = 0
    measures = list(root.iterchildren("measure"))
    for index, measure in enumerate(measures):
        for nth, part in enumerate(measure.iterchildren("part")):
            bars = order.setdefault(part.get("id") or f"part {nth + 1}", [])
            while len(bars) < index:
                bars.append(None)
            if len(bars) == index:
                bars.append(BarElement(part, measure, notes, directions))
            notes += sum(1 for _ in part.iter("note"))
            directions += sum(1 for _ in part.iter("direction"))
    parts = [
        [bar or BarElement(etree.Element("part"), measures[i]) for i, bar in enumerate(bars)] for bars in order.values()
    ]
    return list(order), parts


def _not_xml(source: Source, data: bytes, error: Exception) -> ScoreError:
    line, column = getattr(error, "position", (None, None))
    message = str(error).split(", line")[0].strip() or "it ends too early"
    where = f"column {column}" if line and column else None
    if not data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        problem = "this is not XML"
    elif "entity" in message.lower() and ("loop" in message or "amplification" in message.lower()):
        problem = "its entities unfold to more than any score holds"
    elif "depth" in message.lower():
        problem = "its elements stand deeper in each other than in any score"
    else:
        problem = f"the XML is broken: {message}"
    return ScoreError(
        problem,
        path=source.path,
        line=line or None,
        where=where or source.member,
        remedy="Give a MusicXML score, whole and well-formed",
    )


def _not_musicxml(source: Source, root: etree._Element) -> ScoreError:
    name = str(root.tag)
    what = _OTHER_ROOTS.get(name, f"XML with the root {name[:40]!r}")
    return ScoreError(
        f"this is {what}, not a MusicXML score (score-partwise or score-timewise)",
        path=source.path,
        where=source.member,
        remedy="Export the score as MusicXML",
    )
