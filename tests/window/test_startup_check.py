"""A missing library is named with the package that brings it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.startup_check import PACKAGES, explain, has_display, libraries_not_found, library_in, read_ldd

LDD = """\tlinux-vdso.so.1 (0x00007ffd)
\tlibxcb-cursor.so.0 => not found
\tlibxcb.so.1 => /lib/x86_64-linux-gnu/libxcb.so.1 (0x00007f)
\tlibxcb-icccm.so.4 => not found
\tlibxcb-cursor.so.0 => not found
"""


def test_every_library_not_found_is_named_once() -> None:
    assert read_ldd(LDD) == ["libxcb-cursor.so.0", "libxcb-icccm.so.4"]


def test_the_sentence_names_the_packages() -> None:
    words = explain(read_ldd(LDD))
    assert "apt install libxcb-cursor0 libxcb-icccm4" in words
    assert "libodd.so.7" in explain(["libodd.so.7"])


def test_an_import_that_fails_tells_its_library() -> None:
    error = ImportError("libEGL.so.1: cannot open shared object file: No such file or directory")
    assert library_in(error) == ["libEGL.so.1"]
    assert PACKAGES["libEGL.so.1"] == "libegl1"


def test_a_file_that_is_not_there_misses_nothing(tmp_path: Path) -> None:
    assert libraries_not_found(tmp_path / "none.so") == []


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="displays are named so on Linux")
def test_without_a_display_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    assert not has_display()
    monkeypatch.setenv("DISPLAY", "elsewhere:10")
    assert has_display()
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert not has_display()


def test_the_check_imports_no_toolkit() -> None:
    code = "import app.startup_check, app.start, sys; print('PySide6' in sys.modules)"
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=root,
        env=dict(os.environ),
    )
    assert done.stdout.strip() == "False"
