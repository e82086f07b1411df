"""Whose part and whose hand: names in many languages, instrument sounds, staves, clefs; feet on two staves."""

from __future__ import annotations

import pytest
from small_scores import backup, document, note, organ, part, read

from core.errors import ScoreError
from core.score.model import Score
from core.score.staves import hymn_bass_to_feet, with_feet_on_lowest, with_staff_octave

WHOLE = note("C4", 4)


def ensemble(*names: str, staves: tuple[int, ...] = (), told: str | None = None, extra: str = "") -> Score:
    """One part for each name, of one staff or as many as are told."""
    counts = staves or (1,) * len(names)
    parts = [part(WHOLE, staves=count, part_id=f"P{n}") for n, count in enumerate(counts, 1)]
    return read(document(*parts, names=names, head=extra), told)


def organ_names(score: Score) -> list[str]:
    return [p.name for p in score.parts if p.organ]


@pytest.mark.parametrize(
    "name",
    [
        "Organ", "ORGAN", "Org.", "Pipe Organ", "Church Organ", "Orgue", "Grand Orgue", "Orgel", "Organo", "Órgano",
        "Órgão", "Orgona", "Varhany", "Organy", "Orgulje", "Orgle", "Urut", "Vargonai", "Ērģeles", "Орган", "Όργανο",
        "オルガン", "管風琴", "오르간", "Piano ou Orgue", "Orgel oder Klavier", "Harmonium", "Kirkeorgel", "Orgă",
    ],
)  # fmt: skip
def test_an_organ_by_its_name(name: str) -> None:
    score = ensemble("Soprano", name, "Violin")
    assert organ_names(score) == [name]
    assert name in str(score.parts[1].why)


@pytest.mark.parametrize("name", ["Organetto", "Morgan", "Organum", "Alto", "Orgeat"])
def test_what_only_looks_like_an_organ(name: str) -> None:
    assert organ_names(ensemble(name, "Orgel")) == ["Orgel"]


def test_an_organ_by_its_sound_whatever_its_name() -> None:
    data = document(part(WHOLE), part(WHOLE, part_id="P2"), names=("Piano", "Choir")).decode()
    instrument = (
        '<score-instrument id="I1"><instrument-name>x</instrument-name>'
        "<instrument-sound>keyboard.organ.pipe</instrument-sound></score-instrument>"
    )
    data = data.replace("<part-name>Piano</part-name>", "<part-name>Piano</part-name>" + instrument)
    score = read(data.encode())
    assert organ_names(score) == ["Piano"]
    assert "keyboard.organ.pipe" in str(score.parts[0].why)
    assert "voice" in str(score.parts[1].why)


def test_an_organ_by_its_playback_program() -> None:
    data = document(part(WHOLE), part(WHOLE, part_id="P2"), names=("Part A", "Part B")).decode()
    program = '<midi-instrument id="I2"><midi-program>20</midi-program></midi-instrument>'
    data = data.replace("<part-name>Part B</part-name>", "<part-name>Part B</part-name>" + program)
    assert organ_names(read(data.encode())) == ["Part B"]


def test_an_organ_by_its_group() -> None:
    data = document(part(WHOLE), part(WHOLE, part_id="P2"), names=("Upper", "Lower")).decode()
    group = '<part-list><part-group number="1" type="start"><group-name>Orgue</group-name></part-group>'
    assert organ_names(read(data.replace("<part-list>", group).encode())) == ["Upper", "Lower"]


def test_nothing_is_registration_without_an_organ() -> None:
    score = ensemble("Violin", "Piano", staves=(1, 2))
    assert organ_names(score) == []
    assert {n.hand for n in score.notes} == {None}


def test_a_guess_by_the_look_says_that_it_is_one() -> None:
    score = ensemble("Music", staves=(3,))
    assert score.parts[0].organ
    assert "guess" in str(score.parts[0].why)
    assert "guess" in str(ensemble("Unnamed", staves=(1,)).parts[0].why)


def test_a_part_can_be_told_by_id_or_name() -> None:
    assert organ_names(ensemble("Soprano", "Piano", told="P2")) == ["Piano"]
    assert organ_names(ensemble("Soprano", "Piano", told="piano")) == ["Piano"]
    assert organ_names(ensemble("Upper", "Lower", "Violin", told="Upper, P2")) == ["Upper", "Lower"]
    with pytest.raises(ScoreError, match=r"no part 'Tuba'; the parts are P1 \(Soprano\)"):
        ensemble("Soprano", told="Tuba")


# -- hands ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("names", "staves", "hands"),
    [
        (("Organ",), (1,), [("right",)]),
        (("Organ",), (2,), [("right", "left")]),
        (("Organ",), (3,), [("right", "left", "feet")]),
        (("Organ",), (4,), [("right", "left", "left", "feet")]),
        (("Manuals", "Pedal"), (2, 1), [("right", "left"), ("feet",)]),
        (("Orgel", "Pedal"), (2, 1), [("right", "left"), ("feet",)]),
        (("Orgue", "Pédalier"), (2, 1), [("right", "left"), ("feet",)]),
        (("r.H.", "l.H.", "Pedal"), (1, 1, 1), [("right",), ("left",), ("feet",)]),
        (("Main droite", "Main gauche", "Pédale"), (1, 1, 1), [("right",), ("left",), ("feet",)]),
        (("Organ I", "Organ II", "Organ III"), (1, 1, 1), [("right",), ("left",), ("feet",)]),
        (("Organ", "Organ"), (1, 1), [("right",), ("left",)]),
        (("Organ", "Org. Ped."), (2, 1), [("right", "left"), ("feet",)]),
        (("Soprano", "Organ"), (1, 3), [(None,), ("right", "left", "feet")]),
    ],
)
def test_hands_by_names_staves_and_clefs(
    names: tuple[str, ...], staves: tuple[int, ...], hands: list[tuple[str | None, ...]]
) -> None:
    score = ensemble(*names, staves=staves)
    assert [p.hands for p in score.parts] == hands
    assert all(str(p.hands_why) for p in score.parts)


def test_a_lowest_staff_beyond_any_pedalboard_is_a_hands() -> None:
    bar = WHOLE + backup(4) + note("C4", 4, staff=2) + backup(4) + note("C6", 4, staff=3)
    data = document(part(bar, staves=3)).decode()
    treble = data.replace('number="3"><sign>F</sign><line>4', 'number="3"><sign>G</sign><line>2')
    assert read(treble.encode()).parts[0].hands == ("right", "right", "left")
    assert read(data.encode()).parts[0].hands == ("right", "left", "feet")


def test_the_hand_is_the_staffs_also_across_staves_and_never_the_voices() -> None:
    voice = "<voice>1</voice>"
    bar = note("C5", 2, inside=voice) + note("C4", 2, staff=2, inside=voice)
    assert [n.hand for n in organ(bar, staves=2).notes] == ["right", "left"]


def test_cue_notes_and_ossia_staves_are_nobodys() -> None:
    cue = note("C5", 4).replace("<note>", "<note><cue/>")
    ossia = '<attributes><staff-details number="1"><staff-type>ossia</staff-type></staff-details></attributes>'
    score = organ(cue + backup(4) + note("C3", 4, staff=2), staves=2)
    assert {(n.cue, n.hand) for n in score.notes} == {(True, None), (False, "left")}
    four = organ(ossia + "".join(note("C4", 4, staff=s) + backup(4) for s in (1, 2, 3, 4)), staves=4)
    assert four.parts[0].hands == (None, "right", "left", "feet")
    assert [n.hand for n in four.notes] == [None, "right", "left", "feet"]


def test_a_staff_that_the_part_does_not_declare_is_nobodys() -> None:
    assert organ(WHOLE + backup(4) + note("C3", 4, staff=2)).notes[-1].hand is None


# -- feet on two staves -----------------------------------------------------------------------------------------


def chord(*pitches: str, staff: int) -> str:
    return "".join(note(pitch, 1, staff=staff, before="<chord/>" if n else "") for n, pitch in enumerate(pitches))


HYMN_BAR = (
    "".join(chord("E4", "G4", staff=1) for _ in range(4))
    + backup(4)
    + "".join(chord("C3", "C4", staff=2) for _ in range(4))
)


def test_ped_gives_the_lowest_notes_to_the_feet_until_man() -> None:
    score = organ(HYMN_BAR, HYMN_BAR, staves=2)
    after = with_feet_on_lowest(score, [(0, 2 * score.ticks, 5 * score.ticks)])
    feet = [(score.quarters(n.onset), n.spelling) for n in after.notes if n.hand == "feet"]
    assert feet == [(2, "C3"), (3, "C3"), (4, "C3")]
    assert [n._replace(hand=None) for n in after.notes] == [n._replace(hand=None) for n in score.notes]


def test_notes_over_a_held_pedal_note_stay_the_hands() -> None:
    bar = chord("C5", staff=1) * 4 + backup(4) + note("C2", 4, staff=2) + backup(4) + chord("G3", staff=2) * 4
    score = with_feet_on_lowest(organ(bar, staves=2), [(0, 0, 100)])
    assert [(n.spelling, n.hand) for n in score.notes if n.hand == "feet"] == [("C2", "feet")]


def test_with_a_pedal_staff_nothing_is_given_to_the_feet() -> None:
    score = organ(WHOLE + backup(4) + note("C3", 4, staff=2), staves=3)
    assert with_feet_on_lowest(score, [(0, 0, 100)]) is score


def test_a_plain_hymn_proposes_its_bass_for_the_feet() -> None:
    score = organ(HYMN_BAR, staves=2)
    proposal = hymn_bass_to_feet(score)
    assert proposal is not None
    assert {n.spelling for n in proposal[0].notes if n.hand == "feet"} == {"C3"}
    assert "hymn" in str(proposal[1])
    assert {n.hand for n in score.notes} == {"right", "left"}


def test_other_music_on_two_staves_proposes_nothing() -> None:
    bar = chord("C5", staff=1) * 4 + backup(4) + chord("C3", "E3", "G3", "C4", staff=2) * 4
    assert hymn_bass_to_feet(organ(bar, staves=2)) is None
    assert hymn_bass_to_feet(organ(WHOLE, staves=3)) is None


def test_names_of_keyboards_alone_make_an_organ() -> None:
    score = ensemble("Swell", "Great", "Pedal")
    assert organ_names(score) == ["Swell", "Great", "Pedal"]
    assert [p.hands for p in score.parts] == [("right",), ("left",), ("feet",)]
    assert organ_names(ensemble("Choir", "Solo")) == []


# -- the octave of the pedal clef ---------------------------------------------------------------------


def test_an_octave_clef_on_the_pedal_is_offered_once_and_moves_no_key() -> None:
    bar = WHOLE + backup(4) + note("C2", 4, staff=3)
    data = document(part(bar, bar, staves=3)).decode()
    clef = '<clef number="3"><sign>F</sign><line>4</line>'
    score = read(data.replace(clef, clef + "<clef-octave-change>-1</clef-octave-change>").encode())
    offers = [str(repair) for repair in score.repairs if "pedal clef" in str(repair)]
    assert len(offers) == 1
    assert [n.spelling for n in score.notes if n.hand == "feet"] == ["C2", "C2"]
    moved = with_staff_octave(score, 0, 3, 1)
    assert [(n.spelling, n.key) for n in moved.notes if n.hand == "feet"] == [("C3", 48), ("C3", 48)]
    assert not read(data.encode()).repairs


def test_an_octave_clef_on_another_staff_is_no_matter() -> None:
    data = document(part(WHOLE, staves=3)).decode()
    clef = '<clef number="1"><sign>G</sign><line>2</line>'
    assert not read(data.replace(clef, clef + "<clef-octave-change>-1</clef-octave-change>").encode()).repairs
