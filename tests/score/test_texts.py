"""Where texts stand in real files (the traps of texts): runs, lines, places, sides, footnotes, title block."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_scores import backup, document, note, organ, part, read, words

from core.score.model import Score, TextKind

FOUR = note("C4", 1) * 4


def direction(inside: str, *, staff: int = 1, placement: str = "above", more: str = "") -> str:
    return f'<direction placement="{placement}">{inside}{more}<staff>{staff}</staff></direction>'


def kind(inside: str) -> str:
    return f"<direction-type>{inside}</direction-type>"


def only_text(score: Score) -> str:
    assert len(score.texts) == 1
    return score.texts[0].text


def test_runs_of_one_direction_are_one_text_without_added_space() -> None:
    runs = "<words>Gr</words><words font-size='6'>d</words><words> Orgue</words>"
    text = organ(direction(kind(runs)) + FOUR).texts[0]
    assert text.text == "Grd Orgue"
    assert text.runs == ("Gr", "d", " Orgue")


def test_runs_in_several_direction_types_are_one_text() -> None:
    score = organ(direction(kind("<words>Sw. </words>") + kind("<words>Oboe</words>")) + FOUR)
    assert only_text(score) == "Sw. Oboe"


def test_a_dynamic_between_words_parts_them() -> None:
    inside = kind("<words>Sw.</words>") + kind("<dynamics><mf/></dynamics>") + kind("<words>Oboe</words>")
    score = organ(direction(inside) + FOUR)
    assert only_text(score) == "Sw. Oboe"
    assert score.texts[0].runs == ("Sw.", " ", "Oboe")
    assert [d.mark for d in score.dynamics] == ["mf"]


def test_line_breaks_and_outer_spaces_are_kept_as_printed() -> None:
    assert only_text(organ(words("Sw. Oboe 8\nGt. soft 8, 4 \n Ped. 16") + FOUR)).count("\n") == 2


def test_empty_words_are_layout() -> None:
    assert organ(words(" ") + words("") + FOUR).texts == ()


def test_private_use_glyphs_become_letters_or_a_question_mark() -> None:
    score = organ(words("più \ue522") + words("\ue123 8") + FOUR)
    assert [t.text for t in score.texts] == ["più f", "? 8"]


def test_words_that_are_a_dynamic_are_both() -> None:
    score = organ(words("pp", placement="below") + FOUR)
    assert [d.mark for d in score.dynamics] == ["pp"]
    assert only_text(score) == "pp"


def test_other_dynamics_are_dynamics() -> None:
    inside = kind("<dynamics><other-dynamics>sempre pp</other-dynamics></dynamics>")
    assert [d.mark for d in organ(direction(inside) + FOUR).dynamics] == ["sempre pp"]


def test_rehearsal_marks_and_other_directions_are_texts_of_their_own_kind() -> None:
    inside = kind("<rehearsal>B</rehearsal>") + kind("<other-direction>Anches R.</other-direction>")
    score = organ(direction(inside) + FOUR)
    assert [(t.text, t.kind) for t in score.texts] == [
        ("B", TextKind.REHEARSAL),
        ("Anches R.", TextKind.OTHER_DIRECTION),
    ]
    assert len({t.id for t in score.texts}) == 2


def test_hidden_other_directions_are_left_out() -> None:
    inside = kind('<other-direction print-object="no">mf at 60</other-direction>')
    assert organ(direction(inside) + FOUR).texts == ()


def test_credits_are_in_force_from_the_first_bar() -> None:
    head = (
        "<credit page='1'><credit-type>title</credit-type><credit-words>Prélude</credit-words></credit>"
        "<credit page='1'><credit-words>R. Hautbois 8; </credit-words><credit-words>G. Montre 8</credit-words></credit>"
    )
    score = organ(FOUR, head=head)
    assert score.title == "Prélude"
    assert [(t.text, t.kind, t.onset, t.role) for t in score.texts] == [
        ("Prélude", TextKind.CREDIT, 0, "title"),
        ("R. Hautbois 8; G. Montre 8", TextKind.CREDIT, 0, ""),
    ]


def test_a_part_name_that_says_more_than_whose_it_is_is_a_text() -> None:
    parts = part(FOUR), part(FOUR, part_id="P2")
    score = read(document(*parts, names=("Organ: Sw. Oboe 8", "Pedal")))
    assert [(t.text, t.kind, t.part) for t in score.texts] == [("Organ: Sw. Oboe 8", TextKind.PART_NAME, 0)]


def test_footnotes_of_notes_and_directions() -> None:
    foot = "<footnote>1) without the Tremulant</footnote>"
    score = organ(words("1)", more=foot) + note("C4", 4))
    assert {(t.text, t.kind) for t in score.texts} == {
        ("1)", TextKind.WORDS),
        ("1) without the Tremulant", TextKind.FOOTNOTE),
    }
    with_note = organ(note("C4", 4).replace("<pitch>", foot + "<pitch>"))
    assert with_note.texts[0].kind is TextKind.FOOTNOTE


# -- place ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("attributes", "side"),
    [(' default-y="20"', "above"), (' default-y="-60"', "below"), ("", None)],
)
def test_placement_by_height_where_it_is_not_said(attributes: str, side: str | None) -> None:
    score = organ(words("Sw. Oboe", placement="", attributes=attributes) + FOUR)
    assert score.texts[0].placement == side


def test_placement_by_the_neighbours() -> None:
    score = organ(words("Sw. Oboe", placement="") + words("Gt. 8", placement="below") + FOUR)
    assert {t.placement for t in score.texts} == {"below"}


def test_a_direction_without_a_staff_goes_to_the_first_and_is_said() -> None:
    score = organ(words("Sw. Oboe", staff=None) + FOUR, staves=3)
    assert score.texts[0].staff == 1
    assert any("no staff" in str(repair) for repair in score.repairs)
    assert not organ(words("Sw. Oboe", staff=None) + FOUR).repairs


def test_printed_order_is_the_files_or_by_height() -> None:
    plain = organ(words("Sw. Oboe") + words("Gt. 8") + words("Ped. 16") + FOUR)
    assert [t.text for t in sorted(plain.texts, key=lambda t: -t.order)] == ["Sw. Oboe", "Gt. 8", "Ped. 16"]
    heights = organ(
        words("Ped. 16", attributes=' default-y="20"')
        + words("Gt. 8", attributes=' default-y="35"')
        + words("Sw. Oboe", attributes=' default-y="50"')
        + FOUR
    )
    assert [t.text for t in sorted(heights.texts, key=lambda t: -t.order)] == ["Sw. Oboe", "Gt. 8", "Ped. 16"]


def test_offset_moves_the_print_and_not_the_sound() -> None:
    score = organ(FOUR, note("C4", 1) * 2 + words("Sw.", more="<offset>-1</offset>") + note("C4", 1) * 2)
    text = score.texts[0]
    assert (score.quarters(text.onset), score.quarters(text.sounding_onset)) == (5, 6)
    assert (text.bar, text.id.in_bar) == (1, score.ticks)


def test_offset_with_sound_moves_both() -> None:
    score = organ(words("Sw.", more='<offset sound="yes">2</offset>') + FOUR)
    assert score.texts[0].onset == score.texts[0].sounding_onset == 2 * score.ticks


def test_an_offset_back_over_the_bar_line_stands_in_the_bar_before() -> None:
    score = organ(FOUR, words("Ped.", more="<offset>-1</offset>") + FOUR)
    assert (score.texts[0].bar, score.quarters(score.texts[0].onset)) == (0, 3)
    assert organ(words("Ped.", more="<offset>-9</offset>") + FOUR).texts[0].onset == 0


def test_the_end_of_a_bar_is_the_next_downbeat_save_the_last() -> None:
    score = organ(FOUR + words("Gt."), FOUR + words("Fine"))
    assert [(t.bar, score.quarters(t.onset)) for t in score.texts] == [(1, 4), (1, 8)]


def test_after_a_backup_and_before_the_first_attributes() -> None:
    score = organ(FOUR + backup(2) + words("Ch.") + note("C3", 2, staff=2), staves=2)
    assert score.quarters(score.texts[0].onset) == 2
    data = document(f'<part id="P1"><measure number="1">{words("Sw.")}{FOUR}</measure></part>')
    assert read(data).texts[0].onset == 0


def test_boxed_texts_are_told() -> None:
    assert organ(words("Sw. Oboe", attributes=' enclosure="rectangle"') + FOUR).texts[0].boxed
    assert not organ(words("Sw. Oboe", attributes=' enclosure="none"') + FOUR).texts[0].boxed


def test_an_id_names_part_bar_staff_place_and_ordinal() -> None:
    score = organ(FOUR, note("C4", 1) + words("Sw.", staff=2) + words("Gt.", staff=2) + note("C4", 3), staves=2)
    first, second = (text.id for text in score.texts)
    assert (first.part, first.bar, first.staff, first.in_bar, first.ordinal) == (0, 1, 2, score.ticks, 0)
    assert second == type(second)(first.part, first.bar, first.staff, first.in_bar, 1)


def test_elements_are_counted_through_the_whole_file() -> None:
    parts = part(words("a") + FOUR, words("b") + FOUR), part(words("c") + FOUR, part_id="P2")
    score = read(document(*parts, names=("Manual", "Pedal")))
    assert {t.text: t.element for t in score.texts} == {"a": 0, "b": 1, "c": 2}
    assert [n.ordinal for n in score.notes if n.part == 1] == list(range(8, 12))


# -- lines, tempos, dynamics ----------------------------------------------------------------------------------


def test_hairpins_with_their_ends() -> None:
    start = direction(kind('<wedge type="crescendo" number="1"/>'), placement="below")
    stop = direction(kind('<wedge type="stop" number="1"/>'), placement="below", more="<offset>1</offset>")
    score = organ(start + note("C4", 1) * 3 + stop + note("C4", 1))
    wedge = score.wedges[0]
    assert (wedge.onset, wedge.end, wedge.growing, wedge.placement) == (0, 4 * score.ticks, True, "below")


def test_a_hairpin_never_closed_ends_with_its_bar_and_is_said() -> None:
    score = organ(direction(kind('<wedge type="diminuendo"/>')) + FOUR, FOUR)
    assert (score.wedges[0].end, score.wedges[0].growing) == (4 * score.ticks, False)
    assert any("never end" in str(repair) for repair in score.repairs)


def test_brackets_and_dashes() -> None:
    score = organ(
        direction(kind('<bracket type="start" number="1" line-end="down"/>'))
        + direction(kind('<dashes type="start" number="2"/>'), staff=2)
        + note("C4", 2)
        + direction(kind('<bracket type="stop" number="1" line-end="down"/>'))
        + note("C4", 2),
        staves=2,
    )
    assert [(b.dashes, b.staff, b.end) for b in score.brackets] == [
        (False, 1, 2 * score.ticks),
        (True, 2, None),
    ]


def test_slurs_also_where_the_stop_stands_before_the_start_in_the_file() -> None:
    def slurred(pitch: str, type_: str) -> str:
        slur = f'<notations><slur type="{type_}" number="1"/></notations>'
        return note(pitch, 1, inside="").replace("</note>", f"{slur}</note>")

    late = "<forward><duration>3</duration></forward>" + slurred("C4", "stop") + backup(4) + slurred("E4", "start")
    score = organ(late + note("C4", 3))
    assert [(s.onset, s.end) for s in score.slurs] == [(0, 3 * score.ticks)]


def test_metronome_marks_and_sound_tempos() -> None:
    def metronome(unit: str, minute: str) -> str:
        return kind(f"<metronome><beat-unit>{unit}</beat-unit><per-minute>{minute}</per-minute></metronome>")

    score = organ(
        direction(kind("<words>Andante</words>") + metronome("half", "c. 40")) + FOUR,
        '<sound tempo="92.5"/>' + FOUR,
        direction(kind("<words>Più lento</words>")) + FOUR,
    )
    assert [(t.bar, t.quarters_a_minute, t.text) for t in score.tempos][:2] == [
        (0, Fraction(80), "Andante"),
        (1, Fraction(185, 2), ""),
    ]


def test_dotted_beats_and_proportions() -> None:
    dotted = kind("<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute></metronome>")
    equal = kind("<metronome><beat-unit>quarter</beat-unit><beat-unit>half</beat-unit></metronome>")
    assert [t.quarters_a_minute for t in organ(direction(dotted) + FOUR).tempos] == [Fraction(90)]
    assert organ(direction(equal) + FOUR).tempos == ()


def test_fermatas_on_notes_rests_and_bar_lines() -> None:
    held = note("C4", 4).replace("</note>", "<notations><fermata/></notations></note>")
    rest = "<note><rest/><duration>4</duration><notations><fermata/></notations></note>"
    line = '<barline location="right"><fermata/></barline>'
    score = organ(held, rest, FOUR + line)
    assert [score.quarters(f.onset) for f in score.fermatas] == [0, 4, 12]


def test_an_end_without_a_start_is_said() -> None:
    score = organ(direction(kind('<bracket type="stop" number="1" line-end="down"/>')) + FOUR)
    assert score.brackets == ()
    assert any("never began" in str(repair) for repair in score.repairs)
