"""Edits of a score's bytes: in each odd file only the edit's own lines differ; it is read where asked."""

from __future__ import annotations

import dataclasses
import difflib
import io
import re
import zipfile
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from musicxml_schema import is_valid
from odd_scores import DOCTYPE, HEAD, archive, direction, note, odd_files, plain

from core.document import Document
from core.edits import AddBracket, AddMarking, ChangeMarking, DeleteBracket, DeleteMarking, MoveMarking, apply
from core.errors import EditError, WriteError
from core.score.outline import read_outline, read_outline_exactly
from core.score.ranges import read_node, record_text
from core.score.reading import read_score
from core.score.rewriting import share_out
from core.score.source import Source, source_from_bytes
from core.score.writing import file_bytes

ODD = odd_files()
TEXT = "Sw. Oboe & Récit 2⅔′ <solo>"


def opened(data: bytes) -> Document:
    return Document(source=source_from_bytes(data, "Prelude.musicxml"))


def source_of(document: Document) -> Source:
    assert document.source is not None
    return document.source


def organ_part(source: Source) -> int:
    return next(i for i, part in enumerate(read_score(source).parts) if part.staves == 3)


def changed_lines(before: bytes, after: bytes) -> tuple[list[str], list[str]]:
    """Lines taken out and put in, of the score's text."""
    old, new = (record_text(xml).text.decode().splitlines() for xml in (before, after))
    diff = [line for line in difflib.ndiff(old, new) if line[:2] in ("- ", "+ ")]
    return [line[2:] for line in diff if line[0] == "-"], [line[2:] for line in diff if line[0] == "+"]


def test_the_schema_refuses_what_is_wrong() -> None:
    assert is_valid(plain().encode())
    assert not is_valid(plain().replace("<staves>", "<stave>").replace("</staves>", "</stave>").encode())


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize(
    ("bar", "staff", "time"), [(0, 1, 0), (1, 2, 2), (1, 3, 0), (2, 1, 3), (2, 3, 2), (1, 2, 1), (0, 3, 3)]
)
def test_an_added_marking_changes_only_its_own_lines(name: str, bar: int, staff: int, time: int) -> None:
    document = opened(ODD[name])
    source = source_of(document)
    before = read_score(source)
    part = organ_part(source)
    edit = AddMarking(part=part, bar=bar, staff=staff, in_bar=time * before.ticks, text=TEXT)
    done = apply(document, edit)
    new = source_of(done.document)
    after = read_score(new)
    assert after.notes == before.notes
    assert after.bars == before.bars
    added = [text for text in after.texts if text.text == TEXT]
    assert [(t.part, t.bar, t.staff, t.id.in_bar, t.placement) for t in added] == [
        (part, bar, staff, time * before.ticks, "above")
    ]
    assert done.made == added[0].id
    assert len(after.texts) == len(before.texts) + 1
    taken, put = changed_lines(source.xml, new.xml)
    if "\n" in record_text(source.xml).text.decode().strip().replace("\r", "\n"):
        assert not taken
        assert 6 <= len(put) <= 7
    old, text = record_text(source.xml).text, record_text(new.xml).text
    assert _without_one_stretch(old, text)
    if is_valid_or_prefixed(source.xml):
        assert is_valid_or_prefixed(new.xml)


def _without_one_stretch(old: bytes, new: bytes) -> bool:
    """Whether the old text is the new one less one stretch."""
    start = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), len(old))
    return new[len(new) - (len(old) - start) :] == old[start:]


def is_valid_or_prefixed(xml: bytes) -> bool:
    text = record_text(xml).text
    if b"UTF-16" in text[:60]:
        text = text.replace(b"UTF-16", b"UTF-8", 1)
    elif (declared := text.find(b"?>")) > 0:
        text = text[declared + 2 :]
    return is_valid(text.strip())


@pytest.mark.parametrize("name", [name for name in ODD if name.startswith("mxl")])
def test_only_the_scores_member_of_an_archive_changes(name: str) -> None:
    document = opened(ODD[name])
    new = source_of(apply(document, AddMarking(part=0, bar=1, staff=1, in_bar=0, text=TEXT)).document)
    old_zip, new_zip = (zipfile.ZipFile(io.BytesIO(data)) for data in (ODD[name], new.data))
    assert new_zip.testzip() is None
    assert new_zip.comment == old_zip.comment
    assert new_zip.namelist() == old_zip.namelist()
    for old_info, new_info in zip(old_zip.infolist(), new_zip.infolist(), strict=True):
        for field in ("date_time", "compress_type", "comment", "extra", "external_attr", "create_version"):
            assert getattr(old_info, field) == getattr(new_info, field)
        if old_info.filename != source_of(document).member:
            assert _raw(ODD[name], old_info) == _raw(new.data, new_info)
    assert source_from_bytes(new.data).xml == new.xml


def _raw(data: bytes, info: zipfile.ZipInfo) -> bytes:
    """A member's whole entry as it stands in the archive, to its end as far as the directory tells it."""
    start = info.header_offset
    names = int.from_bytes(data[start + 26 : start + 28], "little")
    extra = int.from_bytes(data[start + 28 : start + 30], "little")
    return data[start : start + 30 + names + extra + info.compress_size]


def test_a_missing_sign_of_the_encoding_becomes_a_reference() -> None:
    new = source_of(apply(opened(ODD["ascii"]), AddMarking(part=0, bar=0, staff=1, in_bar=0, text="8′")).document)
    assert b"<words>8&#8242;</words>" in new.xml


@given(st.sampled_from(["plain", "utf-16", "ascii", "latin-1", "windows-1252", "crlf"]), st.text(max_size=40))
def test_any_text_is_written_so_that_it_is_read_again(name: str, text: str) -> None:
    document = opened(ODD[name])
    edit = AddMarking(part=0, bar=1, staff=2, in_bar=0, text=text)
    if not text.strip() or re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", text.strip()):
        with pytest.raises(EditError, match=r"needs a text|no score file can hold"):
            apply(document, edit)
        return
    new = source_of(apply(document, edit).document)
    root = etree.fromstring(record_text(new.xml).text.split(b"?>", 1)[1])
    said = [words.text for words in root.iter("words")][-1]
    assert said == text.replace("\r\n", "\n").replace("\r", "\n").strip()


def test_a_change_keeps_the_other_runs_and_every_attribute() -> None:
    runs = (
        '<words font-size="12" default-y="30">Gr</words><words font-size="6">d</words>'
        "<words xml:space='preserve'> Orgue</words>"
    )
    text = f"<direction><direction-type>{runs}</direction-type><staff>1</staff></direction>"
    document = opened(plain(text=text).encode())
    marking = read_score(source_of(document)).texts[-1]
    assert marking.text == "Grd Orgue"
    new = source_of(apply(document, ChangeMarking(marking=marking.id, text="Grd Orgue, Fonds 8")).document)
    assert new.xml == source_of(document).xml.replace(b" Orgue<", b" Orgue, Fonds 8<")
    new = source_of(apply(document, ChangeMarking(marking=marking.id, text="Gd Orgue")).document)
    assert new.xml == source_of(document).xml.replace(b">Gr<", b">G<")


def test_a_sign_between_two_runs_and_hidden_words_stay_where_they_are() -> None:
    types = (
        "<direction-type><words>Sw.</words></direction-type>"
        "<direction-type><dynamics><p/></dynamics></direction-type>"
        "<direction-type><words>Oboe</words></direction-type>"
        '<direction-type><words print-object="no">playback</words></direction-type>'
    )
    document = opened(plain(text=f"<direction>{types}<staff>1</staff></direction>").encode())
    marking = read_score(source_of(document)).texts[-1]
    assert marking.text == "Sw. Oboe"
    new = source_of(apply(document, ChangeMarking(marking=marking.id, text="Sw. Oboe 8")).document)
    assert new.xml == source_of(document).xml.replace(b"<words>Oboe<", b"<words>Oboe 8<")
    new = source_of(apply(document, ChangeMarking(marking=marking.id, text="Ch. Flute 4")).document)
    assert read_score(new).texts[-1].text == "Ch. Flute 4"
    assert b"<dynamics><p/></dynamics>" in new.xml
    new = source_of(apply(document, DeleteMarking(marking=marking.id)).document)
    assert b"<dynamics><p/></dynamics>" in new.xml
    assert b"playback" in new.xml
    assert b"Oboe" not in new.xml


def test_a_private_glyph_in_a_run_that_does_not_change_stays_one() -> None:
    runs = "<words>\ue522</words><words> Sw. Oboe</words>"
    text = f"<direction><direction-type>{runs}</direction-type><staff>1</staff></direction>"
    document = opened(plain(text=text).encode())
    marking = read_score(source_of(document)).texts[-1]
    assert marking.text == "f Sw. Oboe"
    new = source_of(apply(document, ChangeMarking(marking=marking.id, text="f Sw. Cornopean")).document)
    assert "<words>\ue522</words><words> Sw. Cornopean</words>" in new.xml.decode()


@pytest.mark.parametrize("kind", ["rehearsal", "other-direction"])
def test_texts_that_are_no_words_can_be_edited_too(kind: str) -> None:
    inner = f"<direction-type><{kind}>Sw. Oboe</{kind}></direction-type>"
    document = opened(plain(text=f"<direction>{inner}<staff>1</staff></direction>").encode())
    marking = next(t for t in read_score(source_of(document)).texts if t.text == "Sw. Oboe")
    done = apply(document, ChangeMarking(marking=marking.id, text="Gt. 8"))
    assert source_of(done.document).xml == source_of(document).xml.replace(b"Sw. Oboe", b"Gt. 8")
    assert source_of(apply(document, DeleteMarking(marking=marking.id)).document).data == plain().encode()


def test_a_line_of_the_title_block_can_be_changed_and_deleted() -> None:
    credit = '  <credit page="1">\n    <credit-words>Prepare: Sw. Oboe</credit-words>\n  </credit>\n'
    document = opened(plain().replace("  <part-list>", f"{credit}  <part-list>").encode())
    marking = next(t for t in read_score(source_of(document)).texts if "Oboe" in t.text)
    done = apply(document, ChangeMarking(marking=marking.id, text="Prepare: Sw. Cornopean"))
    assert source_of(done.document).xml == source_of(document).xml.replace(b"Oboe", b"Cornopean")
    assert is_valid(source_of(done.document).xml)
    assert source_of(apply(document, DeleteMarking(marking=marking.id)).document).data == plain().encode()
    with pytest.raises(EditError, match="title block cannot be moved"):
        apply(document, MoveMarking(marking=marking.id, bar=1, staff=1, in_bar=0))


def test_a_part_name_is_not_edited() -> None:
    document = opened(plain().replace(">Organ<", ">Organ: Swell Oboe 8<").encode())
    marking = read_score(source_of(document)).texts[0]
    with pytest.raises(EditError, match="not edited here"):
        apply(document, ChangeMarking(marking=marking.id, text="x"))


def test_footnotes_of_directions_keep_their_names_when_one_is_put_before_them() -> None:
    level = "<footnote>1) soft</footnote>"
    inner = f"<direction-type><words>Sw. Oboe</words></direction-type>{level}<staff>1</staff>"
    document = opened(plain(second=f"<direction>{inner}</direction>").encode())
    before = read_score(source_of(document))
    assert {text.text for text in before.texts} == {"Sw. Oboe", "1) soft"}
    done = apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=0, text="Gt."))
    assert done.renamed == {}
    assert done.score is not None
    assert {text.id for text in before.texts} < {text.id for text in done.score.texts}


def test_a_score_converted_from_another_format_is_saved_under_musicxmls_endings_only() -> None:
    source = dataclasses.replace(source_from_bytes(ODD["plain"], "tune.abc"), data=b"X:1", converted_from="ABC")
    document = Document(source=source)
    new = source_of(apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=0, text="Gt.")).document)
    assert new.data == b"X:1"
    assert b"Gt." in file_bytes(new, "tune.musicxml")
    assert file_bytes(new, "tune.mxl").startswith(b"PK")
    with pytest.raises(WriteError, match="converted from ABC"):
        file_bytes(new, "tune.abc")


def test_a_change_of_words_in_an_empty_tag_entity_and_cdata() -> None:
    for name, old in (("entities", "Sw. Oboe &amp8; Fl."), ("cdata", "Sw. <Oboe> & Fl.")):
        document = opened(ODD[name])
        score = read_score(source_of(document))
        marking = next(text for text in score.texts if "Oboe" in text.text)
        assert marking.text == old
        done = apply(document, ChangeMarking(marking=marking.id, text="Ch. Dulciana & Flute 4"))
        assert "Ch. Dulciana & Flute 4" in [t.text for t in read_score(source_of(done.document)).texts]


def test_deleting_leaves_no_empty_line_and_keeps_what_else_the_direction_holds() -> None:
    document = opened(plain(text=direction("Sw. Oboe", 1)).encode())
    marking = read_score(source_of(document)).texts[-1]
    done = apply(document, DeleteMarking(marking=marking.id))
    assert source_of(done.document).data == plain().encode()
    assert done.renamed == {marking.id: None}
    both = direction("Sw. Oboe", 1).replace(
        "</direction-type>", "</direction-type><direction-type><dynamics><p/></dynamics></direction-type>"
    )
    document = opened(plain(text=both).encode())
    done = apply(document, DeleteMarking(marking=read_score(source_of(document)).texts[-1].id))
    left = source_of(done.document).xml
    assert b"<dynamics><p/></dynamics>" in left
    assert b"words" not in left
    assert is_valid(left)


def test_deleting_a_text_keeps_its_tempo() -> None:
    text = direction("Andante", 1).replace("</direction>", '<sound tempo="72"/></direction>')
    document = opened(plain(text=text).encode())
    done = apply(document, DeleteMarking(marking=read_score(source_of(document)).texts[-1].id))
    left = source_of(done.document).xml
    assert b'<sound tempo="72"/>' in left
    assert b"<direction" not in left
    assert is_valid(left)
    (tempo,) = read_score(source_of(done.document)).tempos
    assert tempo == read_score(source_of(document)).tempos[0]._replace(text="")


@pytest.mark.parametrize(("bar", "staff", "time"), [(0, 3, 2), (2, 1, 1), (1, 2, 0), (0, 1, 0)])
def test_a_moved_marking_keeps_its_looks(bar: int, staff: int, time: int) -> None:
    text = '<words font-style="italic" default-x="3" default-y="22">Sw. Oboe</words>'
    text = f'<direction placement="below"><direction-type>{text}</direction-type><staff>2</staff></direction>'
    document = opened(plain(text=text, second=direction("Gt.", 1)).encode())
    score = read_score(source_of(document))
    marking = next(text for text in score.texts if text.text == "Sw. Oboe")
    done = apply(document, MoveMarking(marking=marking.id, bar=bar, staff=staff, in_bar=time * score.ticks))
    after = read_score(source_of(done.document))
    moved = next(text for text in after.texts if text.text == "Sw. Oboe")
    assert (moved.bar, moved.staff, moved.id.in_bar, moved.placement) == (
        bar,
        staff,
        time * score.ticks,
        "below",
    )
    assert done.made == moved.id
    xml = source_of(done.document).xml
    assert b'<words font-style="italic" default-y="22">Sw. Oboe</words>' in xml
    assert xml.count(b"Sw. Oboe") == 1
    assert is_valid(xml)
    assert after.notes == score.notes


def test_brackets_come_and_go() -> None:
    document = opened(ODD["crlf"])
    ticks = read_score(source_of(document)).ticks
    first = AddBracket(part=0, staff=1, bar=0, in_bar=ticks, end_bar=2, end_in_bar=2 * ticks)
    second = AddBracket(part=0, staff=2, bar=1, in_bar=0, end_bar=1, end_in_bar=4 * ticks)
    one = apply(document, first).document
    two = apply(one, second).document
    xml = source_of(two).xml
    assert is_valid(xml)
    assert b'number="1"' in xml
    assert b'number="2"' in xml
    lines = {(b.staff, b.onset, b.end) for b in read_score(source_of(two)).brackets}
    assert lines == {(1, ticks, 10 * ticks), (2, 4 * ticks, 8 * ticks)}
    gone = apply(two, DeleteBracket(part=0, staff=2, bar=1, in_bar=0)).document
    assert source_of(gone).data == source_of(one).data
    gone = apply(gone, DeleteBracket(part=0, staff=1, bar=0, in_bar=ticks)).document
    assert source_of(gone).data == ODD["crlf"]
    with pytest.raises(EditError, match="no bracket begins"):
        apply(gone, DeleteBracket(part=0, staff=1, bar=0, in_bar=ticks))


def test_divisions_that_change_in_a_bar_and_places_between_steps() -> None:
    late = "<attributes><divisions>6</divisions></attributes>"
    measure = (
        f'<measure number="1"><attributes><divisions>2</divisions></attributes>'
        f"<note><rest/><duration>4</duration></note>{late}<note><rest/><duration>12</duration></note></measure>"
    )
    parts = '<part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>'
    pitched = f'<measure number="2">{note("C", 4, 24, 1, 1)}</measure>'
    xml = f'{HEAD}{DOCTYPE}<score-partwise>{parts}<part id="P1">{measure}{pitched}</part></score-partwise>'
    document = opened(xml.encode())
    score = read_score(source_of(document))
    third = Fraction(score.ticks, 3)
    assert third.denominator == 1
    add = AddMarking(part=0, bar=1, staff=1, in_bar=third.numerator, text="Gt.")
    done = apply(document, add)
    assert b"<offset>2</offset>" in source_of(done.document).xml
    with pytest.raises(EditError, match="changes its divisions"):
        apply(document, AddMarking(part=0, bar=0, staff=1, in_bar=third.numerator, text="Gt."))


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (AddMarking(part=9, bar=0, staff=1, in_bar=0, text="x"), "no such part"),
        (AddMarking(part=0, bar=9, staff=1, in_bar=0, text="x"), "no such bar"),
        (AddMarking(part=0, bar=0, staff=4, in_bar=0, text="x"), "no staff 4"),
        (AddMarking(part=0, bar=0, staff=1, in_bar=10_000, text="x"), "not as long"),
        (AddMarking(part=0, bar=0, staff=1, in_bar=16, text="x"), "ends here"),
        (AddMarking(part=0, bar=0, staff=1, in_bar=0, text=" \n"), "needs a text"),
        (AddMarking(part=0, bar=0, staff=1, in_bar=0, text="a\x01b"), "no score file can hold"),
        (AddBracket(part=0, staff=1, bar=1, in_bar=0, end_bar=1, end_in_bar=0), "must end after"),
    ],
)
def test_edits_that_do_not_fit_are_one_sentence(edit: AddMarking, sentence: str) -> None:
    with pytest.raises(EditError, match=sentence):
        apply(opened(ODD["plain"]), edit)


def test_a_bar_without_anything_and_an_empty_measure() -> None:
    for empty in ('<measure number="2"/>', '<measure number="2"></measure>', '<measure number="2" />'):
        start = plain()
        at, end = start.index('    <measure number="2">'), start.index('    <measure number="3">')
        document = opened((start[:at] + f"    {empty}\n" + start[end:]).encode())
        score = read_score(source_of(document))
        done = apply(document, AddMarking(part=0, bar=1, staff=2, in_bar=0, text="Ch. Flute 4"))
        made = read_score(source_of(done.document)).texts[-1]
        assert (made.bar, made.staff, made.id.in_bar, made.text) == (1, 2, 0, "Ch. Flute 4")
        assert is_valid(source_of(done.document).xml)
        assert score.notes == read_score(source_of(done.document)).notes


def test_elements_out_of_an_entity_are_left_alone() -> None:
    text = b'<!DOCTYPE r [<!ENTITY d "<direction/>">]><r><part id="P"><measure>&d;<direction/></measure></part></r>'
    outline = read_outline(text)
    assert [element.start >= 0 for element in outline.directions] == [False, True]
    with pytest.raises(EditError, match="comes out of an entity"):
        read_node(text, outline, outline.directions[0].start, outline.directions[0].end)


@pytest.mark.parametrize("name", ODD)
def test_both_ways_to_an_outline_agree(name: str) -> None:
    text = record_text(source_from_bytes(ODD[name]).xml).text
    assert read_outline(text) == read_outline_exactly(text)


def test_an_encoding_that_does_not_come_back_is_read_only() -> None:
    text = plain(head=HEAD.replace("UTF-8", "utf-7"), text=direction("x+AAA", 1)).encode()
    with pytest.raises(EditError, match="read here, but not edited"):
        record_text(text.replace(b"utf-7", b"no-such-thing"))


def test_an_archive_with_junk_before_it_keeps_its_offsets() -> None:
    data = b"#!/junk before it\n" + archive(plain().encode())
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        names = packed.namelist()
    from core.score.packing import replace_member

    new = replace_member(data, "score/Prélude.xml", b"<score-partwise/>" * 400)
    with zipfile.ZipFile(io.BytesIO(new)) as packed:
        assert packed.namelist() == names
        assert packed.testzip() is None
        assert packed.read("score/Prélude.xml") == b"<score-partwise/>" * 400


@given(st.lists(st.text("ab ", max_size=4), min_size=1, max_size=5), st.text("ab ", max_size=12))
def test_a_text_shared_out_among_runs_is_the_text(runs: list[str], text: str) -> None:
    shared = share_out(runs, text)
    assert "".join(shared) == text
    assert len(shared) == len(runs)
    assert share_out(runs, "".join(runs)) == runs


def test_a_moved_text_leaves_its_dynamic_and_its_direction_behind() -> None:
    types = (
        "<direction-type><words>Sw. Oboe</words></direction-type>"
        "<direction-type><dynamics><p/></dynamics></direction-type>"
    )
    document = opened(plain(text=f'<direction id="d1">{types}<staff>1</staff></direction>').encode())
    marking = read_score(source_of(document)).texts[-1]
    xml = source_of(apply(document, MoveMarking(marking=marking.id, bar=2, staff=3, in_bar=0)).document).xml
    assert is_valid(xml)
    assert xml.count(b'id="d1"') == 1
    assert xml.index(b"<p/>") < xml.index(b"Sw. Oboe")


def test_words_that_an_entity_brings_are_not_edited() -> None:
    whole = direction("Gt. 8", 1, attributes="")
    doctype = f'{DOCTYPE[:-1]} [<!ENTITY sw "<words>Sw. Oboe</words>"><!ENTITY great "{whole}">]>'
    text = "<direction><direction-type>&sw;</direction-type><staff>1</staff></direction>"
    document = opened(plain(doctype=doctype, text=text, second="&great;").encode())
    marking = next(t for t in read_score(source_of(document)).texts if t.text == "Sw. Oboe")
    with pytest.raises(EditError, match="come out of an entity"):
        apply(document, ChangeMarking(marking=marking.id, text="Ch."))
    other = next(t for t in read_score(source_of(document)).texts if t.text == "Gt. 8")
    with pytest.raises(EditError, match="comes out of an entity"):
        apply(document, DeleteMarking(marking=other.id))
    gone = source_of(apply(document, DeleteMarking(marking=marking.id)).document)
    assert "Sw. Oboe" not in [t.text for t in read_score(gone).texts]


def test_words_in_an_empty_tag_and_old_line_ends() -> None:
    runs = '<words>Sw.</words><words font-size="6" /><words> Oboe</words>'
    text = f"<direction><direction-type>{runs}</direction-type><staff>1</staff></direction>"
    document = opened(plain(text=text).replace("\n", "\r").encode())
    marking = read_score(source_of(document)).texts[-1]
    new = source_of(apply(document, ChangeMarking(marking=marking.id, text="Sw.\n8 Oboe")).document)
    assert read_score(new).texts[-1].text == "Sw.\n8 Oboe"
    assert b"\n" not in new.xml
    assert is_valid(new.xml)


def test_a_picture_in_the_title_block_is_not_deleted_with_its_text() -> None:
    credit = '<credit><credit-image source="a.png" type="image/png"/><credit-words>Sw. Oboe</credit-words></credit>'
    document = opened(plain().replace("  <part-list>", f"{credit}  <part-list>").encode())
    marking = next(t for t in read_score(source_of(document)).texts if "Oboe" in t.text)
    with pytest.raises(EditError, match="picture"):
        apply(document, DeleteMarking(marking=marking.id))
