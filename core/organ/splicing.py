"""Changes to a YAML text at the places where its nodes stand; all other characters stay as they are."""

from __future__ import annotations

from typing import NamedTuple

from core.organ.yaml_nodes import Mapping, Node, Scalar, Sequence, plain_key


class Splice(NamedTuple):
    """The characters from `start` up to `end` become `text`."""

    start: int
    end: int
    text: str


def apply(text: str, splices: list[Splice]) -> str:
    """The text with all splices made; they must not overlap."""
    for splice in sorted(splices, reverse=True):
        text = text[: splice.start] + splice.text + text[splice.end :]
    return text


def newline_of(text: str) -> str:
    """The line end that a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def line_start(text: str, at: int) -> int:
    """Where the line of a character begins."""
    return text.rfind("\n", 0, at) + 1


def line_end(text: str, at: int) -> int:
    """Where the line after a character's begins; the text's end where there is none."""
    found = text.find("\n", at)
    return len(text) if found < 0 else found + 1


def column(text: str, at: int) -> int:
    """How far from its line's start a character stands."""
    return at - line_start(text, at)


def _new_line(text: str, at: int, line: str) -> Splice:
    """A whole line put in at a line's start, or after a last line that has no end."""
    newline = newline_of(text)
    if at and not text[:at].endswith("\n"):
        return Splice(at, at, f"{newline}{line}")
    return Splice(at, at, f"{line}{newline}")


def _hyphen(text: str, item: Node) -> int:
    return text.rfind("-", 0, item.start)


def _after_key(text: str, key: Scalar) -> int:
    return text.index(":", key.end) + 1


def item_lines(text: str, item: Node) -> Splice:
    """The whole lines of an entry of a block list, its remark at the line's end with it."""
    start, end = line_start(text, _hyphen(text, item)), line_end(text, max(item.end - 1, item.start))
    return Splice(start, end, text[start:end])


def insert_item(text: str, key: Scalar, items: Sequence, index: int, entry: str) -> Splice:
    """A new entry of a list before the one at `index`; `entry` is YAML on one line."""
    if items.flow:
        if not items.items:
            return Splice(items.start, items.end, f"[{entry}]")
        if index < len(items.items):
            at = items.items[index].start
            return Splice(at, at, f"{entry}, ")
        at = items.items[-1].end
        return Splice(at, at, f", {entry}")
    indent = " " * column(text, _hyphen(text, items.items[0]))
    if index == 0:
        at = line_start(text, _hyphen(text, items.items[0]))
    else:
        at = item_lines(text, items.items[index - 1]).end
    return _new_line(text, at, f"{indent}- {entry}")


def remove_item(text: str, key: Scalar, items: Sequence, index: int) -> list[Splice]:
    """Take an entry out of a list; the last one leaves an empty list."""
    item = items.items[index]
    if items.flow:
        if len(items.items) == 1:
            return [Splice(item.start, item.end, "")]
        if index + 1 < len(items.items):
            return [Splice(item.start, items.items[index + 1].start, "")]
        return [Splice(items.items[index - 1].end, item.end, "")]
    lines = item_lines(text, item)
    out = [Splice(lines.start, lines.end, "")]
    if len(items.items) == 1:
        at = _after_key(text, key)
        out.append(Splice(at, at, " []"))
    return out


def set_entry(text: str, mapping: Mapping, key: str, value: str, *, early: bool = False) -> Splice:
    """Write an entry of a mapping: in its place, else as a new one (`early`: after the first entry)."""
    for name, node in mapping.entries:
        if plain_key(name.text) == key:
            at = _after_key(text, name)
            if isinstance(node, Scalar) and node.is_nothing and node.start == node.end:
                return Splice(at, at, f" {value}")
            return Splice(node.start, node.end, value)
    if not mapping.entries:
        return Splice(mapping.start, mapping.end, f"{{{key}: {value}}}")
    last = mapping.entries[0 if early else -1]
    if mapping.flow:
        return Splice(last[1].end, last[1].end, f", {key}: {value}")
    indent = " " * column(text, mapping.entries[0][0].start)
    at = line_end(text, max(last[1].end, last[0].end))
    return _new_line(text, at, f"{indent}{key}: {value}")


def remove_entry(text: str, mapping: Mapping, index: int) -> Splice:
    """Take one of several entries out of a mapping."""
    name, node = mapping.entries[index]
    following = mapping.entries[index + 1][0].start if index + 1 < len(mapping.entries) else None
    if mapping.flow or (index == 0 and following is not None):
        if following is not None:
            return Splice(name.start, following, "")
        return Splice(mapping.entries[index - 1][1].end, node.end, "")
    return Splice(line_start(text, name.start), line_end(text, max(node.end - 1, name.end)), "")


def with_options(text: str, value: Node, key: str, entry: str) -> list[Splice]:
    """Give a composition that stands alone after its stop (``Mixture IV: 19.22``) an option beside it."""
    if not (isinstance(value, Mapping) and not value.flow):
        raw = text[value.start : value.end]
        return [Splice(value.start, value.end, f"{{composition: {raw}, {key}: {entry}}}")]
    start = line_start(text, value.entries[0][0].start)
    end = line_end(text, max(value.end - 1, value.start))
    indent = " " * column(text, value.entries[0][0].start)
    newline = newline_of(text)
    rows = "".join(f"  {row}" for row in text[start:end].splitlines(keepends=True))
    head = f"{indent}{key}: {entry}{newline}{indent}composition:{newline}"
    return [Splice(start, end, head + rows)]
