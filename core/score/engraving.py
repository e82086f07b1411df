"""Prepares a copy of a score for the engraver, so that every note, bar and text can be found again.

The engraver keeps the ids of notes and bars but loses those of texts; on the copy each text run
therefore gets a colour of its own, which comes back in the drawing (`Prepared.owners`). The copy is
never saved. What the engraver would drop or spoil is mended on it. This module knows no engraver
and no window: it turns bytes into bytes.

Owners are short names: ``n12`` a note element (its ordinal in the file), ``m3`` a bar (its index),
``d7.0`` the first text run of direction 7, ``b7`` a line (bracket, dashes, wedge) of direction 7.
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass

from lxml import etree

from core.score.source import source_from_bytes
from core.score.tree import read_tree

Element = etree._Element

RUNS = ("words", "rehearsal", "other-direction", "symbol")
LINES = ("bracket", "dashes", "wedge", "octave-shift")
FOOT_SIGNS = {"heel": "∪", "toe": "∧", "heel-toe": "∪∧"}
FIRST_SLICE = 60
"""Bars cut out and engraved first, so that a long piece shows its first page at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A text of the title block: which credit it is (None: the work's own title), where it stands."""

    credit: int | None
    text: str
    role: str  # "title", "subtitle", "composer", "text"
    owner: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A score ready for the engraver.

    Attributes:
        root: the copy.
        owners: colour tag (``#00000A``) to owner.
        headings: the title block, which the engraver leaves out.
        bars: number of bars of the longest part.
    """

    root: Element
    owners: dict[str, str]
    headings: tuple[Heading, ...]
    bars: int

    def whole(self) -> str:
        """The copy as text."""
        return _text(self.root)

    def first_bars(self, count: int = FIRST_SLICE) -> str:
        """Only the first bars of every part, as text."""
        cut = deepcopy(self.root)
        for part in cut.iter("part"):
            for measure in part.findall("measure")[count:]:
                part.remove(measure)
        return _text(cut)

    def excerpt(self, first: int, count: int = 1) -> str:
        """Some bars of every part, as text, with the clefs, key and time that hold there."""
        cut = etree.Element(self.root.tag, _attributes(self.root))
        for child in self.root:
            cut.append(deepcopy(child) if child.tag != "part" else _cut_part(child, first, count))
        for name in cut.findall("part-list/score-part/part-name"):
            name.text = ""  # whose it is shows from the staves; the name would only make it wider
        return _text(cut)


def _cut_part(part: Element, first: int, count: int) -> Element:
    cut = etree.Element("part", _attributes(part))
    measures = part.findall("measure")
    chosen = [deepcopy(measure) for measure in measures[first : first + count]]
    cut.extend(chosen)
    if chosen:
        own = _leading_attributes(chosen[0])
        chosen[0].insert(
            0, _attributes_in_force([*(a for m in measures[:first] for a in m.findall("attributes")), *own])
        )
        for attributes in own:
            chosen[0].remove(attributes)
        for measure in chosen:
            for layout in measure.findall("print"):
                measure.remove(layout)
    return cut


_HELD = ("divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details", "transpose")


def _leading_attributes(measure: Element) -> list[Element]:
    """The `attributes` of a bar before its first note."""
    found = []
    for child in measure:
        if child.tag in ("note", "backup", "forward"):
            break
        if child.tag == "attributes":
            found.append(child)
    return found


def _attributes_in_force(set_so_far: list[Element]) -> Element:
    """One `attributes` with what stands in force after these, in the schema's order."""
    held: dict[tuple[str, str], Element] = {}
    for attributes in set_so_far:
        for child in attributes:
            if isinstance(child.tag, str) and child.tag in _HELD:
                held[child.tag, child.get("number", "")] = child
    made = etree.Element("attributes")
    for name in _HELD:
        for (tag, _), child in sorted(held.items(), key=lambda item: item[0]):
            if tag == name:
                made.append(deepcopy(child))
    return made


def prepare(source: bytes) -> Prepared:
    """The copy of a score (its XML bytes) with ids, colour tags and mended texts.

    Raises:
        ScoreError: the bytes are no MusicXML score.
    """
    root = read_tree(source_from_bytes(source)).root
    headings = tuple(_headings(root))
    _name_notes(root)
    owners = _tag_directions(root)
    if root.tag == "score-timewise":
        root = _partwise(root)
    bars = _name_bars(root)
    for credit in root.findall("credit"):
        root.remove(credit)
    return Prepared(root=root, owners=owners, headings=headings, bars=bars)


def _text(root: Element) -> str:
    return str(etree.tostring(root, encoding="unicode"))


def _name_notes(root: Element) -> None:
    for ordinal, note in enumerate(root.iter("note")):
        note.set("id", f"n{ordinal}")
        note.attrib.pop("color", "")
        for technical in note.iter("technical"):
            _draw_feet(technical)


def _draw_feet(technical: Element) -> None:
    """Heel and toe, which the engraver leaves out, as fingering."""
    for sign in list(technical):
        if isinstance(sign.tag, str) and sign.tag in FOOT_SIGNS:
            text = FOOT_SIGNS[sign.tag]
            sign.tag = "fingering"
            sign.text = text


def _tag_directions(root: Element) -> dict[str, str]:
    owners: dict[str, str] = {}
    for ordinal, direction in enumerate(root.iter("direction")):
        run = 0
        previous: Element | None = None
        for kind in direction.findall("direction-type"):
            for element in list(kind):
                element.attrib.pop("color", "")
                if element.tag in RUNS:
                    owner = f"d{ordinal}.{run}"
                    run += 1
                    previous = _mend_run(element, previous)
                elif element.tag == "metronome" and previous is not None:
                    previous.text = (previous.text or "").rstrip() + " "
                    continue
                elif element.tag in LINES:
                    owner = f"b{ordinal}"
                else:
                    continue
                colour = f"#{len(owners) + 1:06X}"
                owners[colour] = owner
                element.set("color", colour)
        _drop_hidden(direction)
    _close_brackets(root)
    return owners


def _mend_run(element: Element, previous: Element | None) -> Element:
    """Make a text the engraver draws; keep it apart from the text before it."""
    if element.tag == "other-direction":
        element.tag = "words"
    text = element.text or ""
    if previous is not None and previous.text and not previous.text[-1:].isspace() and text[:1].strip():
        previous.text += " "
    return element


def _drop_hidden(direction: Element) -> None:
    for kind in direction.findall("direction-type"):
        for element in list(kind):
            if element.get("print-object") == "no":
                kind.remove(element)
        if len(kind) == 0:
            direction.remove(kind)
    if direction.find("direction-type") is None:
        parent = direction.getparent()
        if parent is not None:
            parent.remove(direction)


def _close_brackets(root: Element) -> None:
    """Give a bracket that never closes an end in its own bar: the engraver leaves it out otherwise."""
    for tag in ("bracket", "dashes"):
        open_ones: dict[str, Element] = {}
        for line in root.iter(tag):
            number = line.get("number", "1")
            if line.get("type") == "start":
                open_ones[number] = line
            elif line.get("type") == "stop":
                open_ones.pop(number, None)
        for number, line in open_ones.items():
            _close_in_bar(line, tag, number)


def _close_in_bar(line: Element, tag: str, number: str) -> None:
    direction = next(line.iterancestors("direction"), None)
    measure = next(line.iterancestors("measure"), None)
    if direction is None or measure is None:
        return
    end = etree.SubElement(measure, "direction")
    kind = etree.SubElement(end, "direction-type")
    stop = etree.SubElement(kind, tag, type="stop", number=number)
    if tag == "bracket":
        stop.set("line-end", "none")
    staff = direction.find("staff")
    if staff is not None:
        etree.SubElement(end, "staff").text = staff.text


def _name_bars(root: Element) -> int:
    most = 0
    for part_index, part in enumerate(root.findall("part")):
        measures = part.findall("measure")
        most = max(most, len(measures))
        for index, measure in enumerate(measures):
            measure.set("id", f"m{index}" if part_index == 0 else f"m{index}.{part_index}")
    return most


def _partwise(root: Element) -> Element:
    """The same score with its bars sorted by part."""
    turned = etree.Element("score-partwise", _attributes(root))
    parts: dict[str, Element] = {}
    for child in list(root):
        if child.tag != "measure":
            turned.append(child)
            continue
        for part in list(child):
            name = part.get("id", "")
            if name not in parts:
                parts[name] = etree.SubElement(turned, "part", id=name)
            measure = etree.SubElement(parts[name], "measure", _attributes(child))
            for content in list(part):
                measure.append(content)
    return turned


def _attributes(element: Element) -> dict[str, str]:
    return {str(name): str(value) for name, value in element.attrib.items()}


_ROLE_BY_SIDE = {"center": "subtitle", "right": "composer"}


def _headings(root: Element) -> Iterator[Heading]:
    """The title block: what the credits say, and of title and composer what they leave out."""
    title = (root.findtext("work/work-title") or root.findtext("movement-title") or "").strip()
    composer = (root.findtext("identification/creator[@type='composer']") or "").strip()
    credits = list(_credits(root, title, composer))
    roles = {heading.role for heading in credits}
    if title and "title" not in roles:
        yield Heading(credit=None, text=title, role="title")
    if composer and "composer" not in roles:
        yield Heading(credit=None, text=composer, role="composer")
    yield from credits


def _credits(root: Element, title: str, composer: str) -> Iterator[Heading]:
    for ordinal, credit in enumerate(root.findall("credit")):
        if credit.get("page", "1") != "1":
            continue
        words = credit.findall("credit-words")
        text = "".join(word.text or "" for word in words).strip()
        kinds = [kind.text or "" for kind in credit.findall("credit-type")]
        if not text or "page number" in kinds:
            continue
        role = next((kind for kind in kinds if kind in ("title", "subtitle", "composer")), None)
        if role is None and text in (title, composer):
            role = "title" if text == title else "composer"
        if role is None:
            side = words[0].get("justify") or words[0].get("halign") or ""
            role = _ROLE_BY_SIDE.get(side, "text")
        yield Heading(credit=ordinal, text=text, role=role, owner=f"c{ordinal}")
