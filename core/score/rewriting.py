"""What is already in a score changed, moved or taken out: texts of directions and credits, brackets."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from core.errors import EditError
from core.score.model import TextKind
from core.score.outline import Element
from core.score.placing import exact, find_gap, whole
from core.score.ranges import Node, read_node
from core.score.words import glyphs_read
from core.score.writing import (
    Manuscript,
    NewDirection,
    OpenBar,
    Place,
    Splice,
    direction_tail,
    escape,
    insert_direction,
    insertion,
    margin_before,
    open_bar,
)

_RUNS = {
    TextKind.WORDS: ("words", "symbol"),
    TextKind.REHEARSAL: ("rehearsal",),
    TextKind.OTHER_DIRECTION: ("other-direction",),
    TextKind.CREDIT: ("credit-words", "credit-symbol"),
}
_TEXTS = ("words", "rehearsal", "other-direction")
_LINE_END = re.compile(rb"[ \t]*(?:\r\n|\n|\r|\Z)")
_OWN_PLACE = re.compile(rb"""\s+(?:default-x|relative-x|relative-y)\s*=\s*(?:"[^"]*"|'[^']*')""")
_ID = re.compile(rb"""\s+id\s*=\s*(?:"[^"]*"|'[^']*')""")


def text_node(manuscript: Manuscript, kind: TextKind, element: int) -> Node:
    """The direction or credit that holds a text, in full.

    Raises:
        EditError: texts of this kind, or this one, cannot be edited.
    """
    if kind not in _RUNS:
        raise EditError("a text of this kind is not edited here, only markings and lines of the title block")
    outline = manuscript.outline
    elements: list[Element] = outline.credits if kind is TextKind.CREDIT else outline.directions
    if not 0 <= element < len(elements):
        raise EditError("this marking is no longer in the file")
    return read_node(manuscript.text, outline, elements[element].start, elements[element].end)


def _runs(node: Node, kind: TextKind) -> list[Node | None]:
    """The runs of a text as the reader joins them: None where a sign stands between two."""
    name = _RUNS[kind][0]
    if kind is TextKind.CREDIT:
        return [run for run in node.children if run.name == name]
    runs: list[Node | None] = []
    signs = [sign for part in node.children if part.name == "direction-type" for sign in part.children]
    for sign in signs:
        if sign.name == name:
            if _is_shown(sign):
                runs.append(sign)
        elif sign.name not in _TEXTS and runs:
            runs.append(None)
    while runs and runs[-1] is None:
        runs.pop()
    return runs


def _is_shown(run: Node) -> bool:
    return run.attributes.get("print-object") != "no"


def change_text(manuscript: Manuscript, kind: TextKind, element: int, text: str) -> list[Splice]:
    """Give a direction or credit another text; runs that do not change keep their place and looks."""
    node = text_node(manuscript, kind, element)
    runs = _runs(node, kind)
    if not runs:
        raise EditError("this marking has no words that could be changed")
    old = [" " if run is None else glyphs_read(run.text) for run in runs]
    new = share_out(old, text)
    for index, run in enumerate(runs[:-1]):
        if run is None and new[index] != " ":  # what was written into the gap goes to the run after it
            new[index + 1] = new[index].lstrip() + new[index + 1]
    if not any(said.strip() for run, said in zip(runs, new, strict=True) if run is not None):
        raise EditError("a marking needs a text", remedy="Delete it instead.")
    return [
        _replace_run(manuscript, run, said) if said else remove(manuscript.text, _holder(node, run))
        for run, before, said in zip(runs, old, new, strict=True)
        if run is not None and before != said
    ]


def _holder(node: Node, run: Node) -> Node:
    """What goes when a run has no text left: the run, or its direction-type where it is alone in it."""
    return next((part for part in node.children if part.children == [run]), run)


def share_out(old: list[str], text: str) -> list[str]:
    """A new text shared out among runs: each keeps what did not change; the first concerned gets the new."""
    joined = "".join(old)
    start = 0
    while start < min(len(joined), len(text)) and joined[start] == text[start]:
        start += 1
    tail = 0
    while tail < min(len(joined), len(text)) - start and joined[-1 - tail] == text[-1 - tail]:
        tail += 1
    stop = len(joined) - tail
    fresh: str | None = text[start : len(text) - tail]
    shared = []
    begin = 0
    for run in old:
        end = begin + len(run)
        kept_before = run[: max(0, min(end, start) - begin)]
        kept_after = run[max(0, min(end, max(begin, stop)) - begin) :]
        if fresh is not None and start <= end and (start < end or stop == start or run is old[-1]):
            kept_before += fresh
            fresh = None
        shared.append(kept_before + kept_after)
        begin = end
    if fresh:
        shared[-1] += fresh
    return shared


def _replace_run(manuscript: Manuscript, run: Node, text: str) -> Splice:
    if run.start < 0:
        raise EditError("these words come out of an entity of the file and cannot be changed here")
    content = escape(text).encode("utf-8")
    if run.inner_start == run.end:  # <words/>
        tag = manuscript.text[run.start : run.end - 2].rstrip()
        return Splice(run.start, run.end, tag + b">" + content + f"</{run.raw_name}>".encode())
    eol = _eol(manuscript.text)
    return Splice(run.inner_start, run.inner_end, content.replace(b"\n", eol))


def _eol(text: bytes) -> bytes:
    head = text[:20_000]
    if b"\r\n" in head:
        return b"\r\n"
    return b"\r" if b"\r" in head and b"\n" not in head else b"\n"


def delete_text(manuscript: Manuscript, kind: TextKind, element: int) -> list[Splice]:
    """Take a text out of the file; dynamics, hairpins or tempo in the same direction stay."""
    node = text_node(manuscript, kind, element)
    if kind is TextKind.CREDIT:
        rest = [c for c in node.children if c.name == "credit-image"]
        if rest:
            raise EditError("this part of the title block holds a picture too and cannot be deleted here")
        return [remove(manuscript.text, node)]
    return take_out(manuscript, node, _text_types(node, kind))


def _text_types(node: Node, kind: TextKind) -> list[Node]:
    return [
        part
        for part in node.children
        if part.name == "direction-type" and any(c.name in _RUNS[kind] and _is_shown(c) for c in part.children)
    ]


def take_out(manuscript: Manuscript, direction: Node, types: list[Node]) -> list[Splice]:
    """Take direction-types out of a direction; if none is left the direction goes, but for its sound."""
    text = manuscript.text
    left = [c for c in direction.children if c.name == "direction-type" and c not in types]
    if left:
        return [remove(text, one) for one in types]
    sound = direction.child("sound")
    if sound is None:
        return [remove(text, direction)]
    return [Splice(direction.start, direction.end, text[sound.start : sound.end])]


def remove(text: bytes, node: Node) -> Splice:
    """The splice that takes an element out, with its line where it has one of its own."""
    if node.start < 0:
        raise EditError("it comes out of an entity of the file and cannot be deleted here")
    margin = margin_before(text, node.start)
    if margin is not None and _LINE_END.match(text, node.end):
        return Splice(node.start - len(margin[0]) - len(margin[1]), node.end, b"")
    return Splice(node.start, node.end, b"")


def move_text(
    manuscript: Manuscript, kind: TextKind, element: int, target: OpenBar, to: Place, staves: int
) -> list[Splice]:
    """Put a text elsewhere; its words keep their looks, what else the direction holds stays where it is."""
    if kind is TextKind.CREDIT:
        raise EditError("a line of the title block cannot be moved into the music", remedy="Add a marking.")
    node = text_node(manuscript, kind, element)
    types = _text_types(node, kind)
    gone = take_out(manuscript, node, types)
    text = manuscript.text
    tag = text[node.start : node.inner_start]
    if any(c.name == "direction-type" and c not in types for c in node.children):
        tag = _ID.sub(b"", tag)
    gap = find_gap(target.children, to.staff, to.time)
    lines = [(0, tag.decode("utf-8"))]
    for one in types:
        raw = _OWN_PLACE.sub(b"", text[one.start : one.end])
        lines.append((1, raw.replace(b"\r\n", b"\n").decode("utf-8")))
    lines += direction_tail(target, gap, to.staff if staves > 1 else None)
    return [*gone, insertion(manuscript, target, gap.index, lines)]


@dataclass(frozen=True, slots=True, kw_only=True)
class BracketMark:
    """One end of a bracket as the file has it."""

    direction: int
    nth: int
    kind: str
    number: int
    bar: int
    staff: int
    time: Fraction


def bracket_marks(manuscript: Manuscript, part: int) -> list[BracketMark]:
    """All bracket ends of a part, in document order."""
    if not 0 <= part < len(manuscript.outline.parts):
        raise EditError("the score has no such part")
    marks = []
    for bar, measure in enumerate(manuscript.outline.parts[part]):
        if b"bracket" not in manuscript.text[measure.start : measure.end]:
            continue
        opened = open_bar(manuscript, part, bar)
        for child in opened.children:
            if child.direction is None:
                continue
            found = [node for node in child.node.walk() if node.name == "bracket"]
            offset = exact(child.node.words_of("offset")) or Fraction(0)
            for nth, node in enumerate(found):
                marks.append(
                    BracketMark(
                        direction=child.direction,
                        nth=nth,
                        kind=node.attributes.get("type", ""),
                        number=whole(node.attributes.get("number", ""), 1),
                        bar=bar,
                        staff=child.staff,
                        time=child.before + offset / opened.divisions,
                    )
                )
    return marks


_PART_LIST = re.compile(rb"<(?:([\w.-]+):)?part-list\b")


def add_credit(manuscript: Manuscript, text: str, page: int) -> Splice:
    """The splice that puts a text at the foot of a page: a credit, the last before the list of parts."""
    found = _PART_LIST.search(manuscript.text)
    if found is None:
        raise EditError("this score has no list of parts before which a text could stand")
    prefix = f"{found[1].decode()}:" if found[1] else ""
    margin = margin_before(manuscript.text, found.start())
    eol, indent = margin if margin else (b"", b"")
    lead = eol + indent
    step = b"  " if margin else b""
    lines = [
        (0, f'<{prefix}credit page="{page}">'),
        (1, f'<{prefix}credit-words justify="left" valign="bottom">{escape(text)}</{prefix}credit-words>'),
        (0, f"</{prefix}credit>"),
    ]
    body = lead.join(step * depth + line.encode("utf-8") for depth, line in lines)
    return Splice(found.start(), found.start(), body + lead)


def add_bracket(manuscript: Manuscript, start: Place, end: Place, placement: str, staves: int) -> list[Splice]:
    """Draw a bracket over a staff from one place to another of the same part."""
    if (end.bar, end.time) <= (start.bar, start.time):
        raise EditError("a bracket must end after it begins")
    number = _free_number(bracket_marks(manuscript, start.part), start, end)
    splices = []
    for place, kind in ((start, "start"), (end, "stop")):
        content = f'<bracket type="{kind}" number="{number}" line-end="down" line-type="solid"/>'
        new = NewDirection(content=content, placement=placement, staff=place.staff if staves > 1 else None)
        opened = open_bar(manuscript, place.part, place.bar)
        splices.append(insert_direction(manuscript, opened, place.staff, place.time, new))
    return splices


def _free_number(marks: list[BracketMark], start: Place, end: Place) -> int:
    """The lowest number that no bracket of the part bears anywhere near this stretch."""
    taken = {m.number for m in marks if start.bar <= m.bar <= end.bar}
    still_open: set[int] = set()
    for mark in marks:
        if mark.bar < start.bar:
            (still_open.add if mark.kind == "start" else still_open.discard)(mark.number)
    free = [n for n in range(1, 17) if n not in taken | still_open]
    if not free:
        raise EditError("sixteen brackets overlap here; the file format allows no more")
    return free[0]


def delete_bracket(manuscript: Manuscript, start: Place) -> list[Splice]:
    """Take out the bracket that begins at a place, and its end."""
    marks = bracket_marks(manuscript, start.part)
    first = next(
        (m for m in marks if m.kind == "start" and (m.bar, m.staff, m.time) == (start.bar, start.staff, start.time)),
        None,
    )
    if first is None:
        raise EditError("no bracket begins at this place")
    later = marks[marks.index(first) + 1 :]
    last = next((m for m in later if m.number == first.number), None)
    ends = [first] + ([last] if last is not None and last.kind != "start" else [])
    splices: list[Splice] = []
    for ordinal in dict.fromkeys(mark.direction for mark in ends):
        element = manuscript.outline.directions[ordinal]
        node = read_node(manuscript.text, manuscript.outline, element.start, element.end)
        types = [c for c in node.children if c.child("bracket") is not None]
        nths = [mark.nth for mark in ends if mark.direction == ordinal]
        splices += take_out(manuscript, node, [types[nth] for nth in nths])
    return splices
