"""What the user decided comes into every command that reads the score, and says that it is the user's."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from core.cli.main import main
from core.document import Shelf, open_document, save_notes, score_of
from core.edits import Dismiss, PinStops, Raise, SetBoundary, SetHand, SetKeyboard, SetOrganParts, apply

SPECIFICATION = """specification: 1
name: St Example
invented: yes
divisions:
  - name: Great
    stops:
      - Open Diapason 8
      - Stopped Diapason 8
  - name: Swell
    stops: [Salicional 8]
"""


def tone(step: str, octave: int, staff: int) -> str:
    pitch = f"<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
    return f"<note>{pitch}<duration>4</duration><staff>{staff}</staff></note>"


def direction(text: str) -> str:
    return f"<direction><direction-type><words>{text}</words></direction-type><staff>1</staff></direction>"


BARS = "".join(
    f'<measure number="{number}">{first}{tone("C", 5, 1)}<backup><duration>4</duration></backup>'
    f"{tone('E', 3, 2)}</measure>"
    for number, first in (
        (
            1,
            "<attributes><divisions>1</divisions><staves>2</staves></attributes>" + direction("Gt. Diapasons 8"),
        ),
        (2, direction("Sw. Vox Angelica 8")),
        (3, ""),
    )
)
SCORE = (
    '<score-partwise><part-list><score-part id="P1"><part-name>Organ</part-name></score-part></part-list>'
    f'<part id="P1">{BARS}</part></score-partwise>'
)


@pytest.fixture
def score(tmp_path: Path) -> Path:
    path = tmp_path / "Verset.musicxml"
    path.write_text(SCORE)
    (tmp_path / "organ.yaml").write_text(SPECIFICATION)
    return path


def run(command: str, score: Path, *words: str, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    organ = ["--organ", str(score.with_name("organ.yaml"))] if command != "score" else []
    main([command, str(score), "--json", *organ, *words])
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    return answer


def decide(score: Path, *edits: Any) -> None:
    shelf = Shelf()
    document = open_document(score, shelf=shelf)
    for edit in edits:
        document = apply(document, edit).document
    save_notes(document, shelf)


def test_a_dismissed_finding_is_listed_apart(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = run("check", score, capsys=capsys)
    angelica = next(f for f in before["findings"] if "Angelica" in f["message"])
    assert before["dismissed"] == []
    marking = score_of(open_document(score)).texts[1].id
    decide(score, Dismiss(rule=angelica["rule"], marking=marking, reason="they know it"))
    after = run("check", score, capsys=capsys)
    assert [f for f in before["findings"] if f not in after["findings"]] == [angelica]
    assert after["dismissed"] == [{**angelica, "by": "user", "reason": "they know it"}]
    assert run("check", score, "--without-notes", capsys=capsys)["findings"] == before["findings"]
    decide(score, Raise(rule=angelica["rule"], marking=marking))
    assert run("check", score, capsys=capsys)["findings"] == before["findings"]


def test_a_finding_without_a_marking_is_dismissed_by_its_place(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = run("check", score, capsys=capsys)
    document = open_document(score)
    read = score_of(document)
    finding = before["findings"][0]
    onset = int(float(finding["at"]["onset"]) * read.ticks)
    decide(score, Dismiss(rule=finding["rule"], onset=onset, reason=""))
    after = run("check", score, capsys=capsys)
    assert finding not in after["findings"]
    assert finding["message"] in [d["message"] for d in after["dismissed"]]


def test_hands_and_parts_are_the_users(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = run("score", score, capsys=capsys)
    assert [part["hands"] for part in before["parts"]] == [["right", "left"]]
    decide(score, SetHand(part=0, staff=2, hand="feet"), SetOrganParts(parts=("P1",)))
    after = run("score", score, capsys=capsys)
    assert [part["hands"] for part in after["parts"]] == [["right", "feet"]]
    assert {n["hand"] for n in after["notes"] if n["staff"] == 2} == {"feet"}
    decide(score, SetHand(part=0, staff=2, hand=None, clear=True))
    assert run("score", score, capsys=capsys)["notes"] == before["notes"]


def test_keyboards_and_pins_change_the_plan(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = run("plan", score, capsys=capsys)
    assert before["steps"][-1]["drawn"].get("Swell") == ["Salicional 8"]
    decide(score, SetKeyboard(organ="St Example", asked="swell", division="great"))
    after = run("plan", score, capsys=capsys)
    assert "Swell" not in after["steps"][-1]["drawn"]
    decide(score, SetKeyboard(organ="St Example", asked="swell", division=None))
    assert run("plan", score, capsys=capsys) == before
    because = before["steps"][-1]["because"][-1]
    marking = score_of(open_document(score)).texts[1].id
    pin = PinStops(organ="St Example", marking=marking, request=because["request"], stops=())
    decide(score, pin)
    assert run("plan", score, capsys=capsys)["steps"][-1]["drawn"].get("Swell", []) == []


def test_what_the_notes_name_and_the_score_lacks_is_told(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    marking = score_of(open_document(score)).texts[1].id
    decide(score, SetBoundary(marking=marking, which="end", onset=4))
    score.write_text(SCORE.replace("Sw. Vox Angelica 8", "Ch. Dulciana 8"))
    assert main(["score", str(score)]) == 0
    told = capsys.readouterr().err
    assert "‘Sw. Vox Angelica 8’ at bar 2 was not found" in told


def test_faulty_notes_are_one_clear_error(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score.with_name("Verset.stopwright.yaml").write_text("stopwright notes: 1\npins: [x]\n")
    for command in ("score", "check", "needs", "mark"):
        words = ["-o", str(score.with_name("out.musicxml"))] if command == "mark" else []
        assert main([command, str(score), *words]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert "Verset.stopwright.yaml" in told.err
        assert main([command, str(score), "--without-notes", *words]) in (0, 1)
        capsys.readouterr()
