"""Everything that was read from a score is found again in its engraving."""

from __future__ import annotations

from itertools import pairwise

import pytest
from window_support import make_score, wait_for, words

from app.builtin import demo_piece
from app.window import Window
from core.score.model import TextKind
from core.score.source import source_from_bytes

EXTRA = {
    0: [words("Sw. Oboe"), words("Sw. Oboe", 2), words("Gt. 8 &amp; 4\nPed. 16", 3, "below")],
    1: [
        '<direction placement="above"><direction-type><words>Ch. Clarinet</words></direction-type>'
        "<direction-type><words>&amp; Trem.</words></direction-type><staff>1</staff></direction>"
    ],
    2: [
        '<direction placement="above"><direction-type><other-direction>Sw. to Gt.</other-direction>'
        "</direction-type><staff>1</staff></direction>"
    ],
    3: [
        '<direction placement="above"><direction-type><rehearsal>B</rehearsal></direction-type>'
        "<direction-type><words>Full Sw.</words></direction-type><staff>1</staff></direction>"
    ],
}


def _everything(window: Window) -> None:
    view, derived = window.score, window.session.derived
    assert derived is not None
    index = derived.index
    found_notes: set[int] = set()
    ruled = set()
    for page in range(view.page_count):
        places, overlay = view.store.places(page), view.store.overlay(page)
        assert places is not None
        assert overlay is not None
        found_notes |= set(places.page.notes)
        ruled |= {rule.marking for rule in overlay.rules}
        for place in places.bars.values():
            assert all(a[1] < b[1] for a, b in pairwise(place.points)), f"bar {place.bar}: x rises with time"
            assert len(place.staves) == len(index.rows)
    missing = [m.text.text for m in index.marks.values() if m.id not in ruled and m.text.kind is not TextKind.CREDIT]
    assert not missing
    lost = [note for note in index.score.notes if note.ordinal not in found_notes and not note.grace]
    assert not lost


@pytest.mark.parametrize("bars", [8, 130])
def test_every_note_bar_and_text_has_its_place(window: Window, bars: int) -> None:
    source = source_from_bytes(make_score(bars, EXTRA, notes=4))
    window.session.set_document(window.session.document.__class__(source=source))
    wait_for(
        lambda: (
            window.session.derived is not None
            and window.score.engraver.pages > 0
            and all(window.score.store.has(page) for page in range(window.score.page_count))
        )
    )
    _everything(window)


def test_every_note_and_text_of_the_built_in_piece_has_its_place(window: Window) -> None:
    window.open(demo_piece())
    wait_for(
        lambda: (
            window.session.derived is not None
            and window.score.engraver.pages > 0
            and all(window.score.store.has(page) for page in range(window.score.page_count))
        )
    )
    _everything(window)
    derived = window.session.derived
    assert derived is not None
    credits = [m for m in derived.index.marks.values() if m.text.kind is TextKind.CREDIT]
    lines = {line.credit for line in window.score.title}
    assert {m.text.element for m in credits} <= lines, "what stands in the title block is found there"
