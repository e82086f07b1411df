"""YAML read as plain text: a tree of nodes with lines and places, safe against hostile files.

Every scalar stays the text that was written (``No``, ``2:30``, ``010``); aliases, tags and repeated keys
are refused. The tree is built from the C parser's events without recursion, so depth cannot hurt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from core.errors import OrganError, Problem

MAX_NODES = 100_000
MAX_DEPTH = 12
MAX_PROBLEMS = 100


@dataclass(slots=True)
class Scalar:
    """A text. `plain`: written without quotes; `start` and `end`: its characters in the file."""

    text: str
    plain: bool
    line: int
    start: int
    end: int

    @property
    def is_nothing(self) -> bool:
        """Whether nothing is written here (an empty value, ``~`` or ``null``)."""
        return self.plain and self.text in ("", "~", "null", "Null", "NULL")


@dataclass(slots=True)
class Sequence:
    """A list; `flow`: written in brackets."""

    flow: bool
    line: int
    start: int
    end: int
    items: list[Node] = field(default_factory=list)


@dataclass(slots=True)
class Mapping:
    """Keys with their values, in the file's order; `flow`: written in braces."""

    flow: bool
    line: int
    start: int
    end: int
    entries: list[tuple[Scalar, Node]] = field(default_factory=list)

    def get(self, key: str) -> Node | None:
        """The value of a key (as `plain_key` has it), or None."""
        return next((value for name, value in self.entries if plain_key(name.text) == key), None)


Node = Scalar | Sequence | Mapping


def plain_key(text: str) -> str:
    """A key as this format compares it: ``Keyboard_assumed`` is ``keyboard assumed``."""
    return " ".join(text.replace("_", " ").replace("-", " ").split()).casefold()


class Problems:
    """Collects every fault of a file, so that all are told at once."""

    def __init__(self) -> None:
        self._found: list[Problem] = []

    def add(self, line: int | None, where: str, problem: str, remedy: str = "") -> None:
        """Note one fault."""
        self._found.append(Problem(line, where, problem, remedy))

    def __bool__(self) -> bool:
        return bool(self._found)

    def raise_if_any(self, path: object) -> None:
        """Raise OrganError with all of them, in the order of the file."""
        if not self._found:
            return
        found = sorted(self._found, key=lambda problem: problem.line or 0)
        shown = tuple(found[:MAX_PROBLEMS])
        count = len(found)
        text = "this specification has one fault" if count == 1 else f"this specification has {count} faults"
        if count > MAX_PROBLEMS:
            text += f", of which the first {MAX_PROBLEMS} are told"
        raise OrganError(text, path=str(path), problems=shown)


def repeated_keys(root: Node) -> Iterator[Scalar]:
    """Keys that stand a second time in their mapping, anywhere in a tree (the second would win in silence)."""
    left = [root]
    while left:
        node = left.pop()
        if isinstance(node, Sequence):
            left += node.items
        elif isinstance(node, Mapping):
            seen: set[str] = set()
            for key, value in node.entries:
                if key.text in seen:
                    yield key
                seen.add(key.text)
                left.append(value)


def read_tree(text: str, path: object) -> Node:
    """The tree of a YAML text. Raises OrganError for what is no YAML or no specification can need."""
    stack: list[Sequence | Mapping] = []
    keys: list[Scalar | None] = []
    root: Node | None = None
    count = 0
    for event in _events(text, path):
        name = type(event).__name__
        line = event.start_mark.line + 1
        if name in ("ScalarEvent", "SequenceStartEvent", "MappingStartEvent"):
            count += 1
            _check(event, count, len(stack), line, path)
            node = _node(event, line)
            root = node if root is None else root
            if stack:
                _put(stack[-1], keys, node, path)
            if not isinstance(node, Scalar):
                stack.append(node)
                keys.append(None)
        elif name in ("SequenceEndEvent", "MappingEndEvent"):
            done = stack.pop()
            keys.pop()
            done.end = event.end_mark.index if done.flow else _end_of_last(done)
        elif name == "AliasEvent":
            raise _refusal("aliases (*name) are not used in specifications", path, line, "Write it out")
        elif name == "DocumentStartEvent" and root is not None:
            raise _refusal("a second document (---) begins here", path, line, "Keep one organ in one file")
    if root is None:
        raise OrganError("the file holds nothing but comments", path=str(path), remedy="Write the organ in it")
    return root


def _events(text: str, path: object) -> Iterator[Any]:
    try:
        yield from yaml.parse(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        problem = (error.problem or "it is not understood").replace("\\t", "tab")
        raise _refusal(f"this is not YAML: {problem}", path, mark.line + 1 if mark else None, _hint(error)) from None
    except yaml.YAMLError as error:
        problem = getattr(error, "reason", None) or "a character that no YAML file may hold"
        raise _refusal(f"this is not YAML: {problem}", path, None, "Save it as plain text in UTF-8") from None
    except (ValueError, RecursionError) as error:
        raise _refusal(f"this is not YAML: {error}", path, None, "Save it as plain text in UTF-8") from None


def _hint(error: yaml.MarkedYAMLError) -> str:
    problem = error.problem or ""
    if "tab" in problem or "\\t" in problem or "'\t'" in problem:
        return "Indent with spaces, not with tabs"
    if "mapping values are not allowed" in problem:
        return 'Put a text that holds ": " in quotes, and see that the lines are indented alike'
    if "alias" in problem or "anchor" in problem or "cannot start any token" in problem:
        return "Put a text that begins with a sign such as * & % @ ` in quotes"
    return "See that quotes and brackets are closed, and that lines of one list are indented alike"


def _check(event: Any, count: int, depth: int, line: int, path: object) -> None:
    if count > MAX_NODES:
        raise _refusal(f"the file holds more than {MAX_NODES} entries; no organ needs that", path, line, "")
    if depth > MAX_DEPTH:
        raise _refusal("lists are nested too deeply here", path, line, "A specification needs five levels")
    if event.tag not in (None, "!"):
        raise _refusal(f"tags ({event.tag}) are not used in specifications", path, line, "Leave it out")


def _node(event: Any, line: int) -> Node:
    start, end = event.start_mark.index, event.end_mark.index
    name = type(event).__name__
    if name == "ScalarEvent":
        return Scalar(event.value, event.style in (None, ""), line, start, end)
    kind = Sequence if name == "SequenceStartEvent" else Mapping
    return kind(bool(event.flow_style), line, start, end)


def _put(parent: Sequence | Mapping, keys: list[Scalar | None], node: Node, path: object) -> None:
    if isinstance(parent, Sequence):
        parent.items.append(node)
        return
    key = keys[-1]
    if key is not None:
        parent.entries.append((key, node))
        keys[-1] = None
    elif isinstance(node, Scalar):
        if node.text == "<<" and node.plain:
            raise _refusal("merge keys (<<) are not used in specifications", path, node.line, "Write it out")
        keys[-1] = node
    else:
        raise _refusal("a list stands where a key should be", path, node.line, "A key is a plain text")


def _end_of_last(node: Sequence | Mapping) -> int:
    """Where a block's last entry ends (the parser's own mark lies after blank lines and comments)."""
    children: list[Node] = (
        node.items if isinstance(node, Sequence) else [part for entry in node.entries for part in entry]
    )
    return max((child.end for child in children[-2:]), default=node.end)


def _refusal(problem: str, path: object, line: int | None, remedy: str) -> OrganError:
    return OrganError(problem, path=str(path), line=line, remedy=remedy)
