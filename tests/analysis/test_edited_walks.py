"""After an edit the walk takes what is the same from the walk before; the outcome is the one from scratch."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from walk_pieces import FORMS, PIECES, document_of, edits

from core.analysis import Analysis, analyse_document
from core.document import Document, score_of
from core.edits import apply
from core.errors import EditError
from core.score.outline import read_outline
from core.score.rereading import outline_of


def differences(one: Analysis, other: Analysis) -> list[str]:
    """The parts in which two analyses differ."""
    names = ("score", "organ", "decisions", "markings", "keyboards", "steps", "passages", "report", "stretches")
    found = [name for name in names if getattr(one, name) != getattr(other, name)]
    lines = [{hand: line.moments for hand, line in each.lines.items()} for each in (one, other)]
    return found + (["lines"] if lines[0] != lines[1] else [])


def check_kept(document: Document, analysis: Analysis) -> None:
    """What was kept for the next edit is as a reading from scratch would have it."""
    kept = analysis.read.kept
    assert kept is not None
    outline = outline_of(kept)
    if outline is not None:
        assert outline == read_outline(kept.text)
    fresh = score_of(document).kept
    assert fresh is not None
    assert (kept.text, kept.found, kept.headings, kept.title) == (fresh.text, fresh.found, fresh.headings, fresh.title)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_an_edited_walk_is_the_walk_from_scratch(data: st.DataObject) -> None:
    piece = data.draw(st.sampled_from(PIECES))()
    document = document_of(data.draw(st.sampled_from(FORMS))(piece.xml()))
    analysis = analyse_document(document)
    history = [document]
    for _ in range(data.draw(st.integers(1, 5))):
        if data.draw(st.integers(0, 7)) == 0:  # undone, as far back as one likes
            document = data.draw(st.sampled_from(history))
            analysis = analyse_document(document, earlier=analysis)
        else:
            edit = data.draw(edits(analysis))
            try:
                applied = apply(document, edit, analysis.read)
            except EditError:
                continue
            document = applied.document
            history.append(document)
            analysis = analyse_document(document, score=applied.score, earlier=analysis)
        assert differences(analysis, analyse_document(document)) == []
        check_kept(document, analysis)


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_file_is_read_again_in_part(form, monkeypatch: pytest.MonkeyPatch) -> None:
    """But for those in which bars cannot be told apart by their bytes, only the edited bar is read."""
    from core.edits import AddMarking
    from core.score.timeline import PartWalk

    document = document_of(form(PIECES[0]().xml()))
    analysis = analyse_document(document)
    read: list[int] = []
    whole = PartWalk.read_bar
    monkeypatch.setattr(PartWalk, "read_bar", lambda walk, *rest: (read.append(rest[1]), whole(walk, *rest))[1])
    apply(document, AddMarking(part=0, bar=4, staff=1, in_bar=0, text="Sw. Oboe"), analysis.read)
    assert read == [4]
