"""An organ's JSON: every field of the fixed interface, and what is said beside it."""

from fractions import Fraction

from core.organ.contract import organ_to_json
from core.organ.lists import read_stop_list
from core.organ.model import Aid, AidKind, Coupler, Division, Family, Half, Organ, Ranks, Reach, Role, Stop, Tremulant
from core.organ.specification import read_specification

SWELL = Division(
    id="swell",
    name="Swell",
    role=Role.SWELL,
    keyboard="manual-3",
    enclosed=True,
    compass=(36, 96),
    lines=(33,),
    stops=(
        Stop(id="swell/mixture", name="Mixture", pitch=None, family=Family.MIXTURE, ranks=Ranks(3, 3), lines=(38,)),
        Stop(
            id="swell/cornet",
            name="Cornet",
            pitch=Fraction(8, 3),
            family=Family.COMPOUND,
            ranks=Ranks(3, 6),
            half=Half.TREBLE,
            compass=(48, None),
            enclosed=False,
            borrowed="from the Choir",
        ),
    ),
)
ORGAN = Organ(
    name="St Wenna",
    divisions=(SWELL,),
    couplers=(Coupler(source="swell", target="pedal", permanent=True, lines=(87,)),),
    tremulants=(Tremulant(division="swell", lines=(97,)), Tremulant(division=None)),
    aids=(
        Aid(kind=AidKind.DIVISIONAL, text="6 to each manual", lines=(93,), reach=(Reach.THUMB,)),
        Aid(kind=AidKind.VENTIL, text="Anches", division="swell"),
    ),
)


def test_a_division_and_its_stops():
    division = organ_to_json(ORGAN)["divisions"][0]
    told = {key: division[key] for key in ("name", "role", "keyboard", "enclosed", "compass", "lines")}
    assert told == {
        "name": "Swell",
        "role": "swell",
        "keyboard": "manual-3",
        "enclosed": True,
        "compass": ["C2", "C7"],
        "lines": [33],
    }
    mixture, cornet = division["stops"]
    assert {key: mixture[key] for key in ("name", "pitch", "ranks", "family", "lines")} == {
        "name": "Mixture",
        "pitch": None,
        "ranks": 3,
        "family": "mixture",
        "lines": [38],
    }
    assert "enclosed" not in mixture
    assert (cornet["family"], cornet["pitch"], cornet["ranks"]) == ("mixture", "2 2/3", "3-6")
    assert (cornet["half"], cornet["compass"], cornet["enclosed"]) == ("treble", ["C3", None], False)
    assert cornet["borrowed"] == "from the Choir"


def test_couplers_tremulants_and_aids():
    told = organ_to_json(ORGAN)
    assert told["couplers"] == [{"from": "Swell", "to": "pedal", "pitch": "8", "lines": [87], "permanent": True}]
    assert [t["division"] for t in told["tremulants"]] == ["Swell", None]
    assert told["aids"]["pistons"][0]["text"] == "6 to each manual"
    assert told["aids"]["pistons"][0]["reach"] == ["thumb"]
    assert told["aids"]["ventils"][0]["division"] == "Swell"


def test_what_is_not_known_is_null_and_lists_are_always_there():
    told = organ_to_json(Organ(name="x", divisions=(Division(id="a", name="A", role=Role.GREAT, keyboard=None),)))
    division = told["divisions"][0]
    assert (division["keyboard"], division["enclosed"], division["compass"]) == (None, None, None)
    assert [told[key] for key in ("couplers", "tremulants", "aids", "unread", "doubts")] == [[], [], {}, [], []]


def test_unread_lines_and_doubts_of_a_list():
    reading = read_stop_list("St Wenna\n\nGREAT\nOpen Diapason 8\nQuint 3\n", name="x")
    told = organ_to_json(reading.organ, reading.unread, reading.doubts)
    assert {"line": 1, "text": "St Wenna"} in told["unread"]
    assert any(doubt["line"] == 5 and "2 2/3" in doubt["text"] for doubt in told["doubts"])


def test_lines_of_a_specification_are_its_own():
    organ = read_specification("specification: 1\nname: x\ndivisions:\n  - Great:\n      - Oboe 8\n", "x.yaml")
    division = organ_to_json(organ)["divisions"][0]
    assert (division["lines"], division["stops"][0]["lines"]) == ([4], [5])
