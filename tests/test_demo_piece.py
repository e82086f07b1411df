"""The built-in piece: valid, playable, its part-writing clean, markings and planted faults in place."""

import importlib.util
import json
from pathlib import Path

import pytest
from lxml import etree

from core.cli.main import main
from core.organ.reading import load_organ

ROOT = Path(__file__).parent.parent
PIECE = ROOT / "sample_specs" / "demo_piece.musicxml"
ORGAN = ROOT / "sample_specs" / "english_three_manual.yaml"
IN_OCTAVES = range(61, 69)  # the return plays its melody in octaves


def module_of(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


check_piece = module_of(ROOT / "tests" / "bench" / "check_piece.py")
schema = module_of(ROOT / "tests" / "score" / "musicxml_schema.py").schema


@pytest.fixture(scope="module")
def tree():
    return etree.parse(str(PIECE))


def words(tree):
    """(bar, staff, text) of every text in the score."""
    return [
        (int(measure.get("number")), int(direction.findtext("staff")), text.text)
        for measure in tree.iter("measure")
        for direction in measure.iterfind("direction")
        for text in direction.iterfind("direction-type/words")
    ]


def test_it_is_valid_by_the_published_schema(tree):
    # W3C MusicXML 4.0 XSD
    assert schema().validate(tree), schema().error_log


def test_it_says_that_it_is_invented(tree):
    text = " ".join(tree.getroot().itertext())
    assert "invented" in tree.findtext(".//creator")
    assert "Composed for this project" in text


def test_it_has_at_least_eighty_full_bars_on_three_staves(tree):
    notes, bars = check_piece.read_notes(PIECE)
    assert len(bars) == 88
    assert list(bars.values()) == [3 * number for number in range(88)]
    assert {note.staff for note in notes} == {1, 2, 3}


def test_the_part_writing_would_pass_a_teacher():
    assert check_piece.faults(PIECE, IN_OCTAVES) == []


def test_it_lies_within_the_compass_of_its_organ():
    organ = load_organ(ORGAN)
    notes, _ = check_piece.read_notes(PIECE)
    for note in notes:
        division = organ.division("pedal" if note.staff == 3 else "great")
        assert division.compass[0] <= note.key <= division.compass[1]


def test_every_tie_ends(tree):
    open_ties = set()
    for note in tree.iter("note"):
        pitch = note.find("pitch")
        if pitch is None:
            continue
        key = (note.findtext("voice"), *(pitch.findtext(tag) for tag in ("step", "alter", "octave")))
        kinds = {tie.get("type") for tie in note.iterfind("tie")}
        assert ("stop" in kinds) == (key in open_ties), (note.getparent().get("number"), key)
        open_ties -= {key}
        open_ties |= {key} if "start" in kinds else set()
    assert not open_ties


def test_the_markings_such_a_piece_carries_are_there(tree):
    found = words(tree)
    for marking in [
        (1, 1, "Sw. Salicional & Voix Célestes"),
        (5, 1, "R.H. Ch. Clarinet"),
        (21, 1, "Gt. Open Diapasons & Principal"),
        (37, 2, "L.H. Sw. Oboe"),
        (49, 1, "Full Sw. to Gt."),
        (61, 1, "Full Gt."),
    ]:
        assert marking in found
    assert len([text for text in found if text[2]]) >= 25
    assert any("Prepare:" in "".join(credit.itertext()) for credit in tree.iter("credit"))


def test_the_faults_planted_on_purpose_are_there(tree):
    organ = load_organ(ORGAN)
    found = words(tree)
    names = {stop.name.casefold() for division in organ.divisions for stop in division.stops}
    # a stop that the organ lacks
    assert (45, 2, "add Vox Humana") in found
    assert not any("humana" in name for name in names)
    # an addition of what is drawn since bar 21
    assert (53, 1, "Gt. add Principal") in found
    # a solo whose end nobody marks: no text over the upper staff sends the right hand away again
    assert (69, 1, "R.H. Ch. Clarinet") in found
    assert [text for bar, staff, text in found if bar > 69 and staff == 1] == ["rit."]
    # what no reader can carry out
    assert (80, 3, "Ped. as at the beginning") in found
    # a hairpin over unenclosed pipes, with nothing enclosed coupled to them
    assert organ.division("great").enclosed is False
    wedges = [
        int(measure.get("number")) for measure in tree.iter("measure") for wedge in measure.iter("wedge")
        if wedge.get("type") == "crescendo"
    ]  # fmt: skip
    assert 31 in wedges


def test_the_check_finds_what_was_planted(capsys):
    assert main(["check", str(PIECE), "--organ", str(ORGAN), "--without-notes", "--json"]) in (0, 1)
    findings = json.loads(capsys.readouterr().out)["findings"]
    found = [(finding["at"]["measure"], finding["message"]) for finding in findings]
    planted = {"31": "hairpin", "45": "Vox Humana", "53": "Principal", "69": "no marked end", "80": "beginning"}
    for bar, words in planted.items():
        assert any(at == bar and words in message for at, message in found), (bar, words)
