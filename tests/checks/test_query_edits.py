"""Queries to the author as edits: each can be undone, and a number is never given twice."""

from __future__ import annotations

from fractions import Fraction

import pytest

from core.analysis import analyse_document
from core.checks.queries import asked_of, asking, number_queries, unnumbered
from core.document import Document
from core.edits import AskAuthor, DeleteMarking, SettleQuery, Together, apply
from core.errors import EditError
from core.score.source import source_from_bytes

SCORE = b"""<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type>
</time></attributes><direction placement="above"><direction-type><words>Sw. Flomptuba 8 &amp; Oboe</words>
</direction-type></direction><note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note>
</measure><measure number="2"><direction placement="above"><direction-type><words>Gt. Wumbelflute 8</words>
</direction-type></direction><note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration></note>
</measure></part></score-partwise>"""


def _document() -> Document:
    return Document(source=source_from_bytes(SCORE))


def test_a_finding_gets_the_next_number_and_keeps_it() -> None:
    document = _document()
    analysis = analyse_document(document)
    fresh = unnumbered(document.notes, analysis.findings, analysis.score)
    assert len(fresh) >= 2, "two words that nobody knows"
    first = apply(document, asking(fresh[0], analysis.score), analysis.score).document
    then = apply(first, asking(fresh[1], analysis.score), analysis.score).document
    assert [q.number for q in then.notes.queries] == [1, 2]
    asked = asked_of(then.notes, analysis.findings, analysis.score)
    assert [a.finding for a in asked] == [fresh[0], fresh[1]]
    assert document.notes.queries == (), "the document before is what undo goes back to"


def test_edits_give_the_numbers_that_the_command_gives() -> None:
    document = _document()
    analysis = analyse_document(document)
    by_command = number_queries(document.notes, analysis.findings, analysis.score)
    edits = tuple(asking(f, analysis.score) for f in unnumbered(document.notes, analysis.findings, analysis.score))
    assert apply(document, Together(edits=edits), analysis.score).document.notes == by_command


def test_a_number_is_not_given_again_when_its_fault_is_gone() -> None:
    document = _document()
    analysis = analyse_document(document)
    fresh = unnumbered(document.notes, analysis.findings, analysis.score)
    document = apply(document, asking(fresh[0], analysis.score)).document
    assert fresh[0].marking is not None
    document = apply(document, DeleteMarking(marking=fresh[0].marking)).document
    analysis = analyse_document(document)
    left = unnumbered(document.notes, analysis.findings, analysis.score)
    document = apply(document, asking(left[0], analysis.score)).document
    assert [q.number for q in document.notes.queries] == [1, 2]
    gone, there = asked_of(document.notes, analysis.findings, analysis.score)
    assert gone.finding is None
    assert there.finding == left[0]


@pytest.mark.parametrize(("state", "name"), [
    ("answered", "answer query 1"), ("stands", "let query 1 stand"), ("open", "open query 1 again"),
])  # fmt: skip
def test_a_query_is_settled_by_an_edit_with_a_name(state: str, name: str) -> None:
    document = apply(_document(), AskAuthor(rule="r", message="m")).document
    edit = SettleQuery(number=1, state=state, answer="so")
    settled = apply(document, edit).document.notes.queries[0]
    assert (settled.state, settled.answer, settled.message) == (state, "so", "m")
    assert edit.name == name


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(EditError, match="no query has the number 4"):
        apply(_document(), SettleQuery(number=4, state="answered"))
    document = apply(_document(), AskAuthor(rule="r", message="m")).document
    with pytest.raises(EditError, match="no state"):
        apply(document, SettleQuery(number=1, state="lost"))


def test_a_place_that_is_no_markings_is_kept_by_bar_and_beat() -> None:
    document = apply(_document(), AskAuthor(rule="r", message="m", bar=1, onset=4)).document
    spot = document.notes.queries[0].at
    assert spot is not None
    assert (spot.bar, spot.time) == (1, Fraction(0))
