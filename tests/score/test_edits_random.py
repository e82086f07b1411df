"""Random edits: the notes never move, names follow, and undo ends in the exact bytes of the start."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odd_scores import direction, odd_files, plain

from core.document import Document
from core.edits import (
    AddBracket,
    AddMarking,
    Applied,
    ChangeMarking,
    DeleteBracket,
    DeleteMarking,
    Edit,
    MoveMarking,
    PinStops,
    Together,
    apply,
)
from core.notes import pins_on
from core.score.model import MarkingId, Score
from core.score.reading import read_score
from core.score.source import source_from_bytes

FILES = {
    name: data
    for name, data in odd_files().items()
    if name in ("plain", "crlf", "no line breaks", "utf-16", "latin-1", "timewise", "prefixed", "mxl")
}
FILES["crowded"] = plain(
    text=direction("Gt. 8", 1) + direction("Sw. 8", 1) + direction("Ch. 8", 2, extra="<offset>4</offset>"),
    second=direction("Ped. 16", 3, attributes=""),
).encode()
TEXTS = st.text(st.sampled_from("Sw. Oboe8′⅔&<>\"'éſ\n  "), min_size=1, max_size=12).filter(str.strip)


@dataclass
class Session:
    """What a user does in a window: a document, its former values, and what every marking should say."""

    document: Document
    score: Score
    former: list[Document] = field(default_factory=list)

    def apply(self, edit: Edit) -> Applied:
        before = self.score
        done = apply(self.document, edit, self.score)
        self.former.append(self.document)
        self.document = done.document
        assert self.document.source is not None
        self.score = read_score(self.document.source)
        assert done.score == self.score
        assert self.score.notes == before.notes
        assert edit.name
        self._check_names(before, done, edit)
        return done

    def _check_names(self, before: Score, done: Applied, edit: Edit) -> None:
        """Every marking that was not the edit's own is found under its new name and says the same."""
        texts = {text.id: text for text in self.score.texts}
        own = getattr(edit, "marking", None)
        for text in before.texts:
            now = done.renamed.get(text.id, text.id)
            if text.id == own:
                continue
            assert now is not None
            assert texts[now].text == text.text
            if text.text != "Ped. 16":  # its side is not in the file: neighbours tell it
                assert texts[now].placement == text.placement


def random_edit(session: Session, data: st.DataObject) -> Edit | None:
    score = session.score
    part = data.draw(st.sampled_from([i for i, p in enumerate(score.parts) if p.staves == 3]))
    bar = data.draw(st.sampled_from(score.bars))
    staff = data.draw(st.integers(1, 3))
    in_bar = data.draw(st.integers(0, 15)) * score.ticks // 4
    kind = data.draw(st.sampled_from(["add", "add", "change", "move", "delete", "bracket", "unbracket"]))
    placed = [text.id for text in score.texts if text.id.part == part and text.kind == "words"]
    if kind == "add":
        side = data.draw(st.sampled_from(["above", "below"]))
        return AddMarking(part=part, bar=bar.index, staff=staff, in_bar=in_bar, text=data.draw(TEXTS), placement=side)
    if kind == "bracket":
        end = data.draw(st.sampled_from(score.bars[bar.index :]))
        if end.index == bar.index:
            return None
        return AddBracket(part=part, staff=staff, bar=bar.index, in_bar=in_bar, end_bar=end.index, end_in_bar=in_bar)
    if kind == "unbracket":
        lines = [b for b in score.brackets if b.part == part]
        if not lines:
            return None
        line = data.draw(st.sampled_from(lines))
        place = line.onset - score.bars[line.bar].onset
        return DeleteBracket(part=part, staff=line.staff, bar=line.bar, in_bar=place)
    if not placed:
        return None
    marking = data.draw(st.sampled_from(placed))
    if kind == "change":
        return ChangeMarking(marking=marking, text=data.draw(TEXTS))
    if kind == "move":
        return MoveMarking(marking=marking, bar=bar.index, staff=staff, in_bar=in_bar)
    return DeleteMarking(marking=marking)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_random_edits_with_undo_end_in_the_bytes_of_the_start(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(FILES)))
    source = source_from_bytes(FILES[name], "Prelude.musicxml")
    session = Session(Document(source=source), read_score(source))
    for _ in range(data.draw(st.integers(1, 7))):
        edit = random_edit(session, data)
        if edit is None:
            continue
        done = session.apply(edit)
        if isinstance(edit, AddMarking | MoveMarking):
            assert done.made is not None
            assert (done.made.bar, done.made.staff, done.made.in_bar) == (edit.bar, edit.staff, edit.in_bar)
    while session.former:
        session.document = session.former.pop()
    assert session.document.source is not None
    assert session.document.source.data == FILES[name]


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_what_is_added_and_deleted_again_leaves_the_bytes_of_the_start(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(FILES)))
    source = source_from_bytes(FILES[name], "Prelude.musicxml")
    session = Session(Document(source=source), read_score(source))
    made: list[MarkingId] = []
    for _ in range(data.draw(st.integers(1, 4))):
        part = next(i for i, p in enumerate(session.score.parts) if p.staves == 3)
        in_bar = data.draw(st.integers(0, 15)) * session.score.ticks // 4
        edit = AddMarking(
            part=part,
            bar=data.draw(st.integers(0, 2)),
            staff=data.draw(st.integers(1, 3)),
            in_bar=in_bar,
            text=data.draw(TEXTS),
        )
        done = session.apply(edit)
        assert done.made is not None
        made = [done.renamed.get(one, one) or one for one in made] + [done.made]
    while made:
        gone = made.pop(data.draw(st.integers(0, len(made) - 1)))
        done = session.apply(DeleteMarking(marking=gone))
        made = [done.renamed.get(one, one) or one for one in made]
    assert session.document.source is not None
    assert session.document.source.xml == source.xml


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_pins_stay_with_their_marking(data: st.DataObject) -> None:
    source = source_from_bytes(FILES["crowded"], "Prelude.musicxml")
    session = Session(Document(source=source), read_score(source))
    chosen = data.draw(st.sampled_from([text.id for text in session.score.texts if text.kind == "words"]))
    said = next(text.text for text in session.score.texts if text.id == chosen)
    session.apply(PinStops(organ="o", marking=chosen, request="r", stops=("s",)))
    for _ in range(data.draw(st.integers(1, 5))):
        edit = random_edit(session, data)
        if edit is None or (getattr(edit, "marking", None) == chosen and not isinstance(edit, MoveMarking)):
            continue
        done = session.apply(edit)
        chosen = done.renamed.get(chosen, chosen) or chosen
    pins = pins_on(session.document.notes, session.score, "o")
    assert pins == {chosen: {"r": ("s",)}}
    assert next(text.text for text in session.score.texts if text.id == chosen) == said


def test_several_edits_are_one_step_and_name_markings_as_before_it() -> None:
    source = source_from_bytes(FILES["crowded"], "Prelude.musicxml")
    session = Session(Document(source=source), read_score(source))
    gt, sw = (text.id for text in session.score.texts[:2])
    ticks = session.score.ticks
    edit = Together(
        edits=(
            DeleteMarking(marking=gt, text="Gt. 8"),
            ChangeMarking(marking=sw, text="Sw. 8, 4"),
            AddMarking(part=0, bar=0, staff=1, in_bar=ticks, text="Ch. Flute 4"),
        )
    )
    assert edit.name == "delete ‘Gt. 8’ at bar 1"
    done = apply(session.document, edit, session.score)
    assert done.score is not None
    assert done.renamed[gt] is None
    assert done.renamed[sw] == gt  # it is now the first at its place
    said = {text.id: text.text for text in done.score.texts}
    assert said[gt] == "Sw. 8, 4"
    assert done.made is not None
    assert said[done.made] == "Ch. Flute 4"
