"""Nothing but the one writer opens a file for writing: the source is searched for every way to do it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MAY = {
    "core/files.py": "the one writer",
    "core/knowledge/loader.py": "writes our own data when the house is built, never a user's file",
    "core/score/converting.py": "for the library that converts a score, in a private folder of its own",
    "app/engraving.py": "what the engraver answers, in a file without a name",
    "core/cli/main.py": "lets what could not be printed go nowhere",
}
METHODS = {"write_text", "write_bytes", "touch", "rename", "mkdir", "symlink_to", "hardlink_to", "makedirs", "truncate"}
NAMES = {"QFile", "QSaveFile", "QTemporaryFile", "NamedTemporaryFile", "mkstemp", "fdopen", "TemporaryDirectory"}
MODULES = {"shutil", "tempfile", "sqlite3", "shelve", "dbm", "pickle"}


def writings(source: str) -> Iterator[tuple[int, str]]:
    """Lines of a source at which a file may be written, and how."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            named = [alias.name for alias in node.names] if isinstance(node, ast.Import) else [node.module or ""]
            yield from ((node.lineno, name) for name in named if name.split(".")[0] in MODULES)
        elif isinstance(node, ast.Call):
            found = _call(node)
            if found:
                yield node.lineno, found


def _call(node: ast.Call) -> str:
    function = node.func
    name = function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")
    value = function.value if isinstance(function, ast.Attribute) else None
    owner = getattr(value, "attr", getattr(value, "id", ""))
    if name == "rename" and owner in ("self", "writing"):
        return ""  # a stop's, on the organ's page
    is_method = isinstance(function, ast.Attribute)
    if name in NAMES or (is_method and name in METHODS) or (name == "save" and node.args):
        # a painter's save() has no argument, a picture's may go into a buffer; a Shelf's is the one writer's
        harmless = name == "save" and (getattr(node.args[0], "id", "") == "buffer" or owner == "shelf")
        return "" if harmless else f"{owner}.{name}"
    if owner == "os" and name in ("open", "replace", "link", "symlink", "mkfifo", "write", "dup2"):
        return f"os.{name}"
    if (
        name == "replace" and is_method and owner != "dataclasses" and len(node.args) == 1 and not node.keywords
    ):  # a path's; a text's has two
        return ".replace of a path"
    if name == "open" and owner != "os":
        given = [*node.args[0 if is_method else 1 :], *(k.value for k in node.keywords)]
        modes = [str(one.value) for one in given if isinstance(one, ast.Constant)]
        return "open" if any(set(mode) & set("wax+") and len(mode) <= 3 for mode in modes) else ""
    return ""


ASIDE = ("app/recovery.py", ".replace of a path")  # an unreadable file of ours is renamed, not written


def test_nothing_else_writes_files() -> None:
    found = [
        f"{name}:{line}: {how}"
        for top in ("core", "app")
        for path in sorted((ROOT / top).rglob("*.py"))
        if (name := path.relative_to(ROOT).as_posix()) not in MAY
        for line, how in writings(path.read_text(encoding="utf-8"))
        if (name, how) != ASIDE
    ]
    assert not found, found


def test_the_search_finds_every_way() -> None:
    for line in (
        "open('a', 'w')",
        "open('a', mode='ab')",
        "Path('a').open('x')",
        "os.open('a', 1)",
        "p.write_text('x')",
        "p.write_bytes(b'')",
        "image.save('a.png')",
        "QSaveFile('a')",
        "os.replace('a', 'b')",
        "p.replace(q)",
        "import shutil",
        "p.mkdir()",
        "p.touch()",
    ):
        assert list(writings(line)), line
    for line in (
        "open('a')",
        "p.open('rb')",
        "painter.save()",
        "text.replace('a', 'b')",
        "view.open()",
        "image.save(buffer)",
    ):
        assert not list(writings(line)), line


def test_every_exception_still_needs_to_be_one() -> None:
    for name in MAY:
        assert list(writings((ROOT / name).read_text(encoding="utf-8"))), f"{name} writes nothing any more"
