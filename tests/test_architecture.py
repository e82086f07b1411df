"""The house's own rules: sizes, imports, and that core never brings Qt."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(p for top in ("core", "app") for p in (ROOT / top).rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_modules_and_functions_fit_in_the_head(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 400, f"{path.name} is longer than 400 lines: divide it by subject"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            length = node.end_lineno - node.lineno + 1
            assert length <= 60, f"{path.name}: {node.name} has {length} lines"


def test_core_never_brings_the_window_toolkit_or_slow_libraries() -> None:
    names = [
        str(p.relative_to(ROOT).with_suffix("")).replace("/", ".")
        for p in MODULES
        if p.parts[len(ROOT.parts)] == "core" and p.name != "__init__.py"
    ]
    code = (
        "import importlib, sys\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        "print(sorted({'PySide6', 'music21', 'verovio', 'app'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"
