"""Edits as values: their names for the undo list, decisions, and what does not fit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from core.document import Document, score_of, with_hands
from core.edit_values import Edit, short
from core.edits import (
    AddBracket,
    AddMarking,
    ChangeMarking,
    ChangeSpecification,
    ChooseOrgan,
    DeleteBracket,
    DeleteMarking,
    Dismiss,
    MoveMarking,
    PencilIn,
    PinStops,
    Raise,
    ReplaceSpecification,
    SetBoundary,
    SetHand,
    SetKeyboard,
    SetLanguage,
    SetOrganParts,
    Together,
    apply,
)
from core.errors import EditError
from core.notes import NO_NOTES, PlayerNote, Spot, find_spot
from core.notes_file import read_notes, write_notes
from core.organ.changes import AddPart, AddStop, ChangeOrgan, ChangeStop, MoveStop, RemoveStop
from core.score.model import MarkingId
from core.score.reading import read_score
from core.score.source import source_from_bytes
from core.texts import say

NOTE = "<note><pitch><step>C</step><octave>{octave}</octave></pitch><duration>{duration}</duration>{rest}</note>"


def note(duration: int, rest: str = "", octave: int = 4) -> str:
    return NOTE.format(octave=octave, duration=duration, rest=rest)


def words(text: str, rest: str = "") -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type>{rest}</direction>"


def document_of(*bars: str, divisions: int = 4, second: str = "") -> Document:
    first = f"<attributes><divisions>{divisions}</divisions></attributes>"
    inner = "".join(f'<measure number="{n}">{first if n == 1 else ""}{bar}</measure>' for n, bar in enumerate(bars, 1))
    parts = '<score-part id="P1"><part-name>Organ</part-name></score-part>'
    parts += '<score-part id="P2"><part-name>Voice</part-name></score-part>' if second else ""
    other = f'<part id="P2">{second}</part>' if second else ""
    xml = f'<score-partwise><part-list>{parts}</part-list><part id="P1">{inner}</part>{other}</score-partwise>'
    return Document(source=source_from_bytes(xml.encode()))


ID = MarkingId(0, 11, 1, 0, 0)


@pytest.mark.parametrize(
    ("edit", "name"),
    [
        (
            AddMarking(part=0, bar=12, staff=1, in_bar=0, text="Sw.\nOboe", measure="12"),
            "add ‘Sw. Oboe’ at bar 12",
        ),
        (AddMarking(part=0, bar=11, staff=1, in_bar=0, text="Gt."), "add ‘Gt.’ at bar 12"),
        (ChangeMarking(marking=ID, text="Gt."), "change the marking at bar 12 to ‘Gt.’"),
        (MoveMarking(marking=ID, bar=12, staff=1, in_bar=0), "move a marking to bar 13"),
        (DeleteMarking(marking=ID), "delete the marking at bar 12"),
        (DeleteMarking(marking=ID, text="Gt.", measure="9a"), "delete ‘Gt.’ at bar 9a"),
        (
            AddBracket(part=0, staff=1, bar=0, in_bar=0, end_bar=4, end_in_bar=0),
            "add a bracket from bar 1 to bar 5",
        ),
        (DeleteBracket(part=0, staff=1, bar=0, in_bar=0), "delete the bracket at bar 1"),
        (ReplaceSpecification(organ=0, text=""), "change the specification"),
        (ReplaceSpecification(organ=0, text="", what="Oboe"), "change the specification: Oboe"),
        (
            ChangeSpecification(organ=0, change=AddStop(division="swell", stop="Oboe 8")),
            "add Oboe 8 to the specification",
        ),
        (ChangeSpecification(organ=0, change=RemoveStop(stop="x")), "take x out of the specification"),
        (
            ChangeSpecification(organ=0, change=MoveStop(stop="x", division="y")),
            "move x in the specification",
        ),
        (
            ChangeSpecification(organ=0, change=ChangeStop(stop="x", entries=())),
            "change x in the specification",
        ),
        (
            ChangeSpecification(organ=0, change=AddPart(section="couplers", entry="Swell to Great")),
            "add Swell to Great to the specification",
        ),
        (ChangeSpecification(organ=0, change=ChangeOrgan(entries=())), "change the specification"),
        (ChooseOrgan(organ=None), "choose another organ"),
        (PinStops(organ="o", marking=ID, request="soft 8", stops=()), "choose the stops for ‘soft 8’"),
        (
            PinStops(organ="o", marking=ID, request="soft 8", stops=None),
            "go back to the proposed stops for ‘soft 8’",
        ),
        (SetKeyboard(organ="o", asked="swell", division="x"), "change which keyboard answers swell"),
        (Dismiss(rule="r"), "let a finding stand"),
        (Raise(rule="r"), "show a finding again"),
        (SetBoundary(marking=ID, which="start", onset=1), "set the beginning of a solo"),
        (SetBoundary(marking=ID, which="end", onset=1), "set the end of a solo"),
        (PencilIn(onset=0, text="+ Oboe"), "pencil in ‘+ Oboe’"),
        (PencilIn(onset=0, text=""), "rub out a pencil mark"),
        (SetHand(part=0, staff=2, hand="feet"), "change which hand plays staff 2"),
        (SetLanguage(language="fr"), "change the language of the markings"),
        (SetOrganParts(parts=()), "change which parts the organist plays"),
        (Together(edits=()), "change nothing"),
        (Together(edits=(), what=say("close the solo at bar 9")), "close the solo at bar 9"),
        (Edit(), "change the document"),
    ],
)
def test_every_edit_has_a_name_for_the_undo_list(edit: Edit, name: str) -> None:
    assert edit.name == name


def test_a_long_text_is_cut_in_a_name() -> None:
    assert len(short("x" * 100)) < 42


def test_pencil_marks_come_and_go() -> None:
    document = document_of(note(16), note(16))
    score = score_of(document)
    document = apply(document, PencilIn(onset=20, text="+ Trem.", organ="St Example", part=0, staff=1), score).document
    spot = Spot(bar=1, measure="2", time=Fraction(1), part="P1", staff=1)
    assert document.notes.player == (PlayerNote(at=spot, text="+ Trem.", organ="St Example"),)
    assert find_spot(score, spot) == 20
    assert read_notes(write_notes(document.notes), "x") == document.notes
    other = apply(document, PencilIn(onset=20, text="", part=0, staff=1), score).document
    assert other.notes == document.notes  # another organ's
    rubbed = apply(document, PencilIn(onset=20, text="", organ="St Example", part=0, staff=1), score).document
    assert rubbed.notes == NO_NOTES


def test_boundaries_come_and_go() -> None:
    document = document_of(words("Solo Oboe") + note(16), note(16))
    marking = score_of(document).texts[0].id
    document = apply(document, SetBoundary(marking=marking, which="end", onset=16, hand="right")).document
    document = apply(document, SetBoundary(marking=marking, which="end", onset=20, hand="right")).document
    (boundary,) = document.notes.boundaries
    assert boundary.at.time == 1
    gone = apply(document, SetBoundary(marking=marking, which="end", onset=None, hand="right")).document
    assert gone.notes == NO_NOTES
    with pytest.raises(EditError, match="start or the end"):
        apply(document, SetBoundary(marking=marking, which="middle", onset=0))


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (PinStops(organ="o", marking=ID, request="r", stops=()), "no longer in the score"),
        (ChangeMarking(marking=ID, text="x"), "no longer in the score"),
        (SetHand(part=7, staff=1, hand=None), "no such part"),
        (SetOrganParts(parts=("P9",)), "no part P9"),
        (DeleteBracket(part=7, staff=1, bar=0, in_bar=0), "no such part"),
        (Edit(), "nobody knows how"),
    ],
)
def test_what_does_not_fit_is_one_sentence(edit: Edit, sentence: str) -> None:
    with pytest.raises(EditError, match=sentence):
        apply(document_of(note(16)), edit)


def test_a_step_of_a_compound_edit_cannot_speak_of_what_is_gone() -> None:
    document = document_of(words("Gt.") + note(16))
    marking = score_of(document).texts[0].id
    gone = DeleteMarking(marking=marking)
    with pytest.raises(EditError, match="deleted by an earlier step"):
        apply(document, Together(edits=(gone, ChangeMarking(marking=marking, text="x"))))


def test_an_offset_that_is_no_whole_number_of_divisions_is_written_exactly() -> None:
    second = f'<measure number="1"><attributes><divisions>8</divisions></attributes>{note(32)}</measure>'
    document = document_of(note(4), divisions=1, second=second)
    score = score_of(document)
    done = apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=score.ticks * 11 // 8, text="Gt."), score)
    assert done.document.source is not None
    assert b"<offset>1.375</offset>" in done.document.source.xml
    assert done.made is not None
    assert Fraction(done.made.in_bar, score.ticks) == Fraction(11, 8)


def test_a_tuplet_that_the_file_rounds_is_no_obstacle() -> None:
    ratio = "<actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
    third = f"<type>eighth</type><time-modification>{ratio}</time-modification>"
    bar = note(3, third) + note(3, third) + note(4, third) + note(30)
    document = document_of(bar, divisions=10)
    score = score_of(document)
    for onset in sorted({n.onset for n in score.notes}):
        done = apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=onset, text="Gt."), score)
        assert done.document.source is not None
        xml = done.document.source.xml
        assert b"<offset>" not in xml
        index = sorted(n.onset for n in score.notes).index(onset)
        assert xml[: xml.index(b"<direction")].count(b"<note>") == index


def test_a_whole_bar_rest_of_the_wrong_length_and_notes_without_duration() -> None:
    rest = '<note><rest measure="yes"/><duration>999</duration></note>'
    mute = "<note><pitch><step>D</step><octave>4</octave></pitch><type>half</type></note>"
    document = document_of(note(16), rest, mute + note(8), "<backup><duration>9</duration></backup>" + note(16))
    score = score_of(document)
    for bar, time in ((1, 0), (1, 8), (2, 0), (2, 8), (3, 0), (3, 4)):
        done = apply(document, AddMarking(part=0, bar=bar, staff=1, in_bar=time, text="Gt."), score)
        assert done.made is not None
        assert (done.made.bar, done.made.in_bar) == (bar, time)


def test_nothing_is_put_between_the_notes_of_a_chord() -> None:
    chord = note(8) + note(8, octave=5).replace("<note>", "<note><chord/>") + note(8)
    document = document_of(chord)
    done = apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=8, text="Gt."))
    assert done.document.source is not None
    xml = done.document.source.xml
    assert xml.index(b"<chord/>") < xml.index(b"<direction") < xml.rindex(b"<note>")


def test_times_that_an_edit_makes_coarser_name_every_marking_anew() -> None:
    offset = "<offset>0.125</offset>"
    document = document_of(words("Sw.", offset) + words("Gt.") + note(4), divisions=1)
    score = score_of(document)
    sw, gt = sorted(score.texts, key=lambda text: text.text, reverse=True)
    done = apply(document, DeleteMarking(marking=sw.id), score)
    assert done.score is not None
    assert [text.text for text in done.score.texts] == ["Gt."]
    assert done.renamed.get(gt.id, gt.id) == done.score.texts[0].id


def test_brackets_that_share_a_direction_or_overlap() -> None:
    document = document_of(*[note(16)] * 4)
    edit = AddBracket(part=0, staff=1, bar=0, in_bar=0, end_bar=3, end_in_bar=8)
    for _ in range(16):
        document = apply(document, edit).document
    with pytest.raises(EditError, match="sixteen"):
        apply(document, edit)
    both = (
        '<direction><direction-type><bracket type="start" line-end="none"/></direction-type>'
        '<direction-type><bracket type="stop" line-end="none"/></direction-type></direction>'
    )
    document = document_of(both + note(16))
    done = apply(document, DeleteBracket(part=0, staff=1, bar=0, in_bar=0))
    assert done.document.source is not None
    assert b"bracket" not in done.document.source.xml
    lone = '<direction><direction-type><bracket type="start" line-end="none"/></direction-type></direction>'
    done = apply(document_of(lone + note(16)), DeleteBracket(part=0, staff=1, bar=0, in_bar=0))
    assert done.document.source is not None
    assert b"bracket" not in done.document.source.xml


def test_a_bracket_may_end_where_the_bar_ends() -> None:
    document = document_of(note(16), note(16))
    edit = AddBracket(part=0, staff=1, bar=1, in_bar=0, end_bar=1, end_in_bar=16)
    done = apply(document, edit)
    assert done.score is not None
    assert [(b.onset, b.end) for b in done.score.brackets] == [(16, 32)]


def test_the_users_hands_are_the_scores() -> None:
    document = document_of(note(16) + note(16))
    score = score_of(document)
    document = apply(document, SetHand(part=0, staff=1, hand="left"), score).document
    told = score_of(document)
    assert told.parts[0].hands == ("left",)
    assert {n.hand for n in told.notes} == {"left"}
    assert str(told.parts[0].hands_why) == "as the user says"
    assert with_hands(score, ()) is score
    done = apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=0, text="Gt."), score)
    assert done.score is not None
    assert {n.hand for n in done.score.notes} == {"left"}


def test_part_told_by_the_user() -> None:
    second = f'<measure number="1"><attributes><divisions>4</divisions></attributes>{note(16)}</measure>'
    document = document_of(note(16), second=second)
    told = apply(document, SetOrganParts(parts=("P2",))).document
    assert [part.organ for part in score_of(told).parts] == [False, True]
    assert [part.organ for part in score_of(document).parts] == [True, False]


def test_the_users_language_is_noted() -> None:
    document = apply(document_of(note(16)), SetLanguage(language="fr")).document
    assert read_notes(write_notes(document.notes), "x").language == "fr"


def test_a_file_that_cannot_be_edited_says_so() -> None:
    document = document_of(note(16))
    assert document.source is not None
    score = read_score(document.source)
    odd = replace(document, source=replace(document.source, encoding="no-such", xml=b"\xe9" + document.source.xml))
    with pytest.raises(EditError, match="not edited"):
        apply(odd, AddMarking(part=0, bar=0, staff=1, in_bar=0, text="x"), score)
