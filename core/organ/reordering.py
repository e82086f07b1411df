"""Whole entries of a list moved or made: lines with their remarks, indented for their new place."""

from __future__ import annotations

from core.organ.splicing import Splice, column, item_lines, line_end, line_start, newline_of
from core.organ.yaml_nodes import Node, Scalar, Sequence
from core.organ.yaml_text import scalar


def reorder(text: str, items: Sequence, order: list[int]) -> Splice:
    """A list's entries in another order; what stands between them stays between them."""
    places = [_body(text, items, index) for index in range(len(items.items))]
    bodies = [text[start:end] for start, end in places]
    made = []
    for place, index in enumerate(order):
        made.append(bodies[index])
        if place + 1 < len(places):
            made.append(text[places[place][1] : places[place + 1][0]])
    return Splice(places[0][0], places[-1][1], "".join(made))


def _body(text: str, items: Sequence, index: int) -> tuple[int, int]:
    """Where an entry begins and ends: of a block list whole lines, with the remarks that stand right above."""
    node = items.items[index]
    if items.flow:
        return node.start, node.end
    lines = item_lines(text, node)
    start = lines.start
    floor = item_lines(text, items.items[index - 1]).end if index else 0
    while start > floor:
        above = line_start(text, start - 1)
        if not text[above:start].lstrip().startswith("#"):
            break
        start = above
    return start, lines.start + len(text[lines.start : lines.end].rstrip("\r\n"))


def carried(text: str, node: Node, items: Sequence, at_column: int | None) -> str:
    """An entry as it is written at another place.

    Args:
        text: the file.
        node: the entry.
        items: the list in which it stands.
        at_column: of the hyphen at its new place; None: it goes into a list in brackets.
    """
    raw = text[node.start : node.end]
    if at_column is None:
        is_quoted = isinstance(node, Scalar) and not node.plain
        return raw if "\n" not in raw and (items.flow or is_quoted) else flow_of(node)
    if items.flow:
        return raw if "\n" not in raw else flow_of(node)
    lines = item_lines(text, node)
    whole = text[node.start : lines.end].rstrip("\r\n")
    shift = at_column - column(text, text.rfind("-", 0, node.start))
    first, *rest = whole.splitlines()
    return newline_of(text).join([first, *(_shifted(line, shift) for line in rest)])


def _shifted(line: str, shift: int) -> str:
    indent = len(line) - len(line.lstrip(" "))
    return " " * max(0, indent + shift) + line.lstrip(" ")


def flow_of(node: Node) -> str:
    """A node on one line, in brackets and braces."""
    if isinstance(node, Scalar):
        return "" if node.is_nothing else scalar(node.text, flow=True)
    if isinstance(node, Sequence):
        return "[" + ", ".join(flow_of(item) for item in node.items) + "]"
    return "{" + ", ".join(f"{flow_of(key)}: {flow_of(value)}" for key, value in node.entries) + "}"


def first_of_list(text: str, key: Scalar, items: Sequence, entry: str) -> list[Splice]:
    """The first entry of an empty list ``stops: []``, on a line of its own under the key."""
    at = text.index(":", key.end) + 1
    indent = " " * (column(text, key.start) + 2)
    end = line_end(text, items.end)
    newline = newline_of(text)
    line = f"{indent}- {entry}"
    put = Splice(end, end, f"{line}{newline}") if text[:end].endswith("\n") else Splice(end, end, f"{newline}{line}")
    return [Splice(at, items.end, ""), put]
