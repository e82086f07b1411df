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
    # the remark above it goes with it
    (
        MoveStop(stop="great/dulciana-8", division="great"),
        ["      - Open Diapason 8   # 1850"],
        ["      - Open Diapason 8   # 1850"],
    ),
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


MORE = """\
specification: 1
name: x
divisions:
  - name: Great
    stops:
  - Choir:
      enclosed: no
      stops: [Flute 8]
  - name: Swell
  - Pedal: [{stop: Bourdon 16, loudness: 4}, {name: Mixture, ranks: 3}, Trumpet 8: {loudness: 3}, Oboe 8: {}]
  - Solo:
      - stop: Tuba 8
        loudness: 9
      - Clarinet 8:
      - Horn 8:
          loudness: 8
aids:
"""

ODD = [
    (AddStop(division="great", stop="Oboe 8"), ["    stops:"], ["    stops: [Oboe 8]"]),
    (AddStop(division="swell", stop="Oboe 8"), [], ["    stops: [Oboe 8]"]),
    (AddStop(division="choir", stop="Oboe 8"), ["      stops: [Flute 8]"], ["      stops: [Flute 8, Oboe 8]"]),
    (AddPart(section="aids", entry="Zimbelstern"), ["aids:"], ["aids: [Zimbelstern]"]),
    (ChangeStop(stop="solo/tuba-8", entries=(("name", "Tuba Mirabilis"),)), ["      - stop: Tuba 8"],
     ["      - stop: Tuba Mirabilis 8"]),
    (ChangeStop(stop="solo/tuba-8", entries=(("enclosed", "no"),)), ["      - stop: Tuba 8"],
     ["      - stop: Tuba 8 (unenclosed)"]),
    (ChangeStop(stop="solo/tuba-8", entries=(("remark", "loud"),)), [], ["        remark: loud"]),
    (ChangeStop(stop="solo/tuba-8", entries=(("loudness", None),)), ["        loudness: 9"], []),
    (ChangeStop(stop="solo/clarinet-8", entries=(("loudness", "5"),)), ["      - Clarinet 8:"],
     ["      - Clarinet 8: {loudness: 5}"]),
    (ChangeStop(stop="solo/horn-8", entries=(("loudness", None),)), ["      - Horn 8:", "          loudness: 8"],
     ["      - Horn 8"]),
    (ChangeDivision(division="choir", entries=(("name", "Chair"),)), ["  - Choir:"], ["  - Chair:"]),
    (ChangeDivision(division="choir", entries=(("enclosed", "yes"),)), ["      enclosed: no"],
     ["      enclosed: yes"]),
    (ChangeDivision(division="solo", entries=(("name", "Bombarde"),)), ["  - Solo:"], ["  - Bombarde:"]),
    (ChangeDivision(division="solo", entries=(("name", "Bombarde"), ("enclosed", "no"))), ["  - Solo:"],
     ["  - name: Bombarde", "    enclosed: no", "    stops:"]),
    (ChangeDivision(division="swell", entries=(("name", "Récit"),)), ["  - name: Swell"], ["  - name: Récit"]),
]  # fmt: skip


@pytest.mark.parametrize(("change", "gone", "come"), ODD, ids=lambda value: type(value).__name__)
def test_other_ways_of_writing(change, gone, come):
    assert lines_changed(MORE, change_specification(MORE, change)) == (gone, come)


@pytest.mark.parametrize(
    ("stop", "entries", "wanted"),
    [
        ("pedal/bourdon-16", (("loudness", "5"), ("remark", "soft")), "{stop: Bourdon 16, loudness: 5, remark: soft}"),
        ("pedal/bourdon-16", (("loudness", None),), "[{stop: Bourdon 16},"),
        ("pedal/mixture", (("ranks", "4"),), "{name: Mixture, ranks: 4}"),
        ("pedal/trumpet-8", (("loudness", None),), ", Trumpet 8, Oboe"),
        ("pedal/oboe-8", (("loudness", "5"),), "Oboe 8: {loudness: 5}]"),
    ],
)
def test_stops_written_on_one_line(stop, entries, wanted):
    assert wanted in change_specification(MORE, ChangeStop(stop=stop, entries=entries))


@pytest.mark.parametrize(
    "change",
    [
        AddStop(division="great", stop="Oboe 8", after="swell/oboe-8"),
        MoveStop(stop="pedal/oboe-8", division="pedal", after="pedal/oboe-8"),
        ChangeStop(stop="solo/tuba-8", entries=(("name", None),)),
        RemovePart(section="aids", index=0),
    ],
)
def test_what_is_left_to_the_hand_is_refused(change):
    with pytest.raises(EditError):
        change_specification(MORE, change)


def test_a_text_that_cannot_be_read_cannot_be_changed():
    with pytest.raises(EditError, match="cannot be read"):
        change_specification("specification: 2\n", AddStop(division="great", stop="Oboe 8"))


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
