"""Finds every text that is shown to people in the sources: templates of `say`, words of `tr`, tables of words.

A text is followed from the call back to where it is written: through conditional expressions, tables at the top of a
module, names given in a function, and a function's own parameter to all who call it. What cannot be followed is told
as such, so that nothing is left out in silence; `tables.py` beside this names where those texts stand.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

ROOT = Path(__file__).parents[2]
FIRST = {"say": 0, "Said": 0, "tr": 0, "told": 0, "_tr": 0}
"""Calls whose first argument is a template, by the function's name."""
METHODS = {"core/export/specification_stops.py": "self.say"}
"""Files where a function that was handed over takes templates, and what it is called there."""
Function = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda


@dataclass(frozen=True)
class Text:
    """A text for people and where it is written."""

    words: str
    file: str
    line: int


@dataclass(frozen=True)
class Lost:
    """An argument that could not be followed to the words."""

    file: str
    line: int
    written: str


@dataclass
class Module:
    """A source file."""

    name: str
    tree: ast.Module
    parents: dict[ast.AST, ast.AST] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for node in ast.walk(self.tree):
            for child in ast.iter_child_nodes(node):
                self.parents[child] = node

    @cached_property
    def calls(self) -> list[ast.Call]:
        return [node for node in ast.walk(self.tree) if isinstance(node, ast.Call)]

    @cached_property
    def tables(self) -> dict[str, ast.expr]:
        """What is assigned at the top of the module or of a class, by name."""
        found: dict[str, ast.expr] = {}
        for body in [self.tree.body, *(n.body for n in self.tree.body if isinstance(n, ast.ClassDef))]:
            for node in body:
                targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
                value = getattr(node, "value", None)
                for target in targets:
                    if isinstance(target, ast.Name) and isinstance(value, ast.expr):
                        found[target.id] = value
        return found

    @cached_property
    def imported(self) -> dict[str, str]:
        """Names taken from our own modules: the module's file by name."""
        return {
            (alias.asname or alias.name): f"{node.module.replace('.', '/')}.py"
            for node in ast.walk(self.tree)
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(("core", "app"))
            for alias in node.names
        }

    def function_of(self, node: ast.AST) -> Function | None:
        """The function that a node stands in."""
        while node in self.parents:
            node = self.parents[node]
            if isinstance(node, Function):
                return node
        return None


class Collector:
    """Follows every text of the sources.

    Args:
        elsewhere: what cannot be followed, by ``file: expression``; its texts come from `tables.py`.
    """

    def __init__(self, elsewhere: set[str]) -> None:
        files = sorted(path for room in ("core", "app") for path in (ROOT / room).rglob("*.py"))
        self.modules = {
            str(path.relative_to(ROOT)): Module(str(path.relative_to(ROOT)), ast.parse(path.read_text("utf-8")))
            for path in files
        }
        self.elsewhere = elsewhere
        self.used: set[str] = set()
        self.texts: dict[str, Text] = {}
        self.lost: dict[tuple[str, int], Lost] = {}
        self._followed: set[tuple[str, str, int]] = set()
        for module in self.modules.values():
            for call in module.calls:
                argument = self._template_of(call)
                if ast.unparse(call.func) == METHODS.get(module.name):
                    argument = call.args[0]
                if argument is not None:
                    self._take(module, argument)

    @staticmethod
    def _template_of(call: ast.Call) -> ast.expr | None:
        name = call.func.id if isinstance(call.func, ast.Name) else ""
        if isinstance(call.func, ast.Attribute):
            if call.func.attr == "tr":
                name = "tr"
            elif ast.unparse(call.func) == "QCoreApplication.translate":
                return call.args[1]
        return call.args[FIRST[name]] if name in FIRST and call.args else None

    def _take(self, module: Module, expression: ast.expr) -> None:
        for found in self._words(module, expression):
            if isinstance(found, Lost):
                self.lost.setdefault((found.file, found.line), found)
            else:
                self.texts.setdefault(found.words, found)

    def _words(self, module: Module, node: ast.expr, depth: int = 0) -> Iterator[Text | Lost]:
        """The words that an expression can be."""
        key = f"{module.name}: {ast.unparse(node)}"
        if key in self.elsewhere:
            self.used.add(key)
            return
        match node:
            case ast.Constant(value=words):
                if words and isinstance(words, str):
                    yield Text(words, module.name, node.lineno)
            case ast.IfExp(body=one, orelse=other):
                yield from self._all(module, [one, other], depth)
            case ast.BoolOp(values=values):
                yield from self._all(module, values, depth)
            case ast.Subscript(value=table):
                yield from self._table(module, table, depth)
            case ast.Call(func=ast.Attribute(value=table, attr="items")):
                yield from self._table(module, table, depth)
            case ast.Call(func=ast.Attribute(value=table, attr="get"), args=[_, *default]):
                yield from self._table(module, table, depth)
                yield from self._all(module, default, depth)
            case ast.Call() if self._template_of(node) is not None:
                return  # followed where it is called
            case ast.Name() if depth < 6:
                yield from self._named(module, node, depth + 1)
            case _:
                yield Lost(module.name, node.lineno, ast.unparse(node))

    def _all(self, module: Module, nodes: list[ast.expr], depth: int) -> Iterator[Text | Lost]:
        for node in nodes:
            yield from self._words(module, node, depth)

    def _table(self, module: Module, node: ast.expr, depth: int) -> Iterator[Text | Lost]:
        """All words of a table: a mapping's values, a sequence's items."""
        key = f"{module.name}: {ast.unparse(node)}"
        if key in self.elsewhere:
            self.used.add(key)
            return
        match node:
            case ast.Dict(values=items) | ast.Tuple(elts=items) | ast.List(elts=items):
                for item in _without_keys(items) if isinstance(node, ast.Tuple) else items:
                    yield from self._table(module, item, depth)
            case ast.Name() if depth < 6:
                yield from self._named(module, node, depth + 1, table=True)
            case ast.Attribute(value=ast.Name(id="self"), attr=name) if name in module.tables:
                yield from self._table(module, module.tables[name], depth)
            case _:
                yield from self._words(module, node, depth)

    def _named(self, module: Module, node: ast.Name, depth: int, *, table: bool = False) -> Iterator[Text | Lost]:
        """What a name stands for: given in the function, its parameter, or a table of this or another module."""
        follow = self._table if table else self._words
        function = module.function_of(node)
        while function is not None:
            given = list(_given(function, node.id))
            for is_items, value in given:
                yield from (self._table if is_items else follow)(module, value, depth)
            if given:
                return
            place = _parameter(function, node.id)
            if place is not None:
                yield from self._from_callers(module, function, place, node, depth)
                return
            function = module.function_of(function)
        home = module
        if node.id not in home.tables and node.id in home.imported:
            home = self.modules.get(home.imported[node.id], home)
        if node.id in home.tables:
            yield from self._table(home, home.tables[node.id], depth)
        else:
            yield Lost(module.name, node.lineno, node.id)

    def _from_callers(
        self, module: Module, function: Function, place: int, node: ast.Name, depth: int
    ) -> Iterator[Text | Lost]:
        """The words that callers of a function give for one of its parameters."""
        name = getattr(function, "name", "")
        if not name:
            yield Lost(module.name, node.lineno, node.id)
            return
        if (module.name, name, place) in self._followed:
            return
        self._followed.add((module.name, name, place))
        is_method = isinstance(module.parents.get(function), ast.ClassDef)
        names = {name}
        if name == "__init__":
            owner = module.parents[function]
            names = {owner.name} if isinstance(owner, ast.ClassDef) else names
        for other in self.modules.values():
            owner = module.parents.get(function)
            known = {*names, owner.name} if isinstance(owner, ast.ClassDef) else names
            if other is not module and not any(other.imported.get(n) == module.name for n in known):
                continue
            for call in other.calls:
                is_bare = isinstance(call.func, ast.Name)
                called = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
                if called not in names or (is_method == is_bare and name != "__init__"):
                    continue
                at = place - 1 if is_method else place
                given = next((k.value for k in call.keywords if k.arg == node.id), None)
                if given is None and at < len(call.args):
                    given = call.args[at]
                if given is not None:
                    yield from self._words(other, given, depth)


def _without_keys(items: list[ast.expr]) -> list[ast.expr]:
    """The items of one row of a table, without the key that words stand beside: ``("english", "English")``."""
    words = [one.value for one in items if isinstance(one, ast.Constant) and isinstance(one.value, str)]
    if len(words) != len(items) or len(words) == len([one for one in words if _is_key(one)]):
        return items
    return [one for one, word in zip(items, words, strict=True) if not _is_key(word)]


def _is_key(word: str) -> bool:
    return not word or (word.islower() and " " not in word)


def _given(function: Function, name: str) -> Iterator[tuple[bool, ast.expr]]:
    """What a name is given in a function; and whether it is one of the items of that."""
    for node in ast.walk(function):
        match node:
            case ast.Assign(targets=targets, value=value):
                for target in targets:
                    if isinstance(target, ast.Name) and target.id == name:
                        yield False, value
                    elif isinstance(target, ast.Tuple) and any(_is(t, name) for t in target.elts):
                        at = next(n for n, t in enumerate(target.elts) if _is(t, name))
                        same = isinstance(value, ast.Tuple) and len(value.elts) == len(target.elts)
                        yield (False, value.elts[at]) if same and isinstance(value, ast.Tuple) else (True, value)
            case ast.AnnAssign(target=target, value=value) if _is(target, name) and value is not None:
                yield False, value
            case ast.For(target=target, iter=items) | ast.comprehension(target=target, iter=items):
                if any(_is(part, name) for part in ast.walk(target)):
                    yield True, items
            case ast.NamedExpr(target=target, value=value) if _is(target, name):
                yield False, value


def _is(node: ast.AST, name: str) -> bool:
    return isinstance(node, ast.Name) and node.id == name


def _parameter(function: Function, name: str) -> int | None:
    names = [one.arg for one in (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)]
    return names.index(name) if name in names else None
