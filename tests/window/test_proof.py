"""The proof as an editor works through it: search, sift, group, walk by keys, remedies for all, let stand, raise."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from window_support import document_of, make_score, wait_for, words

from app.links import LinkLabel
from app.open_finding import OpenFinding
from app.proof_kinds import KINDS, kind_words
from app.window import Window
from core.checks.registry import all_rules
from core.organ.model import Organ

NEW_PAGE, NEW_SYSTEM = '<print new-page="yes"/>', '<print new-system="yes"/>'


@pytest.fixture
def proof_sheet(window: Window, small_organ: Organ) -> Window:
    """Twelve bars on two pages of the file's own, with the same fault four times and others."""
    texts = {
        0: [words("Sw. Salicional 8"), words("Gt. Open Diapason 8", 2), words("Ped. Bourdon 16", 3)],
        2: [words("Gt. Tuba 8", 2)],
        4: [words("Sw. Flomptuba 8 &amp; Oboe"), NEW_SYSTEM],
        6: [words("Gt. Tuba 8", 2), NEW_PAGE],
        8: [words("Sw. Flomptuba 8 &amp; Oboe")],
        10: [words("Gt. Tuba 8", 2), NEW_SYSTEM],
    }
    window.session.set_document(document_of(make_score(12, texts, notes=4), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    return window


def shown(window: Window) -> list[int]:
    proof = window.proof
    rows = [row for row in range(proof.model.rowCount()) if not proof.view.isRowHidden(row)]
    return [number for row in rows if (number := proof.model.number_at(row)) is not None]


def link(window: Window, has: Callable[[str], bool]) -> LinkLabel:
    opened = window.proof.opened
    assert opened is not None
    return next(one for one in opened.findChildren(LinkLabel) if has(one.words))


def choose(window: Window, rule: str) -> None:
    findings = window.proof.model.findings
    window.session.choose_finding(next(n for n, finding in enumerate(findings) if finding.rule == rule))
    wait_for(lambda: window.proof.opened is not None)


def settled(window: Window) -> Callable[[], bool]:
    before = window.session.derived
    return lambda: window.session.derived is not None and window.session.derived is not before


def test_every_kind_is_named_in_plain_words() -> None:
    names = [kind_words(rule.id) for rule in all_rules()]
    assert all(name and "-" not in name.replace("16-", "") for name in names)
    assert len(set(names)) == len(names)
    assert len(set(KINDS.values())) == len(KINDS)
    assert kind_words("a-new-one") == "a new one"


def test_search_with_real_keys(proof_sheet: Window) -> None:
    proof = proof_sheet.proof
    everything = shown(proof_sheet)
    QTest.keyClick(proof_sheet, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    proof_sheet.doing.do_find_remark()
    QTest.keyClicks(proof.sieve.search, "flomptuba")
    found = shown(proof_sheet)
    assert 0 < len(found) < len(everything)
    assert all("Flomptuba" in str(proof.model.findings[n].message) for n in found)
    QTest.keyClick(proof.sieve.search, Qt.Key.Key_Return)
    assert proof_sheet.session.finding == found[0]
    proof.sieve.search.setFocus()
    QTest.keyClick(proof.sieve.search, Qt.Key.Key_Escape)
    assert shown(proof_sheet) == everything


def test_search_finds_what_the_marking_says_and_several_words(proof_sheet: Window) -> None:
    proof_sheet.proof.sieve.search.setText("tuba 11")
    assert {proof_sheet.proof.model.findings[n].at.measure for n in shown(proof_sheet)} == {"11"}  # type: ignore[union-attr]


def test_sifted_by_kind_and_by_page_of_the_file(proof_sheet: Window) -> None:
    sieve = proof_sheet.proof.sieve
    sieve.by_kind.setCurrentIndex(sieve.by_kind.findData("missing-stop"))
    rules = {proof_sheet.proof.model.findings[n].rule for n in shown(proof_sheet)}
    assert rules == {"missing-stop"}
    sieve.by_page.setCurrentIndex(sieve.by_page.findData("2"))
    bars = [proof_sheet.proof.model.findings[n].at.bar for n in shown(proof_sheet)]  # type: ignore[union-attr]
    assert bars == [6, 8, 10]
    assert "page 2, system 2" in proof_sheet.proof.model.index(shown(proof_sheet)[2]).data()


@pytest.mark.parametrize("order", ["kind", "level", "division", "page"])
def test_grouped_under_headings_that_cannot_be_chosen(proof_sheet: Window, order: str) -> None:
    proof, sieve = proof_sheet.proof, proof_sheet.proof.sieve
    everything = shown(proof_sheet)
    sieve.order.setCurrentIndex(sieve.order.findData(order))
    headings = [line for line in proof.model.lines if isinstance(line, str)]
    assert len(headings) > 1
    assert sorted(shown(proof_sheet)) == everything
    row = proof.model.lines.index(headings[0])
    assert not proof.model.flags(proof.model.index(row)) & Qt.ItemFlag.ItemIsSelectable
    walked = []
    for _ in everything:
        proof_sheet.doing.do_next_finding()
        walked.append(proof_sheet.session.finding)
    assert walked == shown(proof_sheet)
    group = sieve.group()
    assert group is not None
    kinds = [group(proof.model.findings[n]) for n in walked if n is not None]
    assert len([1 for a, b in itertools.pairwise(kinds) if a != b]) == len(set(kinds)) - 1


def test_a_heading_without_remarks_is_left_out(proof_sheet: Window) -> None:
    proof, sieve = proof_sheet.proof, proof_sheet.proof.sieve
    sieve.order.setCurrentIndex(sieve.order.findData("kind"))
    sieve.by_level.setCurrentIndex(sieve.by_level.findData("error"))
    visible = [line for row, line in enumerate(proof.model.lines) if not proof.view.isRowHidden(row)]
    heads = [line for line in visible if isinstance(line, str)]
    rules = {kind_words(proof.model.findings[line].rule) for line in visible if isinstance(line, int)}
    assert {head.rpartition(" · ")[0] for head in heads} == rules


def test_arrows_walk_the_list_and_the_score_follows(proof_sheet: Window) -> None:
    proof = proof_sheet.proof
    proof.view.setFocus()
    seen = []
    for _ in range(4):
        QTest.keyClick(proof.view, Qt.Key.Key_Down)
        finding = proof_sheet.session.finding_at(proof_sheet.session.finding)
        assert finding is not None
        derived = proof_sheet.session.derived
        assert derived is not None
        if finding.at is not None:
            assert proof_sheet.session.cursor.onset == derived.index.ticks(finding)
        seen.append(proof_sheet.session.finding)
    assert seen == shown(proof_sheet)[:4] or seen == shown(proof_sheet)[1:5]


def test_enter_goes_to_the_remedy_escape_back_delete_to_the_reason(proof_sheet: Window) -> None:
    proof = proof_sheet.proof
    choose(proof_sheet, "missing-stop")
    proof.view.setFocus()
    QTest.keyClick(proof.view, Qt.Key.Key_Return)
    focus = proof_sheet.focusWidget()
    assert isinstance(focus, LinkLabel)
    QTest.keyClick(focus, Qt.Key.Key_Escape)
    assert proof.view.hasFocus() or proof_sheet.focusWidget() is proof.view
    QTest.keyClick(proof.view, Qt.Key.Key_Delete)
    assert proof.opened is not None
    assert proof_sheet.focusWidget() is proof.opened.reason


def test_let_stand_with_a_reason_listed_apart_and_raised_again(proof_sheet: Window) -> None:
    proof, session = proof_sheet.proof, proof_sheet.session
    before = len(proof.model.findings)
    choose(proof_sheet, "marking-not-understood")
    assert proof.opened is not None
    wait = settled(proof_sheet)
    QTest.keyClicks(proof.opened.reason, "a jest of the composer")
    QTest.keyClick(proof.opened.reason, Qt.Key.Key_Return)
    wait_for(wait)
    assert len(proof.model.findings) == before - 1
    assert session.document.notes.dismissals[0].reason == "a jest of the composer"
    assert "1 let stand" in proof.foot.words
    QTest.mouseClick(proof.foot, Qt.MouseButton.LeftButton, pos=proof.foot.rect().center() * 0.1)
    proof.turn() if proof.stack.currentWidget() is proof.view else None
    said = " ".join(label.text() for label in proof.stood.findChildren(type(proof.heading)))
    assert "a jest of the composer" in said
    again = next(one for one in proof.stood.findChildren(LinkLabel) if one.words == "Raise it again")
    wait = settled(proof_sheet)
    QTest.keyClick(again, Qt.Key.Key_Return)
    wait_for(wait)
    assert len(proof.model.findings) == before
    assert not session.document.notes.dismissals
    session.undo.undo()
    assert session.document.notes.dismissals


def test_all_of_a_kind_let_stand_as_one_step(proof_sheet: Window) -> None:
    session = proof_sheet.session
    choose(proof_sheet, "missing-stop")
    count = sum(finding.rule == "missing-stop" for finding in proof_sheet.proof.model.findings)
    assert count > 2
    every = link(proof_sheet, lambda text: f"Let all {count}" in text)
    wait = settled(proof_sheet)
    QTest.keyClick(every, Qt.Key.Key_Return)
    wait_for(wait)
    assert all(finding.rule != "missing-stop" for finding in proof_sheet.proof.model.findings)
    assert proof_sheet.proof.stood.count == count
    assert session.undo.count() == 1
    wait = settled(proof_sheet)
    session.undo.undo()
    wait_for(wait)
    assert sum(finding.rule == "missing-stop" for finding in proof_sheet.proof.model.findings) == count


def test_a_remedy_for_all_of_its_kind_as_one_step(window: Window, small_organ: Organ) -> None:
    texts = {0: [words("Swell Salicional 8")], 4: [words("Great Open Diapason 8", 2)], 8: [words("Swell Oboe 8")]}
    window.session.set_document(document_of(make_score(12, texts, notes=4), small_organ))
    window.proof.by_style.take("en")
    wait_for(lambda: any(finding.rule == "off-style" for finding in window.proof.model.findings))
    count = sum(finding.rule == "off-style" for finding in window.proof.model.findings)
    choose(window, "off-style")
    opened = window.proof.opened
    assert isinstance(opened, OpenFinding)
    every = link(window, lambda text: "of this kind" in text and "same" in text)
    wait = settled(window)
    QTest.keyClick(every, Qt.Key.Key_Return)
    wait_for(wait)
    left = [finding for finding in window.proof.model.findings if finding.rule == "off-style"]
    assert count >= 3
    assert not left
    assert window.session.undo.count() == 1
    wait = settled(window)
    window.session.undo.undo()
    wait_for(wait)
    assert sum(finding.rule == "off-style" for finding in window.proof.model.findings) == count
