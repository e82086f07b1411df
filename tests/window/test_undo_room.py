"""Undo without limit: exact to the byte for any number of edits, at the cost of what they changed."""

from __future__ import annotations

import gc
import weakref

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from window_support import document_of, make_score, wait_for, words

from app.commands import WHOLE, patch_between
from app.settings import Settings
from app.window import Window
from core.edits import AddMarking
from core.errors import EditError
from core.organ.model import Organ
from core.score.source import Source


def _source(data: bytes) -> Source:
    return Source(path="a", data=data, xml=data)


@given(st.binary(max_size=40), st.binary(max_size=40), st.binary(max_size=40), st.binary(max_size=40))
def test_a_patch_goes_both_ways_to_the_byte(head: bytes, old: bytes, new: bytes, tail: bytes) -> None:
    before, after = _source(head + old + tail), _source(head + new + tail)
    patch = patch_between(before, after)
    assert patch is not None
    assert patch.backward(after) == before
    assert patch.forward(before) == after
    assert len(patch.old) <= len(old)


def test_a_patch_refuses_another_score() -> None:
    patch = patch_between(_source(b"one two three"), _source(b"one 2 three"))
    assert patch is not None
    with pytest.raises(EditError):
        patch.backward(_source(b"one 3 three"))


def test_many_edits_are_taken_back_and_done_again_to_the_byte(opened: Window) -> None:
    session = opened.session
    count = WHOLE + 5
    seen = [session.document.source.data]  # type: ignore[union-attr]
    for number in range(count):
        session.perform(AddMarking(part=0, bar=number % 12, staff=1, in_bar=0, text=f"Sw. Oboe {number}"))
        wait_for(lambda n=number: session.undo.count() == n + 1 and not opened.workers.is_busy)  # type: ignore[misc]
        assert session.document.source is not None
        seen.append(session.document.source.data)
    for back in range(count - 1, -1, -1):
        session.undo.undo()
        assert session.document.source is not None
        assert session.document.source.data == seen[back]
    for on in range(1, count + 1):
        session.undo.redo()
        assert session.document.source is not None
        assert session.document.source.data == seen[on]
    wait_for(lambda: not opened.workers.is_busy)


def test_a_closed_window_is_gone(application: QApplication, small_organ: Organ) -> None:
    gone = _used_and_closed(small_organ)
    application.processEvents()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    assert gone() is None


def _used_and_closed(organ: Organ) -> weakref.ref[Window]:
    window = Window(Settings())
    window.show()
    window.session.set_document(document_of(make_score(8, {0: [words("Sw. Oboe 8")]}), organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    wait_for(lambda: not window.workers.is_busy)
    window.session.undo.setClean()
    window.close()
    window.deleteLater()
    return weakref.ref(window)
