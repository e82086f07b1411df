"""The copy for the engraver: everything can be found again, nothing the engraver would spoil is left."""

from __future__ import annotations

import re

import pytest
from lxml import etree

from core.errors import ScoreError
from core.score.engraving import Prepared, prepare
from core.score.reading import read_score
from core.score.source import source_from_bytes

HEAD = '<part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>'
ATTRIBUTES = "<attributes><divisions>1</divisions><time><beats>1</beats><beat-type>4</beat-type></time></attributes>"
PITCH = "<pitch><step>{1}</step><octave>4</octave></pitch>"
NOTE = "<note{0}>" + PITCH + "<duration>1</duration><type>quarter</type>{2}</note>"


def note(step: str = "C", attributes: str = "", more: str = "") -> str:
    return NOTE.format(attributes, step, more)


def direction(*types: str, more: str = "") -> str:
    kinds = "".join(f"<direction-type>{kind}</direction-type>" for kind in types)
    return f"<direction>{kinds}{more}</direction>"


def score(*bars: str, before: str = "") -> bytes:
    measures = "".join(
        f'<measure number="{n + 1}">{ATTRIBUTES if n == 0 else ""}{bar}</measure>' for n, bar in enumerate(bars)
    )
    text = f'<score-partwise version="4.0">{before}{HEAD}<part id="P1">{measures}</part></score-partwise>'
    return text.encode()


def _texts(prepared: Prepared) -> list[str]:
    return [word.text or "" for word in prepared.root.iter("words")]


def test_each_run_of_a_text_gets_a_colour_of_its_own() -> None:
    bar = direction("<words>Sw.</words>", "<words>Oboe</words>") + direction("<words>Gt.</words>") + note()
    prepared = prepare(score(bar))
    colours = {word.get("color"): word.text for word in prepared.root.iter("words")}
    assert len(colours) == 3
    owners = {prepared.owners[str(colour)]: (text or "").strip() for colour, text in colours.items()}
    assert owners == {"d0.0": "Sw.", "d0.1": "Oboe", "d1.0": "Gt."}


def test_neighbouring_runs_are_kept_apart() -> None:
    prepared = prepare(score(direction("<words>Clarinet</words>", "<words>&amp; Trem.</words>") + note()))
    assert "".join(_texts(prepared)) == "Clarinet & Trem."


def test_other_directions_are_drawn_as_words() -> None:
    prepared = prepare(score(direction("<other-direction>Sw. to Gt.</other-direction>") + note()))
    assert _texts(prepared) == ["Sw. to Gt."]


def test_comments_inside_words_and_hidden_words_are_dropped() -> None:
    bar = (
        direction("<words>Sw. <!-- typo? -->Oboe</words>")
        + direction('<words print-object="no">secret</words>')
        + direction("<words>Gt.</words>")
        + note()
    )
    prepared = prepare(score(bar))
    assert _texts(prepared) == ["Sw. Oboe", "Gt."]
    owners = {prepared.owners[str(word.get("color"))] for word in prepared.root.iter("words")}
    assert owners == {"d0.0", "d2.0"}, "the hidden one keeps its number in the file"


def test_a_bracket_that_never_closes_ends_in_its_own_bar() -> None:
    opened = direction('<bracket type="start" line-end="down" number="1"/>', more="<staff>1</staff>")
    prepared = prepare(score(opened + note(), note()))
    first, second = prepared.root.iter("measure")
    assert [b.get("type") for b in first.iter("bracket")] == ["start", "stop"]
    assert not list(second.iter("bracket"))


def test_a_bracket_that_closes_is_left_alone() -> None:
    start = direction('<bracket type="start" line-end="down" number="1"/>')
    stop = direction('<bracket type="stop" line-end="down" number="1"/>')
    prepared = prepare(score(start + note(), note() + stop))
    assert [b.get("type") for b in prepared.root.iter("bracket")] == ["start", "stop"]


def test_heel_and_toe_are_drawn_as_fingering() -> None:
    marks = "<notations><technical><heel/></technical></notations>"
    prepared = prepare(score(note(more=marks) + note(more=marks.replace("heel", "toe"))))
    assert [f.text for f in prepared.root.iter("fingering")] == ["∪", "∧"]


def test_colours_of_the_file_cannot_be_taken_for_tags() -> None:
    bar = direction("<words>Sw.</words>") + note(attributes=' color="#000001"')
    prepared = prepare(score(bar))
    assert all(n.get("color") is None for n in prepared.root.iter("note"))


def test_the_numbers_of_notes_are_those_of_the_score_as_read() -> None:
    bars = [note("C") + note("E", more="<chord/>"), note("G"), note("B")]
    data = score(*bars)
    prepared = prepare(data)
    read = read_score(source_from_bytes(data))
    copies = {str(n.get("id")): n.findtext("pitch/step") for n in prepared.root.iter("note")}
    assert {f"n{n.ordinal}": n.spelling[0] for n in read.notes} == copies


def test_a_score_bar_by_bar_is_sorted_by_part_and_keeps_the_file_s_numbers() -> None:
    parts = "".join(f'<score-part id="{name}"><part-name>{name}</part-name></score-part>' for name in ("P1", "P2"))

    def bar(number: int, first: str, second: str) -> str:
        return f'<measure number="{number}"><part id="P1">{first}</part><part id="P2">{second}</part></measure>'

    one = bar(1, ATTRIBUTES + note("C"), ATTRIBUTES + note("D"))
    two = bar(2, note("E"), note("F"))
    text = f'<score-timewise version="4.0"><part-list>{parts}</part-list>{one}{two}</score-timewise>'
    prepared = prepare(text.encode())
    assert prepared.root.tag == "score-partwise"
    found = [
        (str(part.get("id")), [(n.get("id"), n.findtext("pitch/step")) for n in part.iter("note")])
        for part in prepared.root.findall("part")
    ]
    assert found == [("P1", [("n0", "C"), ("n2", "E")]), ("P2", [("n1", "D"), ("n3", "F")])]
    assert prepared.bars == 2


def test_the_first_bars_are_a_whole_score() -> None:
    prepared = prepare(score(*[note()] * 90))
    cut = etree.fromstring(prepared.first_bars(60))
    assert len(list(cut.iter("measure"))) == 60
    assert len(list(prepared.root.iter("measure"))) == 90


@pytest.mark.parametrize(
    ("credits", "roles"),
    [
        ([("<credit-type>title</credit-type>", "", "Aria")], {"Aria": "title", "A. Nonesuch": "composer"}),
        (
            [
                ("", "", "Aria"),
                ("", ' justify="center"', "for an organ"),
                ("", ' justify="right"', "A. Nonesuch"),
            ],
            {"Aria": "title", "for an organ": "subtitle", "A. Nonesuch": "composer"},
        ),
        ([("", ' justify="left"', "Prepare: Sw. Oboe")], {"Aria": "title", "Prepare: Sw. Oboe": "text"}),
    ],
)
def test_the_title_block_is_kept_with_what_each_line_is(
    credits: list[tuple[str, str, str]], roles: dict[str, str]
) -> None:
    before = (
        "<work><work-title>Aria</work-title></work>"
        '<identification><creator type="composer">A. Nonesuch</creator></identification>'
    )
    lines = "".join(
        f'<credit page="1">{kind}<credit-words{side}>{text}</credit-words></credit>' for kind, side, text in credits
    )
    prepared = prepare(score(note(), before=before).replace(b"<part-list>", lines.encode() + b"<part-list>"))
    found = {heading.text: heading.role for heading in prepared.headings}
    assert roles.items() <= found.items()
    assert len(found) == len(prepared.headings), "nothing is said twice"
    assert not list(prepared.root.iter("credit"))


def test_what_is_no_score_is_refused_with_a_sentence() -> None:
    with pytest.raises(ScoreError):
        prepare(b"<html/>")
    with pytest.raises(ScoreError):
        prepare(b"not xml at all")


def test_tags_are_six_figures_so_that_the_engraver_takes_them_for_colours() -> None:
    prepared = prepare(score("".join(direction(f"<words>{n}</words>") for n in range(300)) + note()))
    assert len(prepared.owners) == 300
    assert all(re.fullmatch(r"#[0-9A-F]{6}", tag) for tag in prepared.owners)
