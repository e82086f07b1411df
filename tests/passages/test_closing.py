"""The edits that end a solo do end it, at the very moment that was proposed."""

from __future__ import annotations

import pytest

from core.analysis import analyse_document
from core.document import Document
from core.edits import apply
from core.findings import Finding
from core.markings.lexicon import LANGUAGES
from core.markings.model import Action
from core.markings.reading import read_marking
from core.passages.closing import wording
from core.score.source import source_from_bytes
from making import Piece


def _document(*, home: bool = True) -> Document:
    piece = Piece()
    if home:
        piece.text(1, 1, "Gt. Diapasons", staff=1, above=False)
    piece.text(3, 1, "R.H. Sw. Oboe", staff=1)
    for bar in range(12):
        line = bar in range(2, 8)
        piece.bar("C5 D5 E5 F5" if line else "C4+E4+G4:2 D4+F4+A4:2", "C3+E3:4", "C2:4")
    return Document(source=source_from_bytes(piece.xml()))


def _finding(document: Document) -> Finding | None:
    return next((f for f in analyse_document(document).findings if f.rule == "solo-without-end"), None)


@pytest.mark.parametrize("which", ["edit", "marking"])
def test_each_way_ends_the_solo_where_it_was_proposed(which: str) -> None:
    document = _document()
    finding = _finding(document)
    assert finding is not None
    passage = next(p for p in analyse_document(document).passages if not p.marked_end)
    assert len(finding.proposals) == len(passage.proposals) > 0
    for proposal, boundary in zip(finding.proposals, passage.proposals, strict=True):
        edit = getattr(proposal, which)
        if edit is None:
            continue
        after = analyse_document(apply(document, edit).document)
        ended = next(p for p in after.passages if p.start_onset == passage.start_onset)
        assert ended.marked_end
        assert ended.end_onset == boundary.onset
    assert getattr(finding.proposals[0], which) is not None


def test_a_hand_that_was_nowhere_before_cannot_be_brought_back_by_a_bracket() -> None:
    finding = _finding(_document(home=False))
    assert finding is None or all(proposal.edit is None for proposal in finding.proposals)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("division", ["great", "swell", "positive", "manual-2"])
def test_the_wording_is_read_as_it_is_meant(language: str, hand: str, division: str) -> None:
    text = wording(hand, division, language)
    assert text is not None
    (instruction,) = read_marking(text).instructions
    assert (instruction.action, instruction.hand, instruction.division) == (Action.PLAY, hand, division)
