"""``stopwright pistons``: text, JSON, CSV, numbers that stay, numbers written into the score."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest

from core.cli.main import main
from core.score.reading import read_score
from core.score.source import read_source
from making import Piece
from walking import CHORDS, opened

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"
FULL = "Gt. Clarabella 8, Dulciana 8, Principal 4, Trumpet 8"
SOFT = "Gt. Dulciana 8"


def piece(*texts: tuple[int, str], title: str = "Study (invented)") -> Piece:
    made = opened(title).repeat_bars(12, *CHORDS)
    for bar, words in texts:
        made.text(bar, 1, words)
    return made


@pytest.fixture
def score(tmp_path: Path) -> Path:
    path = tmp_path / "study.musicxml"
    path.write_bytes(piece((5, FULL), (7, SOFT), (9, FULL)).xml())
    return path


def asked(capsys: pytest.CaptureFixture[str], *words: str | Path, status: int = 0) -> str:
    assert main(["pistons", *(str(w) for w in words)]) == status
    return capsys.readouterr().out


def planned(capsys: pytest.CaptureFixture[str], *words: str | Path, status: int = 0) -> dict[str, object]:
    return json.loads(asked(capsys, *words, "--json", status=status))


def test_each_change_names_its_piston(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = planned(capsys, score, "--organ", LISTS / "en.txt", "--generals", "3-6")
    changes = {c["at"]["measure"]: c["press"] for c in found["changes"]}
    assert changes["5"] == changes["9"] != []
    assert {c["slot"]["number"] for c in found["combinations"]} <= {3, 4, 5, 6}
    assert found["impossible"] == []
    assert found["fewest"] is True


def test_the_text_says_what_is_set_and_when(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = asked(capsys, score, "--organ", LISTS / "en.txt", "--generals", "1-4")
    assert "Great: Trumpet 8" in text
    assert "bar 5: Gen. " in text
    assert "no piston moves them" in text


def test_without_free_pistons_it_is_said_and_the_status_tells(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = asked(capsys, score, "--organ", LISTS / "en.txt", "--generals", "1", "--by-hand", "0", status=1)
    assert "not possible alone" in text


def test_an_organ_without_pistons_asks_which_are_there(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pistons", str(score), "--organ", str(LISTS / "en.txt")]) == 2
    assert "--generals" in capsys.readouterr().err


def test_the_table_for_the_bench(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "bench.csv"
    found = planned(capsys, score, "--organ", LISTS / "en.txt", "--generals", "1-4", "--csv", table)
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert [r["piston"] for r in rows] == [c["piston"] for c in found["combinations"]]
    assert any("Great: Trumpet 8" in row["stops"].split("; ") for row in rows)


def test_numbers_stay_in_a_later_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, plan = tmp_path / "study.musicxml", tmp_path / "plan.json"
    common = (path, "--organ", LISTS / "en.txt", "--generals", "1-8")
    path.write_bytes(piece((7, SOFT + ", Trumpet 8, Principal 4, Fifteenth 2"), (9, FULL)).xml())
    before = planned(capsys, *common)
    plan.write_text(json.dumps(before), encoding="utf-8")
    more = "Gt. Open Diapason 8, Fifteenth 2, Mixture, Trumpet 8"
    path.write_bytes(piece((5, more), (7, SOFT + ", Trumpet 8, Principal 4, Fifteenth 2"), (9, FULL)).xml())
    after = planned(capsys, *common, "--keep", plan)
    at = {c["at"]["measure"]: c["press"] for c in after["changes"]}
    assert at["7"] == next(c["press"] for c in before["changes"] if c["at"]["measure"] == "7")
    assert at["9"] == next(c["press"] for c in before["changes"] if c["at"]["measure"] == "9")
    assert at["5"] not in (at["7"], at["9"], [])


def test_a_file_that_is_no_plan_is_refused(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "other.json"
    other.write_text('{"combinations": 3}', encoding="utf-8")
    status = main(["pistons", str(score), "--organ", str(LISTS / "en.txt"), "--generals", "1-4", "--keep", str(other)])
    assert status == 2
    assert "no piston plan" in capsys.readouterr().err


def test_the_numbers_are_written_at_their_bars(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "numbered.musicxml"
    found = planned(capsys, score, "--organ", LISTS / "en.txt", "--generals", "1-4", "--write", out)
    written = {(t.bar, t.text) for t in read_score(read_source(out)).texts if t.text.startswith("Gen.")}
    pressed = {(int(c["at"]["measure"]) - 1, c["press"][0]) for c in found["changes"] if c["press"]}
    assert written == pressed
    added = re.compile(rb"\s*<direction(?:(?!</direction>).)*<words>Gen\..*?</direction>", re.DOTALL)
    assert added.sub(b"", out.read_bytes()) == score.read_bytes()


def test_a_programme_of_two_pieces(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    second = tmp_path / "second.musicxml"
    second.write_bytes(piece((3, FULL), (6, SOFT), title="Second study (invented)").xml())
    found = planned(capsys, score, second, "--organ", LISTS / "en.txt", "--generals", "1-4")
    assert found["pieces"] == ["Study (invented)", "Second study (invented)"]
    assert {c["piece"] for c in found["changes"]} == {0, 1}
    shared = [c["press"] for c in found["changes"] if c["at"]["measure"] in ("5", "3") and c["press"]]
    assert shared[0] == shared[1]


def test_a_stepper(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = planned(capsys, score, "--organ", LISTS / "en.txt", "--steps", "11-40")
    numbers = [c["slot"]["number"] for c in found["combinations"]]
    assert numbers == list(range(11, 11 + len(numbers)))
    assert numbers


@pytest.mark.parametrize(
    "words", [("--generals", "a-b"), ("--generals", "4-2"), ("--divisionals", "Swell"), ("--divisionals", "Nave:1-2")]
)
def test_a_range_that_is_not_understood(
    words: tuple[str, str], score: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["pistons", str(score), "--organ", str(LISTS / "en.txt"), *words]) == 2
    assert "not understood" in capsys.readouterr().err
