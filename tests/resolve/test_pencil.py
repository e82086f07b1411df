"""What a player pencils in is played on that organ alone, after the print of its place, and is no finding's subject.

Common practice, no source: a pencil mark beside the print is what the player does there.
"""

from __future__ import annotations

from fractions import Fraction

from small_organ import organ as organ_of

from core.analysis import Analysis, analyse_document
from core.document import Document, OrganFile
from core.edits import PencilIn, apply
from core.marking_up.pencil import pencil_into_score
from core.notes import NO_NOTES, Notes, PlayerNote, Spot
from core.organ.model import Organ
from core.organ.spelling import stop_label
from core.score.model import Ticks
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS

CHURCH = organ_of({"great": "Open Diapason 8, Principal 4", "swell": "Oboe 8, Salicional 8", "pedal": "Bourdon 16"})


def spot(bar: int, quarter: int = 0, staff: int = 1) -> Spot:
    return Spot(bar=bar - 1, measure=str(bar), time=Fraction(quarter), part="P1", staff=staff)


def played(*lines: tuple[int, str], organ: str | None = None, printed: str = "") -> Analysis:
    piece = Piece().repeat_bars(8, *CHORDS).text(1, 1, "Gt. Open Diapason 8")
    if printed:
        piece.text(4, 1, printed)
    name = CHURCH.name if organ is None else organ
    notes = Notes(player=tuple(PlayerNote(at=spot(bar), text=text, organ=name) for bar, text in lines))
    file = OrganFile(path=None, text="", organ=CHURCH)
    document = Document(source=source_from_bytes(piece.xml()), organs=(file,), chosen=0, notes=notes)
    return analyse_document(document)


def drawn(analysis: Analysis, bar: int) -> set[str]:
    step = analysis.at(analysis.score.bars[bar - 1].onset)
    assert step is not None
    assert isinstance(analysis.organ, Organ)
    return {stop_label(analysis.organ.stop(s)) for s in step.registration.drawn}


def test_a_pencilled_stop_is_drawn_from_its_place_on() -> None:
    analysis = played((4, "add Principal"))
    assert "Principal 4" not in drawn(analysis, 3)
    assert drawn(analysis, 4) == drawn(analysis, 8) == {"Open Diapason 8", "Principal 4"}


def test_it_comes_after_the_print_of_its_place_and_so_wins() -> None:
    assert drawn(played(printed="Gt. Open Diapason 8"), 4) == {"Open Diapason 8"}
    assert drawn(played((4, "Gt. Principal 4"), printed="Gt. Open Diapason 8"), 4) == {"Principal 4"}


def test_one_layer_for_each_organ_and_one_for_any() -> None:
    assert drawn(played((4, "add Principal"), organ="Another Church"), 4) == {"Open Diapason 8"}
    assert drawn(played((4, "add Principal"), organ=""), 4) == {"Open Diapason 8", "Principal 4"}


def test_a_remark_of_the_players_changes_nothing_and_is_no_fault() -> None:
    without, remarked = played(), played((4, "turn early, mind Flompt"))
    assert remarked.findings == without.findings
    assert [step.registration for step in remarked.steps] == [step.registration for step in without.steps]
    assert [mark.text.text for mark in remarked.pencil] == ["turn early, mind Flompt"]


def test_the_print_does_not_hold_it() -> None:
    analysis = played((4, "add Principal"))
    assert not any(mark.pencil for mark in analysis.markings.all_texts)
    assert all(
        marking in {m.id for m in analysis.markings.marks} for step in analysis.steps for marking in step.markings
    )
    assert any("add Principal" in step.texts for step in analysis.steps)


def test_what_the_organ_lacks_of_it_is_said_without_naming_a_marking_of_the_print() -> None:
    found = [f for f in played((4, "Sw. Tuba 8")).findings if "Tuba" in str(f.message)]
    assert found
    assert all(finding.marking is None for finding in found)


def test_a_keyboard_that_only_the_pencil_names_leaves_the_prints_rows() -> None:
    printed, pencilled = played(printed="Ch. Clarinet"), played((6, "Sw. Oboe"), printed="Ch. Clarinet")
    assert printed.keyboards.answers.items() <= pencilled.keyboards.answers.items()
    assert pencilled.keyboards.answers["swell"] == "swell"


def test_an_edit_pencils_in_and_rubs_out() -> None:
    piece = Piece().repeat_bars(4, *CHORDS)
    document = Document(
        source=source_from_bytes(piece.xml()), organs=(OrganFile(path=None, text="", organ=CHURCH),), chosen=0
    )
    onset: Ticks = analyse_document(document).score.bars[1].onset
    edit = PencilIn(onset=onset, text="Gt. Principal 4", organ=CHURCH.name, bar=1, part=0, staff=1)
    marked = apply(document, edit).document
    assert marked.source is document.source
    assert drawn(analyse_document(marked), 2) == {"Principal 4"}
    rubbed = apply(marked, PencilIn(onset=onset, text="", organ=CHURCH.name, bar=1, part=0, staff=1)).document
    assert rubbed.notes == NO_NOTES


def test_incremental_is_as_from_scratch() -> None:
    before = played()
    file = OrganFile(path=None, text="", organ=CHURCH)
    piece = Piece().repeat_bars(8, *CHORDS).text(1, 1, "Gt. Open Diapason 8")
    source = source_from_bytes(piece.xml())
    notes = Notes(player=(PlayerNote(at=spot(3), text="add Principal", organ=CHURCH.name),))
    document = Document(source=source, organs=(file,), chosen=0, notes=notes)
    again = analyse_document(document, earlier=before)
    assert again.steps == analyse_document(document).steps


def test_it_reaches_the_score_only_when_asked_and_sounds_the_same_there() -> None:
    piece = Piece().repeat_bars(8, *CHORDS).text(1, 1, "Gt. Open Diapason 8")
    notes = Notes(
        player=(
            PlayerNote(at=spot(3), text="add Principal", organ=CHURCH.name),
            PlayerNote(at=spot(5, 2), text="Principal off", organ=CHURCH.name),
            PlayerNote(at=spot(6), text="for another church", organ="Another Church"),
        )
    )
    file = OrganFile(path=None, text="", organ=CHURCH)
    document = Document(source=source_from_bytes(piece.xml()), organs=(file,), chosen=0, notes=notes)
    before = analyse_document(document)
    edit = pencil_into_score(before, notes)
    assert edit is not None
    after = apply(document, edit).document
    assert [line.text for line in after.notes.player] == ["for another church"]
    again = analyse_document(after)
    assert [mark.text.text for mark in again.markings.marks][1:] == ["add Principal", "Principal off"]
    assert [drawn(again, bar) for bar in range(1, 9)] == [drawn(before, bar) for bar in range(1, 9)]
    assert pencil_into_score(again, after.notes) is None


def test_a_piston_in_pencil_needs_no_explaining() -> None:
    assert any(f.rule == "piston-not-known" for f in played(printed="Gen. 3").findings)
    assert not any(f.rule == "piston-not-known" for f in played((4, "Gen. 3")).findings)
