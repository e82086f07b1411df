"""A user's own words: a file of the form of core/knowledge/languages, written at the word that was not understood.

A file holds one table (``language``, ``words``, ``stops``) and under ``also`` any number of further ones, so that
a word can be added at the end without touching what the user wrote. Own words win over the built-in ones; where
one means something else there, that is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Mapping as Map
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from core.errors import EditError, OrganError
from core.files import read_text
from core.knowledge.loader import load
from core.markings.folding import fold_words
from core.markings.lexicon import LANGUAGES, Lexicon, build_lexicon, lexicon
from core.markings.senses import Sense
from core.organ.model import Family
from core.organ.spelling import read_feet_exact
from core.organ.yaml_fields import shown, suggestion
from core.organ.yaml_nodes import Mapping, Node, Problems, Scalar, Sequence, read_tree, repeated_keys
from core.organ.yaml_text import scalar
from core.texts import Said, say

_HEADER = "# Words of your own. Each line under “also” is one word, its language and what it means.\n"
_KEYS = ("language", "words", "stops", "also", "sources", "never_stops")
_FREE = ("quality", "abbreviation", "compact_stop", "recipe", "initials")
_STOP_KEYS = ("family", "feet", "words")
MAX_BYTES = 1_000_000
_PLAIN_MEANINGS = {"nothing": "filler", "other": "other"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UserWords:
    """A user's words, indexed.

    Attributes:
        lexicon: what `core.markings.reading.read_marking` takes as ``user_words``.
        shadows: which of them mean something else among the built-in words, for people.
    """

    lexicon: Lexicon
    shadows: tuple[Said, ...] = ()


def load_words(path: str | Path) -> UserWords:
    """A file of a user's words.

    Raises:
        ReadError: it cannot be read.
        OrganError: it is no table of words; all its problems are listed at once.
    """
    return words_of_text(read_text(path, limit=MAX_BYTES)[0], path=path)


def words_of_text(text: str, *, path: str | Path) -> UserWords:
    """The words that the text of a file holds. Raises OrganError with all its problems."""
    problems = Problems()
    blank = bool(text.strip()) and not holds_anything(text)  # remarks alone: all words were taken out again
    tables = [] if blank else _all_tables(read_tree(text, path), problems)
    try:
        problems.raise_if_any(path)
    except OrganError as error:
        raise OrganError("these words cannot be used yet", path=path, problems=error.problems) from None
    shadows = tuple(_shadows(tables))
    return UserWords(lexicon=build_lexicon(tables, with_stops=False), shadows=shadows)


def holds_anything(text: str) -> bool:
    """Whether a file holds more than remarks."""
    return any(row.strip() and not row.lstrip().startswith("#") for row in text.splitlines())


def _all_tables(root: Node, problems: Problems) -> list[dict[str, Any]]:
    for key in repeated_keys(root):
        problems.add(key.line, key.text, f"{shown(key.text)} stands here twice", "Keep one of them")
    return _tables(root, "", problems)


def _tables(node: Node, where: str, problems: Problems) -> list[dict[str, Any]]:
    """The table that a mapping holds, and those under its ``also``."""
    if not isinstance(node, Mapping):
        problems.add(node.line, where or "the file", "a table of words is wanted here", "Begin with “language: en”")
        return []
    prefix = f"{where}." if where else ""
    table: dict[str, Any] = {"language": "", "words": {}, "stops": {}}
    more: list[dict[str, Any]] = []
    for key, value in node.entries:
        name, place = key.text, f"{prefix}{key.text}"
        if name == "language":
            table["language"] = _language(value, place, problems)
        elif name == "words":
            table["words"] = _words(value, place, problems)
        elif name == "stops":
            table["stops"] = _stops(value, place, problems)
        elif name == "also" and isinstance(value, Sequence):
            for at, item in enumerate(value.items):
                more.extend(_tables(item, f"{place}[{at}]", problems))
        elif name == "never_stops":
            table["never_stops"] = _texts(value, place, problems)
        elif name not in _KEYS or name == "also":
            problems.add(key.line, place, f"{shown(name)} is not known here", suggestion(name, _KEYS))
    if not table["language"] and (table["words"] or table["stops"]):
        problems.add(node.line, f"{prefix}language", "the language is missing", f"Write one of {', '.join(LANGUAGES)}")
    return [*([table] if table["language"] else []), *more]


def _language(node: Node, where: str, problems: Problems) -> str:
    if isinstance(node, Scalar) and node.text in LANGUAGES:
        return node.text
    said = shown(node.text) if isinstance(node, Scalar) else "this"
    problems.add(node.line, where, f"{said} is no language here", f"Write one of {', '.join(LANGUAGES)}")
    return ""


@cache
def known_words() -> dict[str, frozenset[str]]:
    """Every kind of word that the built-in languages have, with its values; none for plain lists."""
    kinds: dict[str, set[str]] = {}
    for language in LANGUAGES:
        for kind, content in (load(f"languages/{language}").get("words") or {}).items():
            values = kinds.setdefault(kind, set())
            if isinstance(content, Map):
                values.update(str(value) for value in content)
    return {kind: frozenset(values) for kind, values in kinds.items()}


def _words(node: Node, where: str, problems: Problems) -> dict[str, Any]:
    if not isinstance(node, Mapping):
        problems.add(node.line, where, "kinds of words are wanted here", "Write “quality: {soft: [hushed]}”")
        return {}
    known = known_words()
    found: dict[str, Any] = {}
    for key, value in node.entries:
        kind, place = key.text, f"{where}.{key.text}"
        if kind not in known:
            problems.add(key.line, place, f"there is no kind of word {shown(kind)}", suggestion(kind, sorted(known)))
        elif known[kind] or kind in _FREE:
            found[kind] = _by_value(value, place, kind, problems)
        else:
            found[kind] = _texts(value, place, problems)
    return found


def _by_value(node: Node, where: str, kind: str, problems: Problems) -> dict[str, list[str]]:
    values = known_words()[kind]
    if not isinstance(node, Mapping):
        example = f"Write “{kind}: {{{min(values, default='name')}: [word]}}”"
        problems.add(node.line, where, "a word and its spellings are wanted here", example)
        return {}
    found = {}
    for key, value in node.entries:
        if kind not in _FREE and key.text not in values:
            remedy = suggestion(key.text, sorted(values))
            problems.add(key.line, f"{where}.{key.text}", f"{shown(key.text)} is no {kind.replace('_', ' ')}", remedy)
            continue
        found[key.text] = _texts(value, f"{where}.{key.text}", problems)
    return found


def _texts(node: Node, where: str, problems: Problems) -> list[str]:
    nodes = node.items if isinstance(node, Sequence) else [node]
    found = []
    for one in nodes:
        if not isinstance(one, Scalar) or not fold_words(one.text):
            problems.add(one.line, where, "a word with letters is wanted here", "Write words in brackets: [word, word]")
        else:
            found.append(one.text)
    return found


def _stops(node: Node, where: str, problems: Problems) -> dict[str, Any]:
    """Stops of the user's own: ``Name: {family: reed, feet: 8, words: [short forms]}``."""
    if not isinstance(node, Mapping):
        problems.add(node.line, where, "stops are wanted here", "Write “Name: {family: reed}”")
        return {}
    families = [family.value for family in Family]
    found: dict[str, Any] = {}
    for key, value in node.entries:
        if not fold_words(key.text):
            problems.add(key.line, where, "a name with letters is wanted here", "Write “Name: {family: reed}”")
            continue
        facts: dict[str, Any] = {}
        entries = value.entries if isinstance(value, Mapping) else []
        if not isinstance(value, Mapping):
            problems.add(value.line, f"{where}.{key.text}", "facts are wanted here", "Write “{family: reed}”")
        for name, fact in entries:
            place = f"{where}.{key.text}.{name.text}"
            if name.text not in _STOP_KEYS:
                problems.add(
                    name.line, place, f"{shown(name.text)} is not known here", suggestion(name.text, _STOP_KEYS)
                )
            elif name.text == "words":
                facts["words"] = _texts(fact, place, problems)
            elif not isinstance(fact, Scalar) or (name.text == "family" and fact.text not in families):
                said = shown(fact.text) if isinstance(fact, Scalar) else "this"
                problems.add(fact.line, place, f"{said} cannot stand here", f"Write one of {', '.join(families)}")
            elif name.text == "feet" and not _is_feet(fact.text):
                problems.add(fact.line, place, f"{shown(fact.text)} is no pitch", "Write feet, as 8 or 2 2/3")
            else:
                facts[name.text] = fact.text
        found[key.text] = facts
    return found


def _is_feet(text: str) -> bool:
    try:
        return read_feet_exact(text) > 0
    except (ValueError, ZeroDivisionError):
        return False


def _shadows(tables: list[dict[str, Any]]) -> Iterator[Said]:
    """Own words that mean something else among the built-in ones of their language."""
    for table in tables:
        for kind, value, spelling in _spellings(table):
            meant = [sense for sense in _built_in_senses(spelling) if sense.language in ("", table["language"])]
            other = [sense for sense in meant if (sense.kind, _value(sense)) != (kind, value)]
            if other:
                yield say(
                    "“{word}” already means {meaning}; your own meaning is taken",
                    word=spelling,
                    meaning=f"{other[0].kind} {_value(other[0])}".replace("_", " ").strip(),
                )


def _value(sense: Sense) -> str:
    return sense.value or (sense.stop.name if sense.stop else "")


def _spellings(table: Map[str, Any]) -> Iterator[tuple[str, str, str]]:
    for kind, content in table["words"].items():
        if isinstance(content, Map):
            for value, spellings in content.items():
                for spelling in spellings:
                    yield ("stop" if kind == "abbreviation" else kind), value, spelling
        else:
            for spelling in content:
                yield kind, "", spelling
    for name, facts in table["stops"].items():
        for spelling in (name, *facts.get("words", ())):
            yield "stop", name, spelling


def _built_in_senses(spelling: str) -> list[Sense]:
    key = fold_words(spelling)
    words = lexicon()
    entries = words.single.get(key[0], ()) if len(key) == 1 else words.longer.get((key[0], key[1]), ())
    rest = key[1:]
    return [sense for entry in entries if entry.rest == rest for sense in entry.senses]


def add_word(path: str | Path, word: str, meaning: str, language: str) -> str:
    """The text of a words file with one word more; the file itself is not written.

    Args:
        path: the file; it need not be there yet.
        word: as printed, with or without its point.
        meaning: ``division: swell``, ``family: reed``, ``quality: soft``, ``stop: Open Diapason`` (short for it),
            ``stop: reed`` (a stop of that family), ``add`` …; ``nothing`` passes it over, ``other`` is no registration.
        language: the language of the word.

    Raises:
        EditError: it cannot be added so.
        ReadError: the file that is there cannot be used.
    """
    place = Path(path)
    before = read_text(place, limit=MAX_BYTES)[0] if place.exists() else _HEADER
    line = f"- {{language: {scalar(language, flow=True)}, {_entry(word.strip().rstrip('.,;:'), meaning)}}}\n"
    after = _with_line(before, line, place)
    try:
        words_of_text(after, path=place)
    except OrganError as error:
        reason = error.problems[-1] if error.problems else error
        raise EditError(f"“{word}” cannot be added as {meaning}: {reason}", path=place) from error
    return after


def _entry(word: str, meaning: str) -> str:
    kind, _, value = (part.strip() for part in meaning.partition(":"))
    kind = _PLAIN_MEANINGS.get(kind, kind)
    spelled = f"[{scalar(word, flow=True)}]"
    if kind != "stop":
        said = f"{{{scalar(value, flow=True)}: {spelled}}}" if value else spelled
        return f"words: {{{scalar(kind, flow=True)}: {said}}}"
    if value in {family.value for family in Family}:
        return f"stops: {{{scalar(word, flow=True)}: {{family: {value}}}}}"
    if value:
        return f"words: {{abbreviation: {{{scalar(value, flow=True)}: {spelled}}}}}"
    return f"stops: {{{scalar(word, flow=True)}: {{}}}}"


def _with_line(before: str, line: str, path: Path) -> str:
    """The file's text with a line at the end of its ``also``, which is made where there is none."""
    tree = read_tree(before, path) if holds_anything(before) else None
    if tree is not None and not (isinstance(tree, Mapping) and not tree.flow):
        raise EditError("words can be added only to a file of “key: value” lines", path=path)
    also = tree.get("also") if isinstance(tree, Mapping) else None
    ended = before if not before or before.endswith("\n") else before + "\n"
    if also is None:
        return f"{ended}also:\n{line}"
    if not isinstance(also, Sequence) or also.flow:
        raise EditError("“also” is written in brackets; words cannot be added to it", path=path, remedy="Write lines")
    rest = before.find("\n", also.end)
    at = len(ended) if rest < 0 else rest + 1
    indent = " " * (also.start - before.rfind("\n", 0, also.start) - 1)
    return f"{ended[:at]}{indent}{line}{ended[at:]}"
