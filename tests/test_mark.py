"""``stopwright mark``: the same bytes with no option, one marking more with ``--add``, else one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main
from core.files import backup_path
from core.score.reading import load_score


def tone(step: str, octave: int, duration: int, staff: int) -> str:
    pitch = f"<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
    return f"      <note>{pitch}<duration>{duration}</duration><staff>{staff}</staff></note>\n"


BAR = (
    '    <measure number="{number}">\n{attributes}'
    + tone("C", 5, 4, 1)
    + tone("D", 5, 4, 1)
    + "      <backup><duration>8</duration></backup>\n"
    + tone("E", 3, 8, 2)
    + "    </measure>\n"
)
ATTRIBUTES = (
    "      <attributes><divisions>2</divisions><time><beats>2</beats><beat-type>2</beat-type></time>"
    "<staves>2</staves></attributes>\n"
)
DIVISIONS = "      <attributes><divisions>1</divisions></attributes>\n"
VOICE = (
    '  <part id="P1">\n'
    + "".join(
        f'    <measure number="{number}">\n{first}{tone("A", 4, 4, 1)}    </measure>\n'
        for number, first in ((7, DIVISIONS), (8, ""), (7, ""))
    )
    + "  </part>\n"
)
SCORE = (
    '<?xml version="1.0"?>\n<score-partwise version="4.0">\n  <part-list>\n'
    '    <score-part id="P1"><part-name>Soprano</part-name></score-part>\n'
    '    <score-part id="P2"><part-name>Organ</part-name></score-part>\n'
    '    <score-part id="P3"><part-name>Organ (Pedal)</part-name></score-part>\n  </part-list>\n'
    + VOICE
    + '  <part id="P2">\n'
    + BAR.format(number=7, attributes=ATTRIBUTES)
    + BAR.format(number=8, attributes="")
    + BAR.format(number=7, attributes="")
    + "  </part>\n"
    + VOICE.replace('"P1"', '"P3"')
    + "</score-partwise>\n"
)


@pytest.fixture
def score(tmp_path: Path) -> Path:
    path = tmp_path / "Verset.musicxml"
    path.write_text(SCORE)
    return path


def test_no_option_gives_the_same_bytes(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = score.with_name("out.musicxml")
    assert main(["mark", str(score), "-o", str(out)]) == 0
    assert out.read_text() == SCORE
    assert main(["mark", str(score), "-o", str(score)]) == 0
    assert score.read_text() == SCORE
    assert not backup_path(score).exists()
    assert "unchanged" in capsys.readouterr().out


def test_added_markings_stand_where_they_were_asked(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = score.with_name("out.musicxml")
    words = ["--add", "8:2:1:Sw. Oboe: soft", "--add", "7:1:3:Ped. 16", "--add", "8:3/2:2:Gt.", "--json"]
    assert main(["mark", str(score), "-o", str(out), *words]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["command"] == "mark"
    assert [(a["text"], a["at"]["measure"], a["at"]["beat"], a["part"], a["staff"]) for a in told["added"]] == [
        ("Sw. Oboe: soft", "8", "2", "P2", 1),
        ("Ped. 16", "7", "1", "P3", 3),
        ("Gt.", "8", "3/2", "P2", 2),
    ]
    _, read = load_score(out)
    placed = {(t.text, t.part, t.bar, t.staff, read.quarters(t.id.in_bar)) for t in read.texts}
    assert placed >= {
        ("Sw. Oboe: soft", 1, 1, 1, 2),
        ("Ped. 16", 2, 0, 1, 0),
        ("Gt.", 1, 1, 2, 1),
    }
    new, old = out.read_text().split("\n"), SCORE.split("\n")
    assert [line for line in new if line in old] == old
    assert len(new) == len(old) + 6 + 5 + 7


def test_the_input_itself_may_be_written_and_is_kept_as_it_was(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mark", str(score), "-o", str(score), "--add", "8:1:1:Gt."]) == 0
    assert "<words>Gt.</words>" in score.read_text()
    assert backup_path(score).read_text() == SCORE
    assert "as it was" in capsys.readouterr().out


def test_another_ending_packs_the_score(score: Path) -> None:
    out = score.with_name("out.mxl")
    assert main(["mark", str(score), "-o", str(out), "--add", "8:1:1:Gt."]) == 0
    source, read = load_score(out)
    assert source.member == "out.musicxml"
    assert "Gt." in [text.text for text in read.texts]
    back = score.with_name("back.musicxml")
    assert main(["mark", str(out), "-o", str(back)]) == 0
    assert back.read_bytes() == source.xml


def test_part_tells_which_part_is_the_organists(score: Path) -> None:
    out = score.with_name("out.musicxml")
    assert main(["mark", str(score), "-o", str(out), "--part", "P1", "--add", "8:1:1:Solo"]) == 0
    _, read = load_score(out)
    assert ("Solo", 0) in [(text.text, text.part) for text in read.texts]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--add", "8:1:1"], "MEASURE:BEAT:STAFF:TEXT"),
        (["--add", "8:x:1:Gt."], "no beat"),
        (["--add", "8:0:1:Gt."], "beats count from 1"),
        (["--add", "8:1:0:Gt."], "staves count from 1"),
        (["--add", "8:1:1: "], "has no text"),
        (["--add", "9:1:1:Gt."], "no measure bears the number 9"),
        (["--add", "8:3:1:Gt."], "measure 8 has no beat 3"),
        (["--add", "8:8/7:1:Gt."], "between the steps"),
        (["--add", "8:1:4:Gt."], "no staff 4"),
        (["--organ", "none.yaml"], "none.yaml"),
        (["--notes", "none.yaml"], "none.yaml"),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_nothing_is_written(
    score: Path, words: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = score.with_name("out.musicxml")
    assert main(["mark", str(score), "-o", str(out), *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert sentence in told.err
    assert told.err.count("\n") == 1
    assert not out.exists()


def test_a_place_that_cannot_be_written_is_one_sentence(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mark", str(score), "-o", str(score.parent / "no" / "out.musicxml")]) == 2
    assert "no such folder" in capsys.readouterr().err
    assert main(["mark", str(score), "-o", str(score.parent)]) == 2
    assert "this is a folder" in capsys.readouterr().err
