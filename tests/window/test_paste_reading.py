"""What is understood of a pasted text: whatever it is, an answer, and no line without its place."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from app.paste_reading import Mark, organ_file, too_long, understand
from core.document import organ_from_text
from core.organ.lists.listing import MOST_SIGNS

_LINES = (
    "GREAT",
    "Swell Organ (enclosed)",
    "PEDAL: C-f1",
    "Open Diapason 8",
    "Quint 3",
    "Mixture 3 rks 15.19.22",
    "Oboe 8; Clarion 4; Tremulant",
    "Flomptuba 8",
    "Swell to Great",
    "6 thumb pistons",
    "* borrowed",
    "",
    "The organ was moved in 1911 by a local man, who put it together again with help.",
)
_odd = st.text(alphabet=st.characters(exclude_categories=("Cs",), exclude_characters="\n\r"), max_size=30)
_lists = st.lists(st.one_of(st.sampled_from(_LINES), _odd), min_size=1, max_size=14).map("\n".join)


@settings(deadline=None)
@given(_lists)
def test_every_text_gets_an_answer_and_every_line_a_place(text: str) -> None:
    understood = understand(text)
    lines = {number for number, line in enumerate(text.split("\n"), 1) if line.strip()}
    if understood.reading is None:
        assert bool(understood.refusal) == bool(text.strip()) or understood.organ is not None
        return
    assert set(understood.marks) == lines
    cited = {line for row in understood.rows for line in row.lines}
    assert lines <= cited
    unread = {line for line, mark in understood.marks.items() if mark is Mark.UNREAD}
    assert unread == {one.line for one in understood.reading.left_over}
    heads = {one.line for one in understood.reading.heads}
    assert unread | heads == {one.line for one in understood.reading.unread}
    assert not unread & heads


@settings(deadline=None)
@given(_lists, st.text(max_size=40))
def test_what_is_taken_over_is_the_organ_that_was_shown(text: str, name: str) -> None:
    understood = understand(text)
    if understood.reading is not None:
        file = organ_file(understood, name)
        assert understood.organ is not None
        assert file.organ == organ_from_text(file.text, None)
        shown = [(d.name, [s.name for s in d.stops]) for d in understood.organ.divisions]
        assert [(d.name, [s.name for s in d.stops]) for d in file.organ.divisions] == shown


def test_how_long_a_text_may_be() -> None:
    assert too_long(MOST_SIGNS) == ""
    assert str(MOST_SIGNS + 1) in too_long(MOST_SIGNS + 1)
