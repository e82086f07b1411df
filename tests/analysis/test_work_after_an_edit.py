"""How much an edit makes the walk do again, counted: time depends on the machine, work does not."""

from __future__ import annotations

from collections import Counter

import pytest
from walk_pieces import ORGANS

from core.analysis import Analysis, analyse_document
from core.document import Document
from core.edits import AddMarking, ChangeMarking, DeleteMarking, Dismiss, Edit, MoveMarking, apply
from core.markings import reading
from core.score import assembling, timeline
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS, LINE

BARS = 120
TEXTS = ("Sw. Oboe", "Gt. Open Diapason 8", "Ch. Clarinet", "Ped. Bourdon 16")


@pytest.fixture(scope="module")
def document() -> Document:
    piece = Piece(title="March (invented)")
    for number in range(BARS):
        piece.bar(*(CHORDS if number % 8 < 4 else LINE))
    for number in range(1, BARS, 4):
        piece.text(number, 1, TEXTS[number // 4 % 4])
    return Document(source=source_from_bytes(piece.xml(), "march.musicxml"), organs=ORGANS, chosen=0)


@pytest.fixture(scope="module")
def walked(document: Document) -> Analysis:
    return analyse_document(document)


def _mark(analysis: Analysis, bar: int) -> object:
    return next(text.id for text in analysis.score.texts if text.bar == bar)


def _edit(name: str, analysis: Analysis) -> Edit:
    marking = _mark(analysis, 40)
    return {
        "add": lambda: AddMarking(part=0, bar=42, staff=1, in_bar=0, text="più mosso, Ped. Bourdon 16"),
        "change": lambda: ChangeMarking(marking=marking, text="Ch. Clarinet 8 ft."),
        "move": lambda: MoveMarking(marking=marking, bar=41, staff=1, in_bar=0),
        "delete": lambda: DeleteMarking(marking=marking),
        "dismiss": lambda: Dismiss(rule=analysis.findings[0].rule, reason="meant so"),
    }[name]()


BARS_READ = {"add": 1, "change": 1, "move": 2, "delete": 1, "dismiss": 0}


@pytest.mark.parametrize("name", BARS_READ)
def test_an_edit_reads_its_bars_alone(
    name: str, document: Document, walked: Analysis, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: Counter[str] = Counter()

    def counted(module: object, function: str) -> None:
        whole = getattr(module, function)

        def work(*args: object, **named: object) -> object:
            done[function] += 1
            return whole(*args, **named)

        monkeypatch.setattr(module, function, work)

    for module, function in (
        (timeline.PartWalk, "read_bar"),
        (reading, "_read"),
        (assembling, "arrange_lines"),
        (assembling, "played_order"),
    ):
        counted(module, function)
    applied = apply(document, _edit(name, walked), walked.read)
    after = analyse_document(applied.document, score=applied.score, earlier=walked)
    assert done["read_bar"] == BARS_READ[name]
    assert done["_read"] <= 2, "only a text that was never read before is read, once to vote and once in the tongue"
    assert done["arrange_lines"] == done["played_order"] == 0
    assert after.score.notes is walked.score.notes
    worked = after.memory.worked
    assert not {"music", "notes", "_octave_runs", "_runs_doubled", "_crowded"} & set(worked), worked


@pytest.mark.parametrize(("name", "steps"), [("dismiss", 0), ("add", 2), ("change", 1)])
def test_steps_are_taken_again_from_the_edit_until_the_state_is_what_it_was(
    name: str, steps: int, document: Document, walked: Analysis
) -> None:
    applied = apply(document, _edit(name, walked), walked.read)
    after = analyse_document(applied.document, score=applied.score, earlier=walked)
    assert len(after.steps) > 25
    assert after.memory.worked.get("step", 0) <= steps


def test_a_walk_keeps_nothing_of_the_walk_before_the_last(document: Document, walked: Analysis) -> None:
    """However long one edits, the memory holds what one walk needs."""
    size = len(walked.memory._now)
    analysis = walked
    for turn in range(6):
        edit = ChangeMarking(marking=_mark(analysis, 40), text=TEXTS[turn % 4])
        applied = apply(document, edit, analysis.read)
        document = applied.document
        analysis = analyse_document(document, score=applied.score, earlier=analysis)
        assert len(analysis.memory._now) < 1.5 * size
        assert not analysis.memory._before
