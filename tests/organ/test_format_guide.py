"""The guide to the specification format: its examples are read as it says."""

import re
from pathlib import Path

import pytest

from core.errors import OrganError
from core.organ.model import AidKind, Family
from core.organ.specification import read_specification

GUIDE = (Path(__file__).parent.parent.parent / "docs" / "specification-format.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", GUIDE, re.DOTALL)
SHORTEST, DIVISION, STOPS, PARTS = BLOCKS
SHORT_FORMS = [
    form
    for row in GUIDE.partition("| written | means |")[2].partition("\n\n")[0].splitlines()
    for form in re.findall(r"`([^`]+)`", row.split("|")[1] if row.startswith("| `") else "")
]


def test_the_shortest_file():
    organ = read_specification(SHORTEST, "x.yaml")
    assert [d.name for d in organ.divisions] == ["Great", "Swell", "Pedal"]
    assert organ.stop("swell/voix-celeste-8").compass == (48, None)


def test_a_division_written_out():
    text = DIVISION.replace("stops: […]", "stops: [Oboe 8]")
    division = read_specification(f"specification: 1\nname: x\ndivisions:\n{text}", "x.yaml").divisions[0]
    assert (division.enclosed, division.box, division.also_on) == (True, "Swell box", ("manual-1",))


def test_stops_written_out():
    text = f"specification: 1\nname: x\ndivisions:\n  - name: Great\n    stops:\n{STOPS}"
    mixture, oboe, fourniture, trumpet = read_specification(text, "x.yaml").divisions[0].stops
    assert [part.key for part in mixture.composition] == [36, 60]
    assert (oboe.loudness, oboe.enclosed) == (6, False)
    assert (fourniture.on_ventil, len(fourniture.composition)) == (True, 2)
    assert trumpet.name == "Trumpet 8: the loud one"


@pytest.mark.parametrize("form", SHORT_FORMS)
def test_every_short_form(form):
    line = f"- {form}" if ": " in form else f'- "{form}"'
    text = f"specification: 1\nname: x\ndivisions:\n  - Great:\n      {line}\n"
    assert read_specification(text, "x.yaml").divisions[0].stops


def test_couplers_tremulants_and_aids():
    divisions = "divisions: [Great: [Flute 8], Swell: [Oboe 8], Récit: [Oboe 8], Grand-Orgue: [Flute 8], Pedal: []]\n"
    organ = read_specification(f"specification: 1\nname: x\n{divisions}{PARTS}", "x.yaml")
    assert len(organ.couplers) == 7
    assert [t.name for t in organ.tremulants] == ["Tremulant", "Tremulant", "Tremblant"]
    assert [a.kind for a in organ.aids] == [AidKind.GENERAL, AidKind.DIVISIONAL, AidKind.VENTIL]


def test_the_words_that_the_guide_lists():
    assert "`" + " ".join(family.value for family in Family) + "`" in GUIDE
    assert " ".join(kind.value for kind in AidKind) in " ".join(GUIDE.split())


def test_the_faults_that_the_guide_shows():
    text = (
        "specification: 1\nname: x\ndivisions:\n  - Swell: [Oboe 8]\n  - Great:\n      - Flute 8\n"
        "      - Quint 3\n\n\n\n\ncouplers: [Swel to Great]\n"
    )
    with pytest.raises(OrganError) as caught:
        read_specification(text, "organ.yaml")
    shown = GUIDE.partition("what to write instead:\n\n```\n")[2].partition("```")[0]
    assert str(caught.value).replace("divisions[1]", "divisions[0]") == shown.rstrip("\n")
