"""Changes to a specification's text: the lines that are meant change, all others keep every character."""

from dataclasses import replace
from difflib import unified_diff
from pathlib import Path

import pytest

from core.errors import EditError
from core.organ.changes import (
    AddPart,
    AddStop,
    ChangeDivision,
    ChangeOrgan,
    ChangeStop,
    MoveStop,
    RemovePart,
    RemoveStop,
)
from core.organ.changing import change_specification
from core.organ.specification import read_specification

TEXT = """\
# Our organ
specification: 1
name:   St Wenna     # with odd spaces
divisions:
  - Great:           # the great
      - Open Diapason 8   # 1850
      # a remark of its own
      - "Dulciana 8"
      - Oboe 8: {loudness: 6,  enclosed: no}  # loud
      - Mixture III: 19.22.26
      - Fourniture III:
          C2: 19.22.26   # low
          C4: 12.15.19
  - name: Swell
    stops: [Gamba 8,   "Flute 4"]   # in one line

  - {name: Pedal, stops: [Bourdon 16]}
couplers:
  - Swell to Great   # coupler
aids: []
# the end
"""

CASES = [
    (AddStop(division="great", stop="Flute 4", after="great/open-diapason-8"), [], ["      - Flute 4"]),
    (
        AddStop(division="great", stop="Flute 4", options=(("loudness", "3"),)),
        [],
        ["      - Flute 4: {loudness: 3}"],
    ),
    (
        AddStop(division="swell", stop="Oboe 8"),
        ['    stops: [Gamba 8,   "Flute 4"]   # in one line'],
        ['    stops: [Gamba 8,   "Flute 4", Oboe 8]   # in one line'],
    ),
    (RemoveStop(stop="great/open-diapason-8"), ["      - Open Diapason 8   # 1850"], []),
    (
        RemoveStop(stop="swell/gamba-8"),
        ['    stops: [Gamba 8,   "Flute 4"]   # in one line'],
        ['    stops: ["Flute 4"]   # in one line'],
    ),
    (
        RemoveStop(stop="pedal/bourdon-16"),
        ["  - {name: Pedal, stops: [Bourdon 16]}"],
        ["  - {name: Pedal, stops: []}"],
    ),
    (
        ChangeStop(stop="great/open-diapason-8", entries=(("name", "Principal"),)),
        ["      - Open Diapason 8   # 1850"],
        ["      - Principal 8   # 1850"],
    ),
    (
        ChangeStop(stop="great/open-diapason-8", entries=(("pitch", "4"), ("from", "C3"))),
        ["      - Open Diapason 8   # 1850"],
        ["      - Open Diapason 4 (from C3)   # 1850"],
    ),
    (
        ChangeStop(stop="great/dulciana-8", entries=(("family", "string"),)),
        ['      - "Dulciana 8"'],
        ['      - "Dulciana 8": {family: string}'],
    ),
    (
        ChangeStop(stop="great/oboe-8", entries=(("loudness", "7"),)),
        ["      - Oboe 8: {loudness: 6,  enclosed: no}  # loud"],
        ["      - Oboe 8: {loudness: 7,  enclosed: no}  # loud"],
    ),
    (
        ChangeStop(stop="great/oboe-8", entries=(("enclosed", None),)),
        ["      - Oboe 8: {loudness: 6,  enclosed: no}  # loud"],
        ["      - Oboe 8: {loudness: 6}  # loud"],
    ),
    (
        ChangeStop(stop="great/mixture", entries=(("loudness", "8"),)),
        ["      - Mixture III: 19.22.26"],
        ["      - Mixture III: {composition: 19.22.26, loudness: 8}"],
    ),
    (
        ChangeStop(stop="great/fourniture", entries=(("loudness", "8"),)),
        ["          C2: 19.22.26   # low", "          C4: 12.15.19"],
        [
            "          loudness: 8",
            "          composition:",
            "            C2: 19.22.26   # low",
            "            C4: 12.15.19",
        ],
    ),
    (MoveStop(stop="great/dulciana-8", division="great"), ['      - "Dulciana 8"'], ['      - "Dulciana 8"']),
    (
        ChangeDivision(division="great", entries=(("enclosed", "yes"),)),
        ["  - Great:           # the great"],
        ["  - name: Great", "    enclosed: yes", "    stops:           # the great"],
    ),
    (ChangeDivision(division="swell", entries=(("compass", "C2-C7"),)), [], ["    compass: C2-C7"]),
    (
        ChangeOrgan(entries=(("name", "St Winnow"),)),
        ["name:   St Wenna     # with odd spaces"],
        ["name:   St Winnow     # with odd spaces"],
    ),
    (AddPart(section="couplers", entry="Swell to Great 4"), [], ["  - Swell to Great 4"]),
    (AddPart(section="aids", entry="{kind: tutti}"), ["aids: []"], ["aids: [{kind: tutti}]"]),
    (AddPart(section="tremulants", entry="Swell"), [], ["tremulants: [Swell]"]),
    (
        RemovePart(section="couplers", index=0),
        ["couplers:", "  - Swell to Great   # coupler"],
        ["couplers: []"],
    ),
]


def lines_changed(before, after):
    diff = [line for line in unified_diff(before.split("\n"), after.split("\n"), n=0, lineterm="")][2:]
    gone = [line[1:] for line in diff if line.startswith("-")]
    come = [line[1:] for line in diff if line.startswith("+")]
    return gone, come


@pytest.mark.parametrize(("change", "gone", "come"), CASES, ids=lambda value: type(value).__name__)
def test_a_change_changes_its_own_lines_alone(change, gone, come):
    assert lines_changed(TEXT, change_specification(TEXT, change)) == (gone, come)


@pytest.mark.parametrize(("change", "gone", "come"), CASES, ids=lambda value: type(value).__name__)
def test_windows_line_ends_stay(change, gone, come):
    made = change_specification(TEXT.replace("\n", "\r\n"), change)
    assert made.replace("\r\n", "\n") == change_specification(TEXT, change)
    assert "\n" not in made.replace("\r\n", "")


def test_a_stop_added_and_removed_again_leaves_the_same_text():
    added = change_specification(TEXT, AddStop(division="great", stop="Clarion 4", after="great/oboe-8"))
    assert read_specification(added, "x").stop("great/clarion-4").pitch == 4
    assert change_specification(added, RemoveStop(stop="great/clarion-4")) == TEXT


def test_a_text_without_a_last_line_end():
    text = TEXT.removesuffix("# the end\n").removesuffix("\n")
    made = change_specification(text, AddPart(section="tremulants", entry="Swell"))
    assert made == text + "\ntremulants: [Swell]"


@pytest.mark.parametrize(
    "change",
    [
        RemoveStop(stop="great/tuba-8"),
        AddStop(division="solo", stop="Tuba 8"),
        AddStop(division="great", stop="Tuba"),
        ChangeStop(stop="great/oboe-8", entries=(("loudness", "99"),)),
        ChangeStop(stop="great/dulciana-8", entries=(("pitch", "3"),)),
        RemovePart(section="couplers", index=5),
        AddPart(section="couplers", entry="Choir to Great"),
    ],
)
def test_what_does_not_fit_is_refused_with_a_sentence(change):
    with pytest.raises(EditError) as caught:
        change_specification(TEXT, change)
    assert len(str(caught.value)) > 20


SAMPLES = sorted((Path(__file__).parent.parent.parent / "sample_specs").glob("*.yaml"))


def others(organ, *but):
    """All stops but some, as they are without lines and ids."""
    return [replace(stop, lines=(), id="", rank="") for d in organ.divisions for stop in d.stops if stop.id not in but]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_stops_of_the_sample_organs_can_be_changed_alone(path):
    text = path.read_text(encoding="utf-8")
    before = read_specification(text, "x")
    borrowed_from = {stop.rank for d in before.divisions for stop in d.stops}
    for division in before.divisions:
        for stop in division.stops[::4]:
            louder = 10 if stop.loudness < 10 else 1
            made = change_specification(text, ChangeStop(stop=stop.id, entries=(("loudness", str(louder)),)))
            after = read_specification(made, "x")
            assert after.stop(stop.id).loudness == louder
            assert others(after, stop.id) == others(before, stop.id)
            if stop.id not in borrowed_from:
                gone = read_specification(change_specification(text, RemoveStop(stop=stop.id)), "x")
                assert others(gone) == others(before, stop.id)
            named = change_specification(text, ChangeStop(stop=stop.id, entries=(("enclosed", "yes"),)))
            assert any(s.enclosed for s in stops_named(named, stop.name))
            added = change_specification(text, AddStop(division=division.id, stop="Gemshorn 1/2", after=stop.id))
            new = f"{division.id}/gemshorn-1-2"
            assert others(read_specification(added, "x"), new) == others(before)
            assert change_specification(added, RemoveStop(stop=new)) == text


def stops_named(text, name):
    organ = read_specification(text, "x")
    return [stop for d in organ.divisions for stop in d.stops if stop.name == name]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_couplers_and_divisions_of_the_sample_organs_can_be_changed(path):
    text = path.read_text(encoding="utf-8")
    before = read_specification(text, "x")
    first = before.divisions[0]
    added = change_specification(text, AddPart(section="couplers", entry=f"{first.name} octave"))
    after = read_specification(added, "x")
    assert [c.text for c in after.couplers][:-1] == [c.text for c in before.couplers]
    assert change_specification(added, RemovePart(section="couplers", index=len(before.couplers))) == text
    for division in before.divisions:
        made = change_specification(text, ChangeDivision(division=division.id, entries=(("compass", "C2-C7"),)))
        assert read_specification(made, "x").division(division.id).compass == (36, 96)
        assert others(read_specification(made, "x")) == others(before)
