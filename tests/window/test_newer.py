"""A newer file of the piece in the window; files that other programs change; files that may not be written."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QLabel
from window_support import make_score, wait_for, words

from app.links import LinkLabel
from app.saving import is_read_only
from app.window import Window
from core.edits import AddMarking, Dismiss, PencilIn
from core.notes_file import load_notes

FORMER = {0: [words("Sw. Salicional 8")], 4: [words("Sw. Flomptuba 8 &amp; Oboe")], 8: [words("Gt. Principal 4", 2)]}
LATER = {0: [words("Sw. Salicional 8")], 6: [words("Sw. Flomptuba 8 &amp; Oboe")], 9: [words("Gt. Principal 4", 2)]}


def shifted() -> bytes:
    """The same piece with two bars put in before it, and a marking a bar earlier."""
    plain, later = make_score(12, {}, notes=4), make_score(12, LATER, notes=4)
    assert plain != later
    body = make_score(12, {4: FORMER[4], 7: FORMER[8]}, notes=4).decode()
    first = '<measure number="1">'
    silent = '<note><rest measure="yes"/><duration>8</duration><voice>1</voice><staff>1</staff></note>'
    rest = f'<measure number="{{}}">{silent}</measure>'
    head, _, tail = body.partition(first)
    attributes, close, music = tail.partition("</attributes>")
    bars = [rest.format(1).replace("<note>", attributes + close + "<note>", 1), rest.format(2)]
    for number in range(12, 0, -1):
        music = music.replace(f'<measure number="{number}">', f'<measure number="{number + 2}">')
    return (head + "".join(bars) + '<measure number="3">' + music).encode()


@pytest.fixture
def on_disc(window: Window, tmp_path: Path) -> tuple[Window, Path]:
    path = tmp_path / "voluntary.musicxml"
    path.write_bytes(make_score(12, FORMER, notes=4))
    window.open(path)
    wait_for(lambda: window.session.derived is not None)
    return window, path


def decide(window: Window) -> None:
    """A remark let stand at bar 5, a pencil mark at bar 3."""
    derived = window.session.derived
    assert derived is not None
    finding = next(f for f in derived.analysis.findings if f.rule == "marking-not-understood")
    window.session.perform(Dismiss(rule=finding.rule, marking=finding.marking, reason="a jest"))
    wait_for(lambda: bool(window.session.document.notes.dismissals))
    bar = derived.analysis.score.bars[2]
    window.session.perform(PencilIn(onset=bar.onset, text="turn", bar=2, part=0, staff=1))
    wait_for(lambda: bool(window.session.document.notes.player))


def test_the_newer_file_opens_with_the_notes_and_says_what_changed(
    on_disc: tuple[Window, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    window, path = on_disc
    decide(window)
    newer = path.with_name("voluntary-2.musicxml")
    newer.write_bytes(shifted())
    monkeypatch.setattr(window.saving, "may_lose_changes", lambda: True)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(newer), ""))
    window.doing.do_newer_file()
    wait_for(lambda: window.newer.view is not None and window.session.derived is not None)
    session, view = window.session, window.newer.view
    assert view is not None
    assert session.document.source is not None
    assert session.document.source.path == str(newer)
    assert len(view.carried.kept) == 2
    assert not view.carried.waiting
    dismissal = session.document.notes.dismissals[0]
    assert dismissal.marking is not None
    assert dismissal.marking.bar == 6
    assert session.document.notes.player[0].at.bar == 4
    derived = session.derived
    assert derived is not None
    assert [one.reason for one in derived.analysis.report.dismissed] == ["a jest"]
    said = " ".join(label.text() for label in view.findChildren(QLabel))
    assert "Carried over: 2" in said
    assert "a jest" in said
    assert not session.undo.isClean(), "the notes are not in the newer file's notes yet"
    link = next(one for one in view.findChildren(LinkLabel) if one.words.startswith("bar 10"))
    QTest.keyClick(link, Qt.Key.Key_Return)
    assert derived.analysis.score.bar_at(session.cursor.onset).number == "10"
    assert window.saving.save()
    assert load_notes(newer).notes.dismissals[0].reason == "a jest"
    assert newer.read_bytes() == shifted()
    view.close()


def test_what_waits_is_said_and_kept(on_disc: tuple[Window, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    window, path = on_disc
    decide(window)
    newer = path.with_name("voluntary-3.musicxml")
    newer.write_bytes(make_score(12, {0: FORMER[0]}, notes=4))
    monkeypatch.setattr(window.saving, "may_lose_changes", lambda: True)
    window.newer.open(newer)
    wait_for(lambda: window.newer.view is not None)
    view = window.newer.view
    assert view is not None
    assert len(view.carried.waiting) == 1
    assert window.session.document.notes.dismissals[0].reason == "a jest"
    wait_for(lambda: window.session.derived is not None)
    assert window.proof.stood.count == 1
    view.close()


def test_a_file_changed_by_another_program_is_told_and_read_again_with_the_notes(
    on_disc: tuple[Window, Path],
) -> None:
    window, path = on_disc
    decide(window)
    path.write_bytes(shifted())
    wait_for(window.banner.isVisible)
    assert "changed by another program" in window.banner.words.text()
    again = next(one for one in window.banner.findChildren(LinkLabel) if "Read it again" in one.words)
    QTest.keyClick(again, Qt.Key.Key_Return)
    wait_for(lambda: window.newer.view is not None)
    assert window.session.document.source is not None
    assert window.session.document.source.data == shifted()
    assert window.session.document.notes.dismissals[0].marking.bar == 6  # type: ignore[union-attr]
    assert window.newer.view is not None
    window.newer.view.close()


def test_our_own_saving_is_no_change_by_another(on_disc: tuple[Window, Path]) -> None:
    window, _ = on_disc
    window.session.perform(AddMarking(part=0, bar=1, staff=1, in_bar=0, text="Sw. Oboe"))
    wait_for(lambda: window.session.undo.count() == 1)
    assert window.saving.save()
    window.watch.look()
    assert not window.banner.isVisible()


def test_a_read_only_score_is_saved_elsewhere_and_its_notes_beside_it(
    on_disc: tuple[Window, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    window, path = on_disc
    path.chmod(0o444)
    assert is_read_only(str(path))
    before = path.read_bytes()
    decide(window)
    assert window.saving.save(), "the notes are no part of the score's file"
    assert load_notes(path).notes.player
    window.session.perform(AddMarking(part=0, bar=1, staff=1, in_bar=0, text="Sw. Oboe"))
    wait_for(lambda: not window.session.undo.isClean())
    other = path.with_name("mine.musicxml")
    monkeypatch.setattr(window.saving, "ask_for_path", lambda _: str(other))
    assert window.saving.save()
    assert path.read_bytes() == before
    assert b"Sw. Oboe" in other.read_bytes()
    wait_for(lambda: window.session.derived is not None)


def test_a_newer_file_opened_like_any_other_is_known_and_its_notes_offered(
    on_disc: tuple[Window, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    window, path = on_disc
    decide(window)
    wait_for(lambda: not window.workers.is_busy)
    newer = path.with_name("voluntary-2.musicxml")
    newer.write_bytes(shifted())
    window.open(newer)
    wait_for(window.banner.isVisible)
    assert "looks like a newer file of voluntary.musicxml" in window.banner.words.text()
    take = next(one for one in window.banner.findChildren(LinkLabel) if "Take over" in one.words)
    QTest.keyClick(take, Qt.Key.Key_Return)
    wait_for(lambda: window.newer.view is not None)
    assert window.session.document.notes.dismissals[0].reason == "a jest"
    assert window.newer.view is not None
    window.newer.view.close()


def test_another_piece_is_offered_nothing(on_disc: tuple[Window, Path]) -> None:
    window, path = on_disc
    decide(window)
    wait_for(lambda: not window.workers.is_busy)
    other = path.with_name("other.musicxml")
    other.write_bytes(make_score(12, {}, notes=8))
    window.open(other)
    wait_for(lambda: window.session.derived is not None and not window.workers.is_busy)
    assert not window.banner.isVisible()
