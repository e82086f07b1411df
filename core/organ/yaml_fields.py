"""The entries of a mapping as typed values: what is wrong is noted with line and path, never raised."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from difflib import get_close_matches
from enum import StrEnum
from typing import TypeVar

from core.organ.yaml_nodes import Mapping, Node, Problems, Scalar, Sequence, plain_key

T = TypeVar("T")
D = TypeVar("D")
E = TypeVar("E", bound=StrEnum)

YES = ("yes", "true", "on")
NO = ("no", "false", "off")


class UnfitError(Exception):
    """A text that cannot be what it stands for: what is wrong with it, and what to write instead."""

    def __init__(self, problem: str, remedy: str = "") -> None:
        super().__init__(problem)
        self.problem = problem
        self.remedy = remedy


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that comes nearest, or an empty text."""
    by_key = {name.casefold(): name for name in known}
    close = get_close_matches(word.casefold(), list(by_key), n=1, cutoff=0.6)
    return by_key[close[0]] if close else ""


def suggestion(word: str, known: Iterable[str], *, all_of: str = "Write one of") -> str:
    """What to write instead of an unknown word: the nearest one, else all of them."""
    names = list(known)
    near = nearest(word, names)
    return f"Did you mean “{near}”?" if near else f"{all_of}: {', '.join(names)}"


def shown(text: str) -> str:
    """A text of the file as a message quotes it: short, on one line."""
    flat = " ".join(text.split())
    return f"“{flat[:60]}…”" if len(flat) > 60 else f"“{flat}”"


class Fields:
    """A mapping being read. Unknown and repeated keys are noted at once."""

    def __init__(self, node: Mapping, where: str, problems: Problems, known: tuple[str, ...]) -> None:
        self.node = node
        self.where = where
        self.problems = problems
        self._values: dict[str, Node] = {}
        self._lines: dict[str, int] = {}
        for key, value in node.entries:
            name = plain_key(key.text)
            if name in self._values:
                self._note(key.line, name, f"{shown(key.text)} stands here twice", "Keep one of them")
            elif name not in known:
                remedy = suggestion(name, known, all_of="Known here are")
                self._note(key.line, name, f"{shown(key.text)} is not known here", remedy)
            else:
                self._values[name] = value
                self._lines[name] = key.line

    def place(self, key: str) -> str:
        """The path of an entry: ``divisions[1].stops[4].pitch``."""
        return f"{self.where}.{key}" if self.where else key

    def line(self, key: str) -> int:
        """The line of an entry, or of the whole mapping where the entry is not there."""
        return self._lines.get(key, self.node.line)

    def has(self, key: str) -> bool:
        """Whether something is written under a key."""
        value = self._values.get(key)
        return value is not None and not (isinstance(value, Scalar) and value.is_nothing)

    def value(self, key: str) -> Node | None:
        """The node under a key, or None where nothing is written."""
        return self._values[key] if self.has(key) else None

    def problem(self, key: str, problem: str, remedy: str = "") -> None:
        """Note a fault of one entry."""
        self._note(self.line(key), key, problem, remedy)

    def _note(self, line: int, key: str, problem: str, remedy: str) -> None:
        self.problems.add(line, self.place(key), problem, remedy)

    def text(self, key: str, default: str = "") -> str:
        """The text under a key."""
        value = self.value(key)
        if value is None:
            return default
        if isinstance(value, Scalar):
            return value.text
        self.problem(key, "a text is wanted here, not a list", f"Write {key}: …")
        return default

    def read(self, key: str, reader: Callable[[str], T], default: D) -> T | D:
        """The text under a key as `reader` (which may raise UnfitError) understands it."""
        text = self.text(key)
        if not self.has(key) or not isinstance(self.value(key), Scalar):
            return default
        try:
            return reader(text)
        except UnfitError as unfit:
            self.problem(key, unfit.problem, unfit.remedy)
            return default

    def flag(self, key: str, default: T) -> bool | T:
        """Yes or no under a key."""
        return self.read(key, read_flag, default)

    def choice(self, key: str, kinds: type[E], default: T) -> E | T:
        """One of an enum's words under a key."""
        return self.read(key, lambda text: read_choice(text, kinds), default)

    def number(self, key: str, low: int, high: int, default: int) -> int:
        """A whole number within bounds under a key."""
        return self.read(key, lambda text: read_number(text, low, high), default)

    def words(self, key: str) -> list[tuple[str, int]]:
        """The texts of a list under a key, each with its line; one text alone is a list of one."""
        value = self.value(key)
        if value is None:
            return []
        items = value.items if isinstance(value, Sequence) else [value]
        found = []
        for number, item in enumerate(items):
            if isinstance(item, Scalar):
                found.append((item.text, item.line))
            else:
                where = f"{self.place(key)}[{number}]"
                self.problems.add(item.line, where, "a text is wanted here", f"Write {key}: [one, two]")
        return found

    def items(self, key: str, example: str) -> list[Node]:
        """The entries of a list under a key; `example` shows how it is written."""
        value = self.value(key)
        if value is None:
            return []
        if isinstance(value, Sequence):
            return value.items
        self.problem(key, "a list is wanted here", f"Begin each entry with a hyphen: {example}")
        return []


def read_flag(text: str) -> bool:
    """Yes or no. Raises UnfitError."""
    word = text.strip().casefold()
    if word in YES or word in NO:
        return word in YES
    raise UnfitError(f"{shown(text)} is neither yes nor no", "Write yes or no")


def read_choice(text: str, kinds: type[E]) -> E:
    """One of an enum's words, hyphens and capitals aside. Raises UnfitError."""
    for kind in kinds:
        if plain_key(kind.value) == plain_key(text):
            return kind
    known = [kind.value for kind in kinds]
    raise UnfitError(f"{shown(text)} is not one of its words", suggestion(text, known))


def read_number(text: str, low: int, high: int) -> int:
    """A whole number from `low` to `high`. Raises UnfitError."""
    plain = text.strip()
    digits = plain.removeprefix("-")
    if digits.isascii() and digits.isdigit() and len(digits) < 6 and low <= int(plain) <= high:
        return int(plain)
    raise UnfitError(f"{shown(text)} is no number from {low} to {high}", f"Write a number from {low} to {high}")
