"""The title and the texts outside the bars: credits and telling part names."""

from __future__ import annotations

import re

from lxml import etree

from core.score.gathering import TextDraft
from core.score.model import Part, TextKind
from core.score.parts import PartHeader
from core.score.words import folded, glyphs_read, score_words

Element = etree._Element


def find_title(root: Element) -> str:
    """The work's title, the movement's, or the title of the first page."""
    parts = [" ".join((root.findtext(path) or "").split()) for path in ("work/work-title", "movement-title")]
    titles = list(dict.fromkeys(title for title in parts if title))
    if titles:
        return ": ".join(titles)
    for credit in root.iterchildren("credit"):
        if credit.findtext("credit-type") == "title":
            return " ".join("".join(e.text or "" for e in credit.iterchildren("credit-words")).split())
    return ""


def heading_texts(
    root: Element, headers: tuple[PartHeader, ...], parts: tuple[Part, ...], organ: int
) -> list[TextDraft]:
    """Credits, in force from the first bar, and names of organ parts that say more than whose part it is."""
    drafts = []
    for ordinal, credit in enumerate(root.iterchildren("credit")):
        runs = tuple(glyphs_read(e.text or "") for e in credit.iterchildren("credit-words"))
        if "".join(runs).strip():
            role = ", ".join((e.text or "").strip() for e in credit.iterchildren("credit-type"))
            drafts.append(_draft(TextKind.CREDIT, organ, ordinal, runs, role))
    for header, part in zip(headers, parts, strict=True):
        if not part.organ:
            continue
        told = [name for name in header.names if _says_more(name)]
        for name in _without_parts_of_others(told):
            drafts.append(_draft(TextKind.PART_NAME, header.index, header.listed, (name,), ""))
    return drafts


def _draft(kind: TextKind, part: int, element: int, runs: tuple[str, ...], role: str) -> TextDraft:
    return TextDraft(
        kind=kind,
        part=part,
        staff=1,
        onset=0,
        sounding_onset=0,
        placement=None,
        height=None,
        element=element,
        runs=runs,
        role=role,
    )


def _says_more(name: str) -> bool:
    """Whether anything is left of a name without the words for organ, pedal, hands and manuals."""
    text = folded(name)
    for kind in ("organ", "pedal", "right", "left", "manuals"):
        text = score_words().names[kind].sub(" ", text)
    return bool(re.search(r"[^\W\d_]{2}", re.sub(r"\b[ivx]+\b", " ", text)))


def _without_parts_of_others(names: list[str]) -> list[str]:
    return [n for n in names if not any(n != other and folded(n) in folded(other) for other in names)]
