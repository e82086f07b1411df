"""The sample organs: invented and said to be, complete, true to type, written and read again alike."""

from pathlib import Path

import pytest

from core.organ.model import AidKind, Family, Role
from core.organ.reading import load_organ
from core.organ.specification import read_specification
from core.organ.summary import summary
from core.organ.writing import write_organ
from made_organs import without_lines

FOLDER = Path(__file__).parent.parent / "sample_specs"
FILES = sorted(FOLDER.glob("*.yaml"))


def load(name):
    return load_organ(FOLDER / f"{name}.yaml")


def stops_of(organ):
    return [stop for division in organ.divisions for stop in division.stops]


def test_there_are_four():
    assert [path.stem for path in FILES] == [
        "english_three_manual", "french_symphonic", "german_baroque", "village",
    ]  # fmt: skip


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_is_invented_and_complete(path):
    organ = load_organ(path)
    assert organ.invented
    assert "invented" in organ.place
    assert "invented" in organ.builder
    assert organ.couplers_carry_on is not None
    assert all(d.compass and d.enclosed is not None and d.keyboard and not d.keyboard_assumed for d in organ.divisions)
    assert organ.couplers
    assert organ.tremulants
    assert organ.aids


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_stop_is_known_by_its_name(path):
    unknown = [stop.name for stop in stops_of(load_organ(path)) if stop.kind is None or stop.guess]
    assert unknown == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_is_the_same_when_written_and_read_again(path):
    organ = load_organ(path)
    assert without_lines(read_specification(write_organ(organ), "x.yaml")) == without_lines(organ)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_summary_names_every_stop_and_coupler(path):
    organ = load_organ(path)
    text = summary(organ)
    assert organ.name in text
    assert all(stop.name in text for stop in stops_of(organ))
    assert text.isprintable() is False
    assert "COUPLERS" in text


def test_the_village_organ_has_two_manuals_and_ten_stops():
    organ = load("village")
    assert (len(organ.manuals), len(stops_of(organ))) == (2, 10)


def test_the_english_organ_has_three_manuals_in_english_order_and_pistons():
    # Order of manuals: essexorganmuseum.com, "The Organ", part three (Swell III, Great II, Choir I).
    organ = load("english_three_manual")
    assert {d.role: d.keyboard for d in organ.manuals} == {
        Role.CHOIR: "manual-1", Role.GREAT: "manual-2", Role.SWELL: "manual-3",
    }  # fmt: skip
    assert 33 <= len(stops_of(organ)) <= 38
    assert {AidKind.GENERAL, AidKind.DIVISIONAL, AidKind.REVERSIBLE, AidKind.BOX} <= {a.kind for a in organ.aids}
    assert organ.stop("pedal/bass-flute-8").rank == "pedal/bourdon-16"
    assert organ.stop("choir/tuba-8").enclosed is False


def test_the_french_organ_has_its_reeds_on_ventils_and_a_boxed_recit():
    # Stops by division after the published list of Sainte-Clotilde, Paris, 1859
    # (doczz.fr/doc/651749); here an invented organ.
    organ = load("french_symphonic")
    ventils = [aid for aid in organ.aids if aid.kind is AidKind.VENTIL]
    assert {aid.division for aid in ventils} == {d.id for d in organ.divisions}
    assert organ.with_role(Role.SWELL).enclosed
    reeds = [s for d in organ.divisions for s in d.stops if s.family is Family.REED]
    free = {s.name for s in reeds if not s.on_ventil}
    assert free == {"Basson-Hautbois", "Voix humaine"}
    assert organ.couplers_carry_on


def test_the_german_organ_is_unenclosed_with_full_choruses():
    organ = load("german_baroque")
    assert not any(d.enclosed for d in organ.divisions)
    for division in organ.divisions:
        assert any(s.family in (Family.MIXTURE, Family.COMPOUND) for s in division.stops)
    assert organ.pedal.compass == (36, 62)
    cornet = organ.stop("pedal/cornet-2")
    assert (
        cornet.family is Family.REED
    )  # a pedal Cornet of 2 ft is a reed: E. L. Stauff, Encyclopedia of Organ Stops, "Zink"
