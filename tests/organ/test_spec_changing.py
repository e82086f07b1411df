"""Divisions and stops moved, renamed and taken out: what names them follows, remarks and layout stay."""

from __future__ import annotations

from difflib import unified_diff
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import EditError
from core.organ.changes import (
    AddDivision,
    AddStop,
    ChangeDivision,
    ChangePart,
    ChangeStop,
    MoveDivision,
    MoveStop,
    RemoveDivision,
    RemoveStop,
)
from core.organ.changing import change_specification
from core.organ.following import followed
from core.organ.specification import read_specification

TEXT = """\
specification: 1
name: St Wenna, Nether Cobley   # invented
divisions:
  # the oldest part
  - name: Great
    stops:
      - Open Diapason 8   # 1850
      - Mixture III:
          C2: 19.22.26   # low
          C4: 12.15.19
      - Trumpet 8

  - name: Swell   # in the box
    enclosed: yes
    stops:
      - Gamba 8
      - Oboe 8: {loudness: 6}

  - {name: Choir, stops: [Flute 8, Dulciana 8]}
  - Pedal:
      - Bourdon 16
      - Bass Flute 8: {pipes of: Bourdon 16}
      - Trumpet 8: {pipes of: "Great: Trumpet 8"}
couplers:
  - Swell to Great   # the usual one
  - {from: swell, to: Pedal, pitch: 8}
  - Great to Pedal
  - Swell octave
  - {coupler: Choir to Great, text: Copula}
tremulants: [Swell]
aids:
  - {kind: divisional, division: Swell, count: 4}
  - Zimbelstern
"""


def lines_changed(before: str, after: str) -> tuple[list[str], list[str]]:
    diff = list(unified_diff(before.split("\n"), after.split("\n"), n=0, lineterm=""))[2:]
    return [x[1:] for x in diff if x.startswith("-")], [x[1:] for x in diff if x.startswith("+")]


def test_a_renamed_division_is_renamed_in_couplers_tremulants_and_aids():
    made = change_specification(TEXT, ChangeDivision(division="swell", entries=(("name", "Récit"),)))
    gone, come = lines_changed(TEXT, made)
    assert come == [
        "  - name: Récit   # in the box",
        "  - Récit to Great   # the usual one",
        "  - {from: Récit, to: Pedal, pitch: 8}",
        "  - Récit octave",
        "tremulants: [Récit]",
        "  - {kind: divisional, division: Récit, count: 4}",
    ]
    assert len(gone) == len(come)
    organ = read_specification(made, "x")
    assert next((c.source, c.target) for c in organ.couplers) == ("recit", "great")


def test_a_name_that_tells_no_role_keeps_the_role():
    made = change_specification(TEXT, ChangeDivision(division="swell", entries=(("name", "Kasten"),)))
    assert read_specification(made, "x").division("kasten").role == "swell"
    assert "couplers:\n  - Kasten to Great   # the usual one" in made


def test_a_renamed_stop_is_renamed_where_others_speak_from_its_pipes():
    made = change_specification(TEXT, ChangeStop(stop="great/trumpet-8", entries=(("name", "Posaune"),)))
    assert lines_changed(TEXT, made)[1] == ["      - Posaune 8", '      - Trumpet 8: {pipes of: "Great: Posaune 8"}']


def test_a_moved_stop_is_still_found_by_those_that_speak_from_its_pipes():
    made = change_specification(TEXT, MoveStop(stop="pedal/bourdon-16", division="great", after="great/trumpet-8"))
    organ = read_specification(made, "x")
    assert organ.stop("pedal/bass-flute-8").rank == "great/bourdon-16"


def test_pipes_that_others_speak_from_are_not_taken_away():
    with pytest.raises(EditError, match=r"Bass Flute 8 .Pedal. speaks from the pipes of Bourdon 16"):
        change_specification(TEXT, RemoveStop(stop="pedal/bourdon-16"))


def test_a_mixture_with_breaks_is_moved_with_its_rows_and_remarks():
    made = change_specification(TEXT, MoveStop(stop="great/mixture", division="pedal", after="pedal/bourdon-16"))
    assert "      - Mixture III:\n          C2: 19.22.26   # low\n          C4: 12.15.19\n      - Bass Flute" in made
    into_line = change_specification(TEXT, MoveStop(stop="great/mixture", division="choir"))
    choir = read_specification(into_line, "x").division("choir")
    assert [s.name for s in choir.stops] == ["Mixture", "Flute", "Dulciana"]
    assert [len(s.composition) for s in choir.stops] == [2, 0, 0]


def test_a_stop_keeps_the_remark_on_its_line_when_it_is_moved():
    made = change_specification(TEXT, MoveStop(stop="great/open-diapason-8", division="swell", after="swell/gamba-8"))
    assert "      - Gamba 8\n      - Open Diapason 8   # 1850\n" in made


def test_a_division_goes_with_the_remark_above_it():
    made = change_specification(TEXT, MoveDivision(division="great", after="swell"))
    organ = read_specification(made, "x")
    assert [d.name for d in organ.divisions] == ["Swell", "Great", "Choir", "Pedal"]
    assert "  # the oldest part\n  - name: Great\n" in made
    assert sorted(made.split("\n")) == sorted(TEXT.split("\n"))
    assert change_specification(made, MoveDivision(division="great")) == TEXT


def test_a_division_that_is_taken_out_takes_its_couplers_and_aids_with_it():
    made = change_specification(TEXT, RemoveDivision(division="swell"))
    organ = read_specification(made, "x")
    assert [d.name for d in organ.divisions] == ["Great", "Choir", "Pedal"]
    assert [c.text for c in organ.couplers] == ["Great to Pedal", "Copula"]
    assert not organ.tremulants
    assert [a.text for a in organ.aids] == ["Zimbelstern"]


def test_the_last_division_stays():
    text = "specification: 1\nname: x\ndivisions:\n  - Great: [Flute 8]\n"
    with pytest.raises(EditError, match="at least one division"):
        change_specification(text, RemoveDivision(division="great"))


def test_a_division_is_added_with_its_stops_on_lines_of_their_own():
    entries = (("keyboard", "manual 3"), ("enclosed", "yes"))
    made = change_specification(TEXT, AddDivision(name="Solo", entries=entries, after="swell"))
    made = change_specification(made, AddStop(division="solo", stop="Tuba 8"))
    made = change_specification(made, AddStop(division="solo", stop="Clarinet 8"))
    assert lines_changed(TEXT, made) == (
        [],
        [
            "  - name: Solo",
            "    keyboard: manual 3",
            "    enclosed: yes",
            "    stops:",
            "      - Tuba 8",
            "      - Clarinet 8",
        ],
    )


def test_a_coupler_is_changed_in_its_place():
    made = change_specification(TEXT, ChangePart(section="couplers", index=0, entry="Swell to Great 4"))
    assert lines_changed(TEXT, made)[1] == ["  - Swell to Great 4   # the usual one"]


def test_several_entries_are_changed_at_once_however_the_stop_is_written():
    text = TEXT.replace("      - Trumpet 8\n\n", "      - stop: Trumpet 8\n        loudness: 9\n\n")
    entries = (("name", "Tromba"), ("remark", "loud"), ("borrowed", "no"), ("loudness", None))
    stop = read_specification(
        change_specification(text, ChangeStop(stop="great/trumpet-8", entries=entries)), "x"
    ).stop("great/tromba-8")
    assert (stop.remark, stop.borrowed) == ("loud", "no")


SAMPLES = sorted((Path(__file__).parent.parent.parent / "sample_specs").glob("*.yaml"))


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_stops_moved_about_are_the_same_stops_and_lose_no_line(data):
    text = data.draw(st.sampled_from([TEXT, *(path.read_text(encoding="utf-8") for path in SAMPLES)]))
    organ = read_specification(text, "x")
    stop = data.draw(st.sampled_from([s for d in organ.divisions for s in d.stops]))
    division = data.draw(st.sampled_from(organ.divisions))
    after = data.draw(st.sampled_from([None, *(s.id for s in division.stops if s.id != stop.id)]))
    change = MoveStop(stop=stop.id, division=division.id, after=after)
    made = read_specification(change_specification(text, change), "x")
    ids = followed(organ, made, change)
    names = [s.name for d in organ.divisions for s in d.stops]
    assert sorted(names) == sorted(s.name for d in made.divisions for s in d.stops)
    for old, new in ids.items():
        assert new is not None
        if "/" in old:
            assert (made.stop(new).name, made.stop(new).pitch) == (organ.stop(old).name, organ.stop(old).pitch)
            rank = organ.stop(old).rank
            assert made.stop(new).rank == (ids.get(rank) or rank)
    moved = [s.id for s in made.division(division.id).stops]
    at = moved.index(ids[stop.id] or "")
    assert at == (moved.index(ids[after] or "") + 1 if after else 0)


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_divisions_moved_about_keep_every_line(data):
    text = data.draw(st.sampled_from([TEXT, *(path.read_text(encoding="utf-8") for path in SAMPLES)]))
    organ = read_specification(text, "x")
    ids = [d.id for d in organ.divisions]
    one = data.draw(st.sampled_from(ids))
    after = data.draw(st.sampled_from([None, *(i for i in ids if i != one)]))
    made = change_specification(text, MoveDivision(division=one, after=after))
    assert sorted(made.split("\n")) == sorted(text.split("\n"))
    moved = [d.id for d in read_specification(made, "x").divisions]
    assert moved.index(one) == (moved.index(after) + 1 if after else 0)
