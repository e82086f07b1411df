"""The engraving child: pages, crashes, only the newest score's answers."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from window_support import make_score, wait_for, words

import app.engraver
from app.engraver import Engraver, _head, read_answer

CRASHING = """
import json, sys
for line in iter(sys.stdin.buffer.readline, b""):
    request = json.loads(line)
    def send(content):
        body = json.dumps(content, separators=(",", ":")).encode()
        sys.stdout.buffer.write(b"%010d" % len(body) + body)
        sys.stdout.flush()
    if request["do"] == "load":
        sys.stdin.buffer.read(request["size"])
        if {falls_at_load}:
            sys.exit(11)
        send({{"is": "loaded", "revision": request["revision"], "pages": 3}})
    elif request["page"] == 2:
        sys.exit(11)
    else:
        head = {{"is": "page", "revision": request["revision"], "page": request["page"]}}
        send({{**head, "first": 0, "last": 0}})
"""


@pytest.fixture
def engraver(application: QApplication) -> Iterator[Engraver]:
    made = Engraver()
    yield made
    made.stop()


def _collect(engraver: Engraver) -> tuple[dict[int, bytes], list[int], list[int]]:
    pages: dict[int, bytes] = {}
    failed: list[int] = []
    loaded: list[int] = []
    engraver.page_ready.connect(lambda page, _bars, body: pages.__setitem__(page, body))
    engraver.page_failed.connect(failed.append)
    engraver.loaded.connect(loaded.append)
    return pages, failed, loaded


def test_all_pages_come(engraver: Engraver) -> None:
    pages, failed, loaded = _collect(engraver)
    engraver.load(make_score(40, {0: [words("Sw. Oboe 8")]}), 30)
    wait_for(lambda: bool(loaded) and len(pages) == loaded[0])
    assert not failed
    first = read_answer(pages[1])
    owners = {run[5] for chunk in first["chunks"] for text in chunk["texts"] for run in text["runs"]}
    assert "d0.0" in owners
    bars = [bar["bar"] for page in sorted(pages) for s in read_answer(pages[page])["systems"] for bar in s["bars"]]
    assert bars == list(range(40)), "each bar is found once, in order"


def test_the_first_page_of_a_long_piece_comes_before_the_whole_is_laid_out(engraver: Engraver) -> None:
    pages, _, loaded = _collect(engraver)
    first_before: list[bool] = []
    engraver.loaded.connect(lambda _: first_before.append(1 in pages))
    engraver.load(make_score(300, {}), 30)
    wait_for(lambda: bool(loaded))
    assert first_before == [True]


def test_a_newer_score_wins(engraver: Engraver) -> None:
    pages, _, loaded = _collect(engraver)
    engraver.load(make_score(200, {}), 30)
    engraver.load(make_score(4, {}), 30)
    wait_for(lambda: bool(loaded) and len(pages) == loaded[-1])
    assert loaded == [1]


def test_what_is_no_score_fails_without_a_fall(engraver: Engraver) -> None:
    _, failed, _ = _collect(engraver)
    engraver.load(b"<html/>", 30)
    wait_for(lambda: bool(failed))
    assert failed == [0]


@pytest.mark.parametrize("falls_at_load", [False, True])
def test_a_child_that_falls_is_started_again_and_what_makes_it_fall_given_up(
    engraver: Engraver, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, falls_at_load: bool
) -> None:
    child = tmp_path / "falls.py"
    child.write_text(CRASHING.format(falls_at_load=falls_at_load))
    monkeypatch.setattr(app.engraver, "CHILD", child)
    pages, failed, _ = _collect(engraver)
    engraver.load(b"<score-partwise/>", 30)
    if falls_at_load:
        wait_for(lambda: failed == [0])
        return
    wait_for(lambda: failed == [2] and sorted(pages) == [1, 3])


@pytest.mark.parametrize("how", ["stopped", "loaded again"])
def test_a_child_on_its_way_out_does_not_hold_its_engraver(application: QApplication, how: str) -> None:
    """Were it held by nothing but the child, it would delete the child in the midst of the child's own destruction."""
    engraver = Engraver()
    pages, _, loaded = _collect(engraver)
    engraver.load(make_score(40, {}), 30)
    wait_for(lambda: bool(loaded) and len(pages) == loaded[0])
    if how == "loaded again":
        engraver.load(make_score(200, {}), 30)
        engraver.load(make_score(4, {}), 30)  # while the other is at work: that child is let go
        ending = engraver._ending
        wait_for(lambda: loaded[-1] == 1 and not ending)
    engraver.stop()
    application.processEvents()  # what it meant to ask next
    held = weakref.ref(engraver)
    del engraver
    gc.collect()
    assert held() is None
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_the_head_of_an_answer_is_read_without_the_rest() -> None:
    body = b'{"is":"page","revision":12,"page":3,"first":-1,"last":44,"size":[1,2]}'
    assert _head(body) == {"is": "page", "revision": 12, "page": 3, "first": -1, "last": 44}
    assert _head(b'{"is":"loaded","revision":2,"pages":7}') == {"is": "loaded", "revision": 2}
