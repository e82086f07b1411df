"""The proof shows the remarks of one level or one division, in plain words."""

from __future__ import annotations

from app.window import Window


def _shown(window: Window) -> list[int]:
    proof = window.proof
    return [n for n in range(proof.model.rowCount()) if not proof.view.isRowHidden(n)]


def test_remarks_of_one_level(opened: Window) -> None:
    proof = opened.proof
    levels = {finding.level.value for finding in proof.model.findings}
    assert len(levels) > 1
    assert len(_shown(opened)) == proof.model.rowCount()
    proof.by_level.setCurrentIndex(proof.by_level.findData("error"))
    assert {proof.model.findings[n].level.value for n in _shown(opened)} == {"error"}
    assert "shown" in proof.heading.text()
    proof.by_level.setCurrentIndex(0)
    assert len(_shown(opened)) == proof.model.rowCount()


def test_remarks_of_one_division_by_its_name(opened: Window) -> None:
    proof = opened.proof
    divisions = {finding.division for finding in proof.model.findings if finding.division}
    for division in divisions:
        proof.by_division.setCurrentIndex(proof.by_division.findData(division))
        assert {proof.model.findings[n].division for n in _shown(opened)} == {division}
    names = [proof.by_division.itemText(n) for n in range(proof.by_division.count())]
    assert names[0] == "All divisions"
    assert not {"great", "swell", "pedal"} & set(names)


def test_going_on_passes_over_what_is_left_out(opened: Window) -> None:
    proof = opened.proof
    proof.by_level.setCurrentIndex(proof.by_level.findData("error"))
    shown = _shown(opened)
    for _ in range(len(shown) + 1):
        opened.doing.do_next_finding()
        assert opened.session.finding in shown


def test_what_is_chosen_stays_through_an_edit(opened: Window) -> None:
    proof = opened.proof
    proof.by_level.setCurrentIndex(proof.by_level.findData("error"))
    proof.refresh()
    assert proof.by_level.currentData() == "error"
    assert {proof.model.findings[n].level.value for n in _shown(opened)} == {"error"}
