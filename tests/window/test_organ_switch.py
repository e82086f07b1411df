"""The same piece against another open organ by one key, and what that changes."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel
from window_support import wait_for

from app.compare_organs import SwitchView
from app.links import LinkLabel
from app.window import Window
from core.document import OrganFile
from core.organ.model import Organ


def with_second(window: Window, small_organ: Organ) -> None:
    """A church whose Swell has a Cornopean and no Oboe, and a Tuba on the Great."""
    great, swell, pedal = small_organ.divisions
    oboe = swell.stops[2]
    cornopean = replace(oboe, id="swell/cornopean-8", name="Cornopean")
    tuba = replace(oboe, id="great/tuba-8", name="Tuba")
    other = replace(
        small_organ,
        name="St Cleer, Upper Marling",
        divisions=(
            replace(great, stops=(*great.stops, tuba)),
            replace(swell, stops=(*swell.stops[:2], cornopean)),
            pedal,
        ),
    )
    document = window.session.document
    window.session.set_document(
        replace(document, organs=(*document.organs, OrganFile(path=None, text="", organ=other)))
    )
    wait_for(lambda: window.session.derived is not None and not window.workers.is_busy)


def switch(window: Window) -> None:
    window.actions_by_id["next_organ"].trigger()
    wait_for(lambda: window.organ.switch.switched is not None)


def test_one_action_and_what_changes_is_said(opened: Window, small_organ: Organ) -> None:
    with_second(opened, small_organ)
    assert opened.organ.head.next.isVisible()
    assert "St Cleer" in opened.organ.head.next.words
    switch(opened)
    switched = opened.organ.switch.switched
    assert switched is not None
    assert (switched.former, switched.later) == ("St Osyth, Little Marling", "St Cleer, Upper Marling")
    others = {one.request: (one.before, one.now) for one in switched.stops}
    assert any("Oboe" in request for request in others)
    assert any("Tuba" in str(finding.message) for finding in switched.gone)
    assert all("Tuba" not in str(finding.message) for finding in switched.new)
    assert "Instead of St Osyth" in opened.organ.head.changes.words


def test_in_full_and_each_line_goes_to_its_place(opened: Window, small_organ: Organ) -> None:
    with_second(opened, small_organ)
    switch(opened)
    QTest.keyClick(opened.organ.head.changes, Qt.Key.Key_Return)
    view = next(one for one in opened.findChildren(SwitchView) if one.isVisible())
    said = " ".join(label.text() for label in view.findChildren(QLabel))
    assert "Cornopean" in said
    line = next(one for one in view.findChildren(LinkLabel) if one.words.lstrip("▲◆● ").startswith("bar 4"))
    QTest.keyClick(line, Qt.Key.Key_Return)
    score = opened.session.score
    assert score is not None
    assert score.bar_at(opened.session.cursor.onset).number == "4"
    view.close()


def test_back_again_says_the_contrary_and_an_edit_of_the_score_ends_it(opened: Window, small_organ: Organ) -> None:
    with_second(opened, small_organ)
    switch(opened)
    there = opened.organ.switch.switched
    opened.actions_by_id["next_organ"].trigger()
    wait_for(lambda: opened.organ.switch.switched not in (None, there))
    back = opened.organ.switch.switched
    assert there is not None
    assert back is not None
    assert len(back.new) == len(there.gone)
    assert len(back.gone) == len(there.new)
    opened.session.set_document(replace(opened.session.document, source=None))
    assert opened.organ.switch.switched is None


def test_with_one_organ_it_says_so(opened: Window) -> None:
    opened.actions_by_id["next_organ"].trigger()
    assert "No other organ" in opened.statusBar().currentMessage()
    assert not opened.organ.head.isVisible()
