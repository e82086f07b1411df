"""The same piece on several organs: what each has, lacks and puts in its place, and which serves best."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.cli.main import main
from core.compare.organs import Fit, compare_organs
from core.document import Document, OrganFile, organ_from_text
from core.notes import NO_NOTES
from core.score.source import source_from_bytes
from making import Piece

WHOLE = """
specification: 1
name: St Mylor, Upper Trevean (invented)
tradition: english
divisions:
  - name: Great
    keyboard: manual 2
    stops: [Open Diapason 8, Principal 4]
  - name: Swell
    keyboard: manual 3
    enclosed: true
    stops: [Salicional 8, Oboe 8]
  - name: Choir
    keyboard: manual 1
    stops: [Dulciana 8, Clarinet 8]
  - name: Pedal
    stops: [Bourdon 16]
couplers: [Swell to Great, Great to Pedal]
"""
TWO_MANUALS = """
specification: 1
name: Chapel of St Ia (invented)
tradition: english
divisions:
  - name: Great
    stops: [Open Diapason 8, Principal 4]
  - name: Swell
    enclosed: true
    stops: [Gamba 8, Oboe 8, Clarinet 8]
  - name: Pedal
    stops: [Bourdon 16]
couplers: [Swell to Great]
"""
BARE = """
Mission Room, Polgrean (invented)

MANUAL
Stopped Diapason 8
Flute 4
"""


def _piece() -> Piece:
    piece = Piece()
    for _ in range(4):
        piece.bar("C5 D5 E5 F5", "C3+E3:4", "C2:4")
    piece.text(1, 1, "Gt. Open Diapason 8, Sw. to Gt.", staff=1)
    piece.text(2, 1, "Sw. Salicional 8", staff=2)
    piece.text(3, 1, "Ch. Clarinet 8", staff=1)
    piece.text(1, 1, "Ped. Bourdon 16", staff=3)
    return piece


def _compared(*texts: str) -> tuple[Fit, ...]:
    document = Document(source=source_from_bytes(_piece().xml()), notes=NO_NOTES)
    files = [OrganFile(path=f"{n}", text=t, organ=organ_from_text(t, f"{n}.yaml")) for n, t in enumerate(texts)]
    return compare_organs(document, files)


def test_the_organ_that_has_all_comes_first_and_says_so() -> None:
    best, second = _compared(TWO_MANUALS, WHOLE)
    assert best.organ.name.startswith("St Mylor")
    assert (best.share, best.exact, best.elsewhere, best.instead, best.lacks) == (1, 5, 0, (), ())
    assert str(best.why).startswith("all that is asked is had as written")
    assert second.share < 1


def test_a_stop_on_another_keyboard_is_told_apart_from_a_substitute() -> None:
    fit = _compared(TWO_MANUALS)[0]
    assert fit.elsewhere == 1  # the Clarinet itself, on the Swell
    assert [(i.request, i.division, i.chosen) for i in fit.instead] == [("Salicional 8", "Swell", ("Gamba 8",))]
    choir = next(row for row in fit.keyboards if row.asked == "Choir")
    assert choir.division == "Swell"
    assert choir.stand_in
    assert str(choir.why)


def test_what_cannot_be_had_is_named_with_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score, organs = tmp_path / "piece.musicxml", tmp_path / "organs"
    score.write_bytes(_piece().xml())
    organs.mkdir()
    (organs / "a.yaml").write_text(WHOLE, encoding="utf-8")
    (organs / "b.txt").write_text(BARE, encoding="utf-8")
    (organs / "c.yaml").write_text("specification: 1\n", encoding="utf-8")
    (organs / "notes.md").write_text("no organ", encoding="utf-8")
    assert main(["compare", str(score), "--organs", str(organs), "--json"]) == 0
    said = capsys.readouterr()
    found = json.loads(said.out)
    assert [o["rank"] for o in found["organs"]] == [1, 2]
    assert [Path(u["path"]).name for u in found["unusable"]] == ["c.yaml"]
    assert "c.yaml" in said.err
    bare = found["organs"][1]
    assert bare["lacking"] == len(bare["lacks"]) > 0
    assert any("Pedal" in lack["message"] for lack in bare["lacks"])
    assert all(lack["at"]["measure"] for lack in bare["lacks"])
    assert bare["worst"][0]["level"] == "error"
    assert bare["counts"]["error"] >= 1


def test_the_table_tells_ranks_and_reasons(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score = tmp_path / "piece.musicxml"
    score.write_bytes(_piece().xml())
    for name, text in (("a.yaml", WHOLE), ("b.yaml", TWO_MANUALS)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert main(["compare", str(score), "--organs", str(tmp_path / "b.yaml"), str(tmp_path / "a.yaml")]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].split(".")[0].strip() == "1"
    assert "St Mylor" in lines[1]
    assert any(line.strip().startswith("bar 2: Salicional 8: Gamba 8") for line in lines)
    assert any("Choir → Swell (stands in)" in line for line in lines)


def test_a_file_that_was_named_and_is_no_organ_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score, other = tmp_path / "piece.musicxml", tmp_path / "none.yaml"
    score.write_bytes(_piece().xml())
    other.write_text("specification: 1\n", encoding="utf-8")
    (tmp_path / "empty").mkdir()
    for named in (other, tmp_path / "empty", tmp_path / "missing.txt"):
        assert main(["compare", str(score), "--organs", str(named)]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert str(named) in said.err
