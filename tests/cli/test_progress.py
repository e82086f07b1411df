from __future__ import annotations

import io
import sys
import time

import pytest

from core.cli.progress import Progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_long_stage_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    with Progress(2) as progress:
        progress.begin("reading the score")
        deadline = time.monotonic() + 10
        while "reading the score" not in screen.getvalue() and time.monotonic() < deadline:
            time.sleep(0.02)
        progress.begin("checking")
        while "checking" not in screen.getvalue() and time.monotonic() < deadline:
            time.sleep(0.02)
    assert "reading the score" in screen.getvalue()
    assert "checking" in screen.getvalue()


def test_a_short_one_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with Progress(1) as progress:
        progress.begin("reading the score")
    assert screen.getvalue() == ""


def test_nothing_is_shown_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    pipe = io.StringIO()
    monkeypatch.setattr(sys, "stderr", pipe)
    with Progress(1) as progress:
        progress.begin("reading the score")
        time.sleep(0.7)
    assert pipe.getvalue() == ""
