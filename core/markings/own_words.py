"""What a file of a user's own words holds, word by word, and the file without one of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from core.errors import EditError
from core.markings.user_words import holds_anything, words_of_text
from core.organ.yaml_nodes import Mapping, Node, Scalar, Sequence, read_tree

_TAUGHT = 2  # a line that was taught holds the language and one word


@dataclass(frozen=True, slots=True)
class OwnWord:
    """A word of one's own.

    Attributes:
        kind, value: what it means, as the file has it: ``division``, ``swell``; ``stop`` with its family.
        line: its line in the file, from 1.
        alone: it has a line to itself, which can be taken out; else it stands among others, written by hand.
    """

    word: str
    kind: str
    value: str
    language: str
    line: int
    alone: bool


def own_words(text: str, *, path: str | Path) -> tuple[OwnWord, ...]:
    """Every word that the text of a file holds. Raises OrganError where it is no table of words."""
    words_of_text(text, path=path)  # says what is wrong
    return tuple(_of_table(read_tree(text, path), text, alone=False)) if holds_anything(text) else ()


def _of_table(node: Node, text: str, *, alone: bool) -> Iterator[OwnWord]:
    if not isinstance(node, Mapping):
        return
    said = node.get("language")
    language = said.text if isinstance(said, Scalar) else ""
    alone = alone and node.flow and len(node.entries) == _TAUGHT and "\n" not in text[node.start : node.end]
    found = [(kind, value, word) for key, part in node.entries for kind, value, word in _of_part(key.text, part)]
    for kind, value, word in found:
        yield OwnWord(word.text, kind, value, language, word.line, alone and len(found) == 1)
    also = node.get("also")
    for item in also.items if isinstance(also, Sequence) else ():
        yield from _of_table(item, text, alone=isinstance(also, Sequence) and not also.flow)


def _of_part(name: str, part: Node) -> Iterator[tuple[str, str, Scalar]]:
    """The words of a table's ``words`` or ``stops``."""
    if not isinstance(part, Mapping) or name not in ("words", "stops"):
        return
    for key, content in part.entries:
        if name == "stops":
            family = content.get("family") if isinstance(content, Mapping) else None
            yield "stop", family.text if isinstance(family, Scalar) else "", key
        elif isinstance(content, Mapping):
            yield from ((key.text, value.text, word) for value, words in content.entries for word in _texts(words))
        else:
            yield from ((key.text, "", word) for word in _texts(content))


def _texts(node: Node) -> list[Scalar]:
    items = node.items if isinstance(node, Sequence) else [node]
    return [item for item in items if isinstance(item, Scalar)]


def without_word(text: str, word: OwnWord, *, path: str | Path) -> str:
    """The text of a file without a word that has a line to itself; all else stays as it is.

    Raises:
        EditError: it is not there, or stands among other words.
    """
    known = own_words(text, path=path)
    if word not in known or not word.alone:
        raise EditError(f"“{word.word}” has no line to itself", path=path, remedy="Take it out of the file by hand")
    lines = text.splitlines(keepends=True)
    del lines[word.line - 1]
    if not any(other.alone and other != word for other in known):
        lines = [line for number, line in enumerate(lines) if not _is_empty_also(lines, number)]
    return "".join(lines)


def _is_empty_also(lines: list[str], number: int) -> bool:
    """An ``also:`` that nothing stands under any more."""
    if lines[number].strip() != "also:":
        return False
    below = next((line for line in lines[number + 1 :] if line.strip() and not line.lstrip().startswith("#")), "")
    return not below.lstrip().startswith("-")
