"""House styles: how an editor words a marking, as data. One is built in for each language; a copy is an editor's own.

A style of an editor's own says only what differs: what it leaves out is taken from the built-in style it names
under ``like``, or from its language's.
"""

from __future__ import annotations

from collections.abc import Mapping as Map
from dataclasses import dataclass
from pathlib import Path
from string import Formatter

from core.errors import OrganError, Problem, ReadError
from core.files import read_text
from core.knowledge.loader import load, source_text
from core.organ.yaml_fields import shown, suggestion
from core.organ.yaml_nodes import Mapping, Node, Scalar, Sequence, read_tree, repeated_keys

BUILT_IN = ("en", "en-full", "fr", "de", "it", "es", "nl")
SIGNS = ("separator", "list", "last", "pitches", "foot")
TABLES = (
    "divisions",
    "in_couplers",
    "families",
    "recipes",
    "qualities",
    "halves",
    "hands",
    "passes",
    "stops",
    "wordings",
)
_LISTS = ("qualities_after",)
_TEXTS = ("language", "like", "title", "source")
_MAX_BYTES = 1_000_000
_FIELDS: Map[str, frozenset[str]] = {
    "foot": frozenset({"feet"}),
    "wordings": frozenset(
        {
            "division",
            "stops",
            "from",
            "to",
            "coupler",
            "said",
            "hand",
            "pass",
            "except",
            "other",
            "number",
            "ranks",
            "roman",
        }
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Style:
    """A house style.

    Attributes:
        language: whose words it writes; also the hint with which they are read back.
        signs: ``separator`` between instructions, ``list`` and ``last`` between stops, ``pitches`` between
            pitches, ``foot`` how one pitch is spelled (``{feet} ft.``).
        tables: for divisions, families, qualities …: the words, the preferred one first.
        own: the same without the second choices that come from the style it is like.
        qualities_after: the qualities that stand after the stop they are said of.
        source: where the usage comes from.
    """

    name: str
    language: str
    title: str
    source: str
    signs: Map[str, str]
    tables: Map[str, Map[str, tuple[str, ...]]]
    own: Map[str, Map[str, tuple[str, ...]]]
    qualities_after: tuple[str, ...]

    def words(self, table: str, key: str) -> tuple[str, ...]:
        """The words for something, the preferred first; none where the style has no word for it."""
        return self.tables[table].get(key, ())

    def own_words(self, table: str, key: str) -> tuple[str, ...]:
        """The words that a marking in this style may have for something."""
        return self.own[table].get(key, ())


def read_style(path_or_name: str | Path) -> Style:
    """A built-in style by its name, or an editor's own from a file.

    Raises:
        ReadError: there is no such style or file.
        OrganError: the file is no style; all its problems are listed at once.
    """
    name = str(path_or_name)
    if name in BUILT_IN:
        return _built_in(name)
    path = Path(path_or_name)
    if not path.exists() and path.suffix == "":
        raise ReadError(
            f"there is no house style {shown(name)}",
            remedy=suggestion(name, BUILT_IN, all_of="Name a YAML file of your own, or one of"),
        )
    return style_of_text(read_text(path, limit=_MAX_BYTES)[0], path=path)


def style_text(name: str) -> str:
    """The file of a built-in style, to be copied and changed."""
    return source_text(f"styles/{name}")


def _built_in(name: str) -> Style:
    data = load(f"styles/{name}")
    tables = {table: {str(key): _texts(value) for key, value in (data.get(table) or {}).items()} for table in TABLES}
    style = Style(
        name=name,
        language=data["language"],
        title=data["title"],
        source=data["source"],
        signs={sign: data[sign] for sign in SIGNS if sign in data},
        tables=tables,
        own=tables,
        qualities_after=tuple(data.get("qualities_after") or ()),
    )
    return _over(style, _built_in(data["like"])) if data.get("like") else style


def _texts(value: object) -> tuple[str, ...]:
    return tuple(str(one) for one in value) if isinstance(value, list) else (str(value),)


def _over(own: Style, base: Style) -> Style:
    """A style with what it leaves out taken from another; the other's words stay as second choices."""
    tables = {
        table: {
            key: tuple(dict.fromkeys((*own.tables[table].get(key, ()), *base.tables[table].get(key, ()))))
            for key in {**base.tables[table], **own.tables[table]}
        }
        for table in TABLES
    }
    return Style(
        name=own.name,
        language=own.language or base.language,
        title=own.title or base.title,
        source=own.source or base.source,
        signs={**base.signs, **own.signs},
        tables=tables,
        own={table: {**base.own[table], **own.own[table]} for table in TABLES},
        qualities_after=own.qualities_after or base.qualities_after,
    )


class _StyleFile:
    """A style file being read; what is wrong is gathered."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.texts: dict[str, str] = {}
        self.signs: dict[str, str] = {}
        self.tables: dict[str, dict[str, tuple[str, ...]]] = {table: {} for table in TABLES}
        self.after: tuple[str, ...] = ()

    def note(self, line: int, where: str, problem: str, remedy: str) -> None:
        """Remember a fault."""
        self.problems.append(Problem(line, where, problem, remedy))

    def entry(self, key: Scalar, value: Node) -> None:
        """One entry of the file."""
        name = key.text
        if name in _TEXTS or name in SIGNS:
            texts = self.phrases(value, name)
            if texts:
                (self.signs if name in SIGNS else self.texts)[name] = texts[0]
        elif name in _LISTS:
            self.after = self.phrases(value, name)
        elif name in TABLES:
            self.table(name, value)
        else:
            known = (*_TEXTS, *SIGNS, *_LISTS, *TABLES)
            self.note(key.line, name, f"{shown(name)} is not known here", suggestion(name, known))

    def table(self, name: str, value: Node) -> None:
        """A table of words."""
        if not isinstance(value, Mapping):
            self.note(value.line, name, "a table of words is wanted here", "Write “key: word” on lines below it")
            return
        known = _known_keys(name)
        for key, words in value.entries:
            where = f"{name}.{key.text}"
            if known and key.text not in known:
                self.note(key.line, where, f"{shown(key.text)} is not known here", suggestion(key.text, sorted(known)))
                continue
            self.tables[name][key.text] = self.phrases(words, where)

    def phrases(self, value: Node, where: str) -> tuple[str, ...]:
        """A text, or a list of texts."""
        nodes = value.items if isinstance(value, Sequence) else [value]
        found = []
        for node in nodes:
            if not isinstance(node, Scalar):
                self.note(node.line, where, "a text is wanted here", "Write a text, or a list of texts in brackets")
            else:
                self.check_fields(node, where)
                found.append(node.text)
        return tuple(found)

    def check_fields(self, node: Scalar, where: str) -> None:
        """Braces hold only what can be put in there."""
        allowed = _FIELDS.get(where.split(".", maxsplit=1)[0], frozenset())
        try:
            fields = {field for _, field, spec, conversion in Formatter().parse(node.text) if field is not None}
        except ValueError:
            self.note(node.line, where, f"the braces of {shown(node.text)} do not pair", "Close each brace")
            return
        for field in sorted(fields - allowed):
            remedy = f"Known here are {', '.join(sorted(allowed))}" if allowed else "Write words without braces"
            self.note(node.line, where, f"nothing can be put in for “{{{field}}}”", remedy)


def _known_keys(table: str) -> frozenset[str]:
    """The keys that any built-in style has in a table; none for tables that hold names of stops."""
    if table in ("stops", "recipes", "in_couplers", "qualities"):
        return frozenset()
    return frozenset(key for name in BUILT_IN for key in _built_in(name).tables[table])


def style_of_text(text: str, *, path: str | Path) -> Style:
    """An editor's style from the text of its file. Raises OrganError with all its problems."""
    tree = read_tree(text, path)
    file = _StyleFile()
    if not isinstance(tree, Mapping):
        raise OrganError("this is no house style", path=path, remedy="Copy a built-in style and change it")
    for key in repeated_keys(tree):
        file.note(key.line, key.text, f"{shown(key.text)} stands here twice", "Keep one of them")
    for key, value in tree.entries:
        file.entry(key, value)
    languages = ("en", "fr", "de", "it", "es", "nl")
    base = file.texts.get("like") or file.texts.get("language")
    if base is None:
        file.note(tree.line, "language", "the language is missing", f"Write one of {', '.join(languages)}")
    elif base not in BUILT_IN:
        key_name = "like" if "like" in file.texts else "language"
        file.note(tree.line, key_name, f"there is no built-in style {shown(base)}", suggestion(base, BUILT_IN))
    if file.texts.get("language", "en") not in languages and "like" in file.texts:
        said = file.texts["language"]
        file.note(tree.line, "language", f"{shown(said)} is no language here", suggestion(said, languages))
    if file.problems:
        raise OrganError("this is no house style yet", path=path, problems=tuple(file.problems))
    own = Style(
        name=Path(path).stem,
        language=file.texts.get("language", ""),
        title=file.texts.get("title", ""),
        source=file.texts.get("source", ""),
        signs=file.signs,
        tables=file.tables,
        own=file.tables,
        qualities_after=file.after,
    )
    return _over(own, _built_in(str(base)))
