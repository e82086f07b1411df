"""``stopwright score``: its JSON as fixed, its text for people, its refusals."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main

SCORE = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>Invented Air</work-title></work><part-list>
<score-part id="P1"><part-name>Soprano</part-name></score-part>
<score-part id="P2"><part-name>Organ</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>2</divisions></attributes>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>8</duration></note></measure>
<measure number="2"><note><rest/><duration>8</duration></note></measure></part>
<part id="P2"><measure number="1"><attributes><divisions>3</divisions><staves>2</staves></attributes>
<direction placement="above"><direction-type><words>Sw. Oboe 8</words></direction-type><staff>1</staff></direction>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><tie type="start"/>
<voice>1</voice><staff>1</staff></note>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>10</duration><tie type="stop"/>
<voice>1</voice><staff>1</staff></note>
<backup><duration>12</duration></backup>
<note><pitch><step>B</step><alter>-2</alter><octave>2</octave></pitch><duration>12</duration><voice>5</voice>
<staff>2</staff></note></measure>
<measure number="2"><direction><direction-type><words>Fine</words></direction-type><staff>1</staff></direction>
<note><pitch><step>D</step><octave>4</octave></pitch><duration>12</duration><voice>1</voice><staff>1</staff></note>
<barline location="right"><repeat direction="backward"/></barline></measure></part></score-partwise>
"""


@pytest.fixture
def score_file(tmp_path: Path) -> Path:
    path = tmp_path / "air.musicxml"
    path.write_text(SCORE, encoding="utf-8")
    return path


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert main(["score", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_json_has_what_is_fixed(score_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, str(score_file))
    assert list(found)[:2] == ["stopwright", "command"]
    assert [(p["id"], p["name"], p["organ"], p["staves"]) for p in found["parts"]] == [
        ("P1", "Soprano", False, 1),
        ("P2", "Organ", True, 2),
    ]
    assert found["measures"] == [
        {"number": "1", "onset": "0", "length": "4"},
        {"number": "2", "onset": "4", "length": "4"},
    ]
    assert found["played"] == ["1", "2", "1", "2"]
    assert found["notes"][1] == {
        "part": "P2",
        "staff": 1,
        "voice": "1",
        "measure": "1",
        "onset": "0",
        "duration": "2/3",
        "pitch": "F#4",
        "grace": False,
        "tie": "start",
        "hand": "right",
        "bar": 0,
        "in_bar": "0",
    }
    assert [n["pitch"] for n in found["notes"]] == ["C5", "F#4", "Bbb2", "F#4", "D4"]
    text = found["texts"][0]
    assert (text["text"], text["part"], text["staff"], text["kind"]) == ("Sw. Oboe 8", "P2", 1, "registration")
    assert text["at"] == {"measure": "1", "beat": "1", "onset": "0", "pass": 1}
    assert found["texts"][1]["kind"] == "other"


def test_another_part_may_be_told(score_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, str(score_file), "--part", "soprano")
    assert [p["organ"] for p in found["parts"]] == [True, False]


def test_text_for_people(score_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["score", str(score_file)]) == 0
    out = capsys.readouterr().out
    assert "Invented Air" in out
    assert "its name, Organ, says organ" in out
    assert "Sw. Oboe 8" in out
    assert "1–2, 1–2" in out


@pytest.mark.parametrize("content", [b"", b"not a score", b"<score-partwise><part/></score-partwise>"])
def test_bad_input_is_one_sentence_and_status_two(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    path = tmp_path / "bad.musicxml"
    path.write_bytes(content)
    assert main(["score", str(path), "--json"]) == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert streams.err.count("\n") == 1
    assert str(path) in streams.err


def test_a_part_that_is_not_there(score_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["score", str(score_file), "--part", "Tuba"]) == 2
    assert "P2 (Organ)" in capsys.readouterr().err
