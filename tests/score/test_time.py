"""Exact time (the traps of time): divisions, backup, tuplets, odd bars, ties, grace and cue notes, pitches."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_scores import attributes, backup, document, note, organ, part, read

from core.score.model import Score


def onsets(score: Score) -> list[Fraction]:
    return [score.quarters(n.onset) for n in score.notes]


def starts(score: Score) -> list[Fraction]:
    return [score.quarters(bar.onset) for bar in score.bars]


def time(beats: str, beat_type: int) -> str:
    return f"<attributes><time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time></attributes>"


def divisions(number: str) -> str:
    return f"<attributes><divisions>{number}</divisions></attributes>"


WHOLE = note("C4", 4)


def test_divisions_in_force_change_in_mid_part_and_in_mid_bar() -> None:
    score = organ(
        WHOLE,
        divisions("3") + note("C4", 3) + note("D4", 2) + note("E4", 1) + divisions("2") + note("F4", 4),
        note("G4", 8),
    )
    assert onsets(score) == [0, 4, 5, 5 + Fraction(2, 3), 6, 8]


def test_divisions_differ_between_parts() -> None:
    parts = part(note("C5", 8) * 2, divisions=4), part(note("C3", 3) * 4, divisions=3, part_id="P2")
    score = read(document(*parts, names=("Manual", "Pedal")))
    assert score.ticks == 12
    assert {score.quarters(n.onset) for n in score.notes} == {0, 1, 2, 3}


def test_divisions_and_durations_that_are_no_whole_numbers() -> None:
    assert onsets(organ(divisions("2.5") + note("C4", 5) * 2)) == [0, 2]
    halves = note("C4", 1).replace("<duration>1<", "<duration>0.5<") * 2
    assert onsets(organ(halves + note("D4", 3))) == [0, Fraction(1, 2), 1]


def test_backup_before_the_start_is_clamped_and_said() -> None:
    score = organ(note("C4", 4) + backup(9) + note("E3", 4))
    assert onsets(score) == [0, 0]
    assert any("before a bar's start" in str(repair) for repair in score.repairs)


def test_forward_replaces_rests_and_fills_the_bar() -> None:
    score = organ(note("C4", 1) + "<forward><duration>2</duration></forward>" + note("D4", 1), WHOLE)
    assert onsets(score) == [0, 3, 4]


def test_chords_take_the_time_of_the_note_before_and_may_cross_staves() -> None:
    score = organ(note("C4", 2) + note("E4", 2, before="<chord/>", staff=2) + note("G4", 2), staves=2)
    assert [(str(score.quarters(n.onset)), n.staff) for n in score.notes] == [("0", 1), ("0", 2), ("2", 1)]


def test_a_chord_note_after_nothing_begins_where_it_stands() -> None:
    score = organ(note("C4", 4, before="<chord/>") + note("D4", 4))
    assert onsets(score) == [0, 4]
    assert score.repairs


def test_grace_notes_take_no_time() -> None:
    grace = "<note><grace/><pitch><step>B</step><octave>3</octave></pitch><staff>1</staff></note>"
    score = organ(grace + WHOLE)
    assert [(n.grace, n.duration) for n in score.notes] == [(True, 0), (False, 4 * score.ticks)]


def test_ties() -> None:
    def tied(*kinds: str) -> str:
        return note("C4", 4).replace("<staff>", "".join(f'<tie type="{k}"/>' for k in kinds) + "<staff>")

    assert [n.tie for n in organ(tied("start"), tied("stop", "start"), tied("stop")).notes] == [
        "start",
        "both",
        "stop",
    ]


def test_voices_may_be_absent_or_far_apart() -> None:
    score = organ(note("C4", 4, inside="<voice>9</voice>") + backup(4) + note("E4", 4))
    assert sorted(n.voice for n in score.notes) == ["1", "9"]


# -- tuplets ----------------------------------------------------------------------------------------------------


def triplet(pitch: str, length: int) -> str:
    shape = (
        "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification>"
    )
    return note(pitch, length, inside=shape)


def test_tuplets_rounded_to_divisions_are_exact() -> None:
    bar = divisions("4") + triplet("C4", 1) + triplet("D4", 2) + triplet("E4", 1) + note("F4", 12)
    score = organ(bar, divisions("1") + WHOLE)
    third = Fraction(1, 3)
    assert onsets(score) == [0, third, 2 * third, 1, 4]
    assert [score.quarters(n.duration) for n in score.notes][:3] == [third] * 3
    assert any("tuplet" in str(repair) for repair in score.repairs)


def test_well_written_tuplets_are_left_alone() -> None:
    score = organ(divisions("6") + triplet("C4", 2) * 3 + note("F4", 18))
    assert onsets(score) == [0, Fraction(1, 3), Fraction(2, 3), 1]
    assert not score.repairs


def test_a_shape_that_disagrees_by_more_than_rounding_yields_to_the_duration() -> None:
    score = organ(divisions("4") + note("C4", 4, inside="<type>half</type>") + note("D4", 12))
    assert onsets(score) == [0, 1]


# -- bars ---------------------------------------------------------------------------------------------------------


def test_a_pickup_is_as_long_as_its_content() -> None:
    score = organ(note("C4", 1), WHOLE, numbers=["0", "1"])
    assert starts(score) == [0, 1]
    assert [bar.number for bar in score.bars] == ["0", "1"]


def test_split_and_overfull_bars_are_as_long_as_their_content() -> None:
    score = organ(note("C4", 3), note("C4", 1), note("C4", 6), WHOLE)
    assert starts(score) == [0, 3, 4, 10]
    assert len(score.notes) == 4


def test_an_empty_bar_has_its_signatures_length() -> None:
    score = organ(time("3", 4) + note("C4", 3), "", WHOLE)
    assert starts(score) == [0, 3, 6]


def test_a_bar_starts_alike_in_all_parts_whatever_one_lacks() -> None:
    parts = part(note("C5", 1), WHOLE), part(note("C3", 4), note("D3", 4), part_id="P2")
    score = read(document(*parts, names=("Manual", "Pedal")))
    assert starts(score) == [0, 4]


def test_a_part_with_fewer_bars() -> None:
    score = read(document(part(WHOLE, WHOLE), part(WHOLE, part_id="P2"), names=("Manual", "Pedal")))
    assert len(score.bars) == 2
    assert len(score.notes) == 3


def test_a_whole_bar_rest_has_the_bars_length_not_four() -> None:
    rest = '<note><rest measure="yes"/><duration>4</duration></note>'
    assert starts(organ(time("3", 4) + rest, note("C4", 3))) == [0, 3]
    pickup = '<note><rest measure="yes"/><duration>1</duration></note>'
    assert starts(organ(pickup, WHOLE)) == [0, 1]


@pytest.mark.parametrize(
    ("signature", "length", "beats"),
    [
        ("<beats>3+2</beats><beat-type>8</beat-type>", Fraction(5, 2), "3+2"),
        (
            "<beats>2</beats><beat-type>4</beat-type><beats>3</beats><beat-type>8</beat-type>",
            Fraction(7, 2),
            "7",
        ),
        ("<beats>x</beats><beat-type>4</beat-type>", Fraction(4), "4"),
        ("<beats>3</beats><beat-type>0</beat-type>", Fraction(4), "4"),
        ("<senza-misura/>", Fraction(4), "4"),
    ],
)
def test_signatures(signature: str, length: Fraction, beats: str) -> None:
    score = organ(f"<attributes><time>{signature}</time></attributes>", WHOLE)
    assert score.quarters(score.bars[0].length) == length
    assert score.bars[0].beats == beats


def test_beats_count_the_lower_figure() -> None:
    score = organ(WHOLE, time("6", 8) + note("C4", 1) + note("D4", 2))
    assert str(score.position(score.notes[-1].onset).beat) == "3"
    assert score.bars[1].time_changes


def test_numbers_are_for_people_and_may_repeat_or_be_no_numbers() -> None:
    score = organ(WHOLE, WHOLE, WHOLE, numbers=["1", "X1", "1"])
    assert [bar.number for bar in score.bars] == ["1", "X1", "1"]
    assert [n.bar for n in score.notes] == [0, 1, 2]


def test_bars_tell_their_lines_and_breaks() -> None:
    line = '<barline location="right"><bar-style>light-light</bar-style></barline>'
    key = '<print new-page="yes"/><attributes><key><fifths>-3</fifths></key></attributes>'
    score = organ(WHOLE + line, key + WHOLE)
    assert [bar.barline for bar in score.bars] == ["light-light", None]
    assert (score.bars[1].new_page, score.bars[1].new_system, score.bars[1].key_changes) == (True, True, True)
    assert [bar.fifths for bar in score.bars] == [0, -3]


# -- junk ---------------------------------------------------------------------------------------------------------


def test_junk_notes_are_passed_over_and_said() -> None:
    junk = note("C4", 1).replace("<step>C", "<step>=")
    late = note("C4", 1).replace("<duration>1<", "<duration>A<").replace("<staff>", "<type>quarter</type><staff>")
    score = organ(junk + late + note("D4", 2))
    assert onsets(score) == [2]
    assert any("2 notes" in str(repair) for repair in score.repairs)


def test_a_missing_duration_is_taken_from_the_shape() -> None:
    bare = "<note><pitch><step>C</step><octave>4</octave></pitch><type>half</type><dot/></note>"
    score = organ(bare + note("D4", 1))
    assert onsets(score) == [0, 3]


def test_negative_durations_are_junk() -> None:
    assert onsets(organ(note("C4", -4) + note("D4", 4))) == [0]


# -- pitch --------------------------------------------------------------------------------------------------------


def transposed(inside: str, *, name: str = "Organ", pitch: str = "C4", staves: int = 1) -> Score:
    bar = f"<attributes><transpose>{inside}</transpose></attributes>" + note(pitch, 4)
    return read(document(part(bar, staves=staves), names=(name,)))


@pytest.mark.parametrize(
    ("inside", "spelling", "key"),
    [
        ("<diatonic>-1</diatonic><chromatic>-2</chromatic>", "Bb3", 58),
        ("<chromatic>-2</chromatic>", "Bb3", 58),
        ("<diatonic>-5</diatonic><chromatic>-9</chromatic>", "Eb3", 51),
        ("<diatonic>4</diatonic><chromatic>7</chromatic>", "G4", 67),
        ("<chromatic>0</chromatic><octave-change>1</octave-change>", "C5", 72),
        ("<diatonic>-1</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change>", "Bb2", 46),
    ],
)
def test_a_transposing_part_is_read_as_it_sounds(inside: str, spelling: str, key: int) -> None:
    score = transposed(inside, name="Clarinet")
    assert (score.notes[0].spelling, score.notes[0].key) == (spelling, key)


def test_the_organs_octaves_are_pipes_not_keys() -> None:
    score = transposed("<chromatic>0</chromatic><octave-change>-1</octave-change>")
    assert score.notes[0].spelling == "C4"
    assert any("another octave" in str(repair) for repair in score.repairs)


def test_a_transposition_of_one_staff() -> None:
    bar = (
        '<attributes><transpose number="2"><chromatic>-2</chromatic></transpose></attributes>'
        + note("C4", 4)
        + backup(4)
        + note("C4", 4, staff=2)
    )
    assert [n.spelling for n in organ(bar, staves=2).notes] == ["C4", "Bb3"]


@pytest.mark.parametrize(
    ("alter", "spelling", "key"),
    [("2", "C##4", 62), ("-2", "Cbb4", 58), ("-1.0", "Cb4", 59), ("0.5", "C#4", 61)],
)
def test_alterations(alter: str, spelling: str, key: int) -> None:
    bar = note("C#4", 4).replace("<alter>1<", f"<alter>{alter}<")
    assert [(n.spelling, n.key) for n in organ(bar).notes] == [(spelling, key)]


def test_octave_shift_moves_no_key() -> None:
    inside = '<direction-type><octave-shift type="down" size="8"/></direction-type>'
    shift = f"<direction>{inside}<staff>1</staff></direction>"
    assert organ(shift + WHOLE).notes[0].key == 60


def test_drums_have_no_pitch() -> None:
    drum = "<note><unpitched/><duration>4</duration></note>"
    score = read(document(part(drum), part(WHOLE, part_id="P2"), names=("Drums", "Organ")))
    assert [(n.spelling, n.key, n.hand) for n in score.notes] == [("", -1, None), ("C4", 60, "right")]


def test_first_attributes_may_be_missing() -> None:
    score = read(document(f'<part id="P1"><measure number="1">{WHOLE}</measure></part>'))
    assert onsets(score) == [0]
    assert attributes()


def test_overfull_and_unequal_bars_are_said() -> None:
    assert any("more than their time signature" in str(r) for r in organ(note("C4", 6)).repairs)
    parts = part(note("C5", 1)), part(note("C3", 4), part_id="P2")
    score = read(document(*parts, names=("Manual", "Pedal")))
    assert any("unequal" in str(repair) for repair in score.repairs)
    assert not organ(WHOLE).repairs
