"""``stopwright open`` and ``demo`` as a user without a display meets them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from window_support import make_score, words

ROOT = Path(__file__).resolve().parents[2]


def _run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    environment = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    environment["PYTHONPATH"] = str(ROOT)
    code = "import sys; from app.main import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        cwd=cwd,
        env=environment,
        timeout=120,
        check=False,
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere there is always a display")
def test_where_there_is_no_display_the_view_is_written_and_its_place_is_said(tmp_path: Path) -> None:
    score = tmp_path / "piece.musicxml"
    score.write_bytes(make_score(6, {0: [words("Sw. Oboe 8")]}))
    done = _run("open", str(score), cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "demo-output" in done.stdout
    assert (tmp_path / "demo-output" / "window.png").stat().st_size > 10_000
    assert (tmp_path / "demo-output" / "page-1.png").stat().st_size > 5_000
    assert "Voluntary" in (tmp_path / "demo-output" / "index.html").read_text(encoding="utf-8")
    assert done.stderr == ""


def test_the_demo_prints_its_findings_and_writes_the_view(tmp_path: Path) -> None:
    done = _run("demo", "--pictures", str(tmp_path / "view"), cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "bar" in done.stdout
    assert (tmp_path / "view" / "index.html").is_file()
    assert (tmp_path / "view" / "page-2.png").is_file()


@pytest.mark.parametrize("content", [b"", b"no score", b"<html/>", None])
def test_what_cannot_be_read_is_one_sentence_before_any_window_opens(tmp_path: Path, content: bytes | None) -> None:
    score = tmp_path / "bad.musicxml"
    if content is not None:
        score.write_bytes(content)
    done = _run("open", str(score), cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "bad.musicxml" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "demo-output").exists()
