"""The document and the shelf of files: opened, edited, saved, never overwriting what somebody else wrote."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.document import (
    Document,
    Shelf,
    open_document,
    open_organ,
    save_notes,
    save_organ,
    save_score,
)
from core.edits import (
    AddMarking,
    ChangeSpecification,
    ChooseOrgan,
    PinStops,
    ReplaceSpecification,
    SetKeyboard,
    apply,
)
from core.errors import EditError, OrganError, WriteError
from core.files import backup_path
from core.notes import NO_NOTES, pins_on
from core.notes_file import load_notes, notes_path
from core.organ.changes import AddStop, RemoveStop
from core.score.reading import read_score
from core.score.source import source_from_bytes

SCORE = """<?xml version="1.0"?>
<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>1</divisions></attributes>
      <direction placement="above">
        <direction-type><words>Gt. Open Diapason 8</words></direction-type>
      </direction>
      <note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note>
    </measure>
  </part>
</score-partwise>
"""
LIST = "St Example\n\nGREAT\nOpen Diapason 8\nPrincipal 4\n\nSWELL\nOboe 8\n\nPEDAL\nBourdon 16\n"
SPECIFICATION = """# our own little organ
specification: 1
name: St Example
invented: yes
divisions:
  - name: Great
    stops:
      - Open Diapason 8  # the big one
      - Principal 4
  - name: Pedal
    stops: [Bourdon 16]
"""
EDIT = AddMarking(part=0, bar=0, staff=1, in_bar=0, text="Sw. Oboe")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "Prelude.musicxml").write_text(SCORE)
    (tmp_path / "village.yaml").write_text(SPECIFICATION)
    (tmp_path / "list.txt").write_text(LIST)
    return tmp_path


def test_a_score_is_saved_with_a_backup_once_a_session(folder: Path) -> None:
    path = folder / "Prelude.musicxml"
    shelf = Shelf()
    document = open_document(path, shelf=shelf)
    document = apply(document, EDIT).document
    document = save_score(document, path, shelf)
    assert b"Sw. Oboe" in path.read_bytes()
    assert backup_path(path).read_text() == SCORE
    save_score(apply(document, EDIT).document, path, shelf)
    assert path.read_bytes().count(b"Sw. Oboe") == 2
    assert backup_path(path).read_text() == SCORE


def test_undo_after_a_save_can_be_saved_too(folder: Path) -> None:
    path = folder / "Prelude.musicxml"
    shelf = Shelf()
    before = open_document(path, shelf=shelf)
    save_score(apply(before, EDIT).document, path, shelf)
    save_score(before, path, shelf)
    assert path.read_text() == SCORE


def test_a_score_changed_by_another_program_is_not_overwritten_without_asking(folder: Path) -> None:
    path = folder / "Prelude.musicxml"
    shelf = Shelf()
    document = apply(open_document(path, shelf=shelf), EDIT).document
    path.write_text("theirs")
    with pytest.raises(WriteError, match="changed on the disc"):
        save_score(document, path, shelf)
    assert path.read_text() == "theirs"
    save_score(document, path, shelf, overwrite=True)
    assert b"Sw. Oboe" in path.read_bytes()


def test_saving_under_another_ending_packs_and_unpacks(folder: Path) -> None:
    shelf = Shelf()
    document = open_document(folder / "Prelude.musicxml", shelf=shelf)
    packed = save_score(document, folder / "Prelude & co.mxl", shelf)
    assert (folder / "Prelude & co.mxl").read_bytes()[:2] == b"PK"
    again = open_document(folder / "Prelude & co.mxl", shelf=shelf)
    assert again.source is not None
    assert again.source.xml.decode() == SCORE
    save_score(again, folder / "out.xml", shelf)
    assert (folder / "out.xml").read_text() == SCORE
    assert packed.source is not None
    assert packed.source.path == str(folder / "Prelude & co.mxl")


def test_notes_are_written_only_when_saved_and_only_if_there_are_any(folder: Path) -> None:
    score = folder / "Prelude.musicxml"
    shelf = Shelf()
    document = open_document(score, shelf=shelf)
    save_notes(document, shelf)
    assert not notes_path(score).exists()
    document = apply(document, SetKeyboard(organ="St Example", asked="swell", division="great")).document
    assert not notes_path(score).exists()
    save_notes(document, shelf)
    assert load_notes(score).notes == document.notes
    assert open_document(score, without_notes=True).notes == NO_NOTES
    assert open_document(score, notes=notes_path(score)).notes == document.notes
    with pytest.raises(WriteError, match="no file yet"):
        save_notes(Document(source=source_from_bytes(SCORE.encode()), notes=document.notes), shelf)


def test_pins_follow_the_marking_when_another_is_put_before_it(folder: Path) -> None:
    document = open_document(folder / "Prelude.musicxml")
    assert document.source is not None
    score = read_score(document.source)
    marking = score.texts[-1].id
    pin = PinStops(organ="St Example", marking=marking, request="Open Diapason 8", stops=("great/principal-4",))
    document = apply(document, pin, score).document
    done = apply(document, EDIT)
    assert done.score is not None
    pins = pins_on(done.document.notes, done.score, "St Example")
    ((named, chosen),) = pins.items()
    assert chosen == {"Open Diapason 8": ("great/principal-4",)}
    text = next(text for text in done.score.texts if text.id == named)
    assert text.text == "Gt. Open Diapason 8"
    undone = apply(document, PinStops(organ="St Example", marking=marking, request="Open Diapason 8", stops=None))
    assert undone.document.notes == NO_NOTES


def test_the_notes_organ_is_taken_where_none_is_named(folder: Path) -> None:
    notes_path(folder / "Prelude.musicxml").write_text("stopwright notes: 1\norgan: village.yaml\n")
    document = open_document(folder / "Prelude.musicxml")
    assert document.organ is not None
    assert document.organ.name == "St Example"
    assert open_document(folder / "Prelude.musicxml", without_notes=True).organ is None


def test_the_chosen_organ_is_noted_and_a_lost_one_does_not_keep_the_score_shut(folder: Path) -> None:
    (folder / "organs").mkdir()
    (folder / "village.yaml").rename(folder / "organs" / "village.yaml")
    score = folder / "Prelude.musicxml"
    save_notes(open_document(score, [folder / "organs" / "village.yaml"]), Shelf())
    assert load_notes(score).notes.organ == "organs/village.yaml"
    document = open_document(score)
    assert document.organ is not None
    (folder / "organs" / "village.yaml").unlink()
    lost = open_document(score)
    assert lost.organ is None
    assert lost.notes.organ == "organs/village.yaml"
    save_notes(lost, Shelf(), overwrite=True)
    assert load_notes(score).notes.organ == "organs/village.yaml"


def test_a_specification_is_changed_in_place_and_saved(folder: Path) -> None:
    path = folder / "village.yaml"
    shelf = Shelf()
    document = open_document(None, [path], shelf=shelf)
    edit = ChangeSpecification(organ=0, change=AddStop(division="great", stop="Fifteenth 2"))
    assert edit.name == "add Fifteenth 2 to the specification"
    document = apply(document, edit).document
    assert document.organ is not None
    assert [stop.name for stop in document.organ.divisions[0].stops] == [
        "Open Diapason",
        "Principal",
        "Fifteenth",
    ]
    save_organ(document, 0, path, shelf)
    assert "# the big one" in path.read_text()
    assert path.read_text().count("\n") == SPECIFICATION.count("\n") + 1
    assert backup_path(path).read_text() == SPECIFICATION


def test_a_stop_list_becomes_a_specification_with_its_first_change(folder: Path) -> None:
    document = open_document(None, [folder / "list.txt"])
    stop = document.organs[0].organ.divisions[0].stops[1].id
    changed = apply(document, ChangeSpecification(organ=0, change=RemoveStop(stop=stop))).document
    assert changed.organs[0].path is None
    assert changed.organs[0].text.count("specification: 1") == 1
    assert [len(d.stops) for d in changed.organs[0].organ.divisions] == [1, 1, 1]
    assert (folder / "list.txt").read_text() == LIST


def test_replacing_a_specification_checks_it(folder: Path) -> None:
    document = open_document(None, [folder / "village.yaml"])
    text = SPECIFICATION.replace("St Example", "St Other")
    changed = apply(document, ReplaceSpecification(organ=0, text=text, what="another name")).document
    assert changed.organ is not None
    assert changed.organ.name == "St Other"
    with pytest.raises(OrganError):
        apply(document, ReplaceSpecification(organ=0, text="divisions: ["))
    with pytest.raises(EditError, match="no such organ"):
        apply(document, ReplaceSpecification(organ=3, text=text))


def test_choosing_an_organ(folder: Path) -> None:
    document = open_document(None, [folder / "village.yaml", folder / "list.txt"])
    assert apply(document, ChooseOrgan(organ=1)).document.chosen == 1
    assert apply(document, ChooseOrgan(organ=None)).document.organ is None
    with pytest.raises(EditError, match="no such organ"):
        apply(document, ChooseOrgan(organ=2))
    with pytest.raises(EditError, match="no score"):
        apply(document, EDIT)
    assert open_organ(folder / "list.txt").organ.divisions
