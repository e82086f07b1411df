"""Markings that are not in the house style, each with its twin in the style."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from core.analysis import Decisions, analyse
from core.cli.main import main
from core.edits import ChangeMarking
from core.findings import Finding, Level
from core.markings.house_style import BUILT_IN, read_style, style_of_text
from core.markings.reading import read_marking
from core.markings.style_proof import off_style, restyled
from core.markings.wording import meaning
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece

PRIMED = 'language: en\nfoot: "{feet}′"\nstops:\n  Open Diapason: Op. Diap.\n'


def found(text: str, style: str, more: str = "Gt. Flute 8") -> list[Finding]:
    piece = (
        Piece(title="Study (invented)")
        .text(1, 1, text)
        .text(1, 1, more, staff=2)
        .repeat_bars(2, "C5:4", "C4:4", "C3:4")
    )
    score = read_score(source_from_bytes(piece.xml()))
    chosen = read_style(style) if style in BUILT_IN else style_of_text(style, path="own.yaml")
    return [f for f in analyse(score, None, Decisions(style=chosen)).findings if f.rule == "off-style"]


TWINS = [
    ("en", "Sw Oboe 8ft", "Sw. Oboe 8"),
    ("en", "Great to Pedal", "Gt. to Ped."),
    ("en", "add Founds. 8", "add Foundations 8"),
    ("en-full", "Sw. Oboe 8 ft.", "Swell Oboe 8 ft."),
    ("en-full", "Swell soft 8' & 4' Flutes", "Swell soft 8 ft. & 4 ft. Flutes"),
]


@pytest.mark.parametrize(("style", "off", "twin"), TWINS)
def test_a_marking_off_the_style_is_advice_with_its_rewording(style: str, off: str, twin: str) -> None:
    more = "Gt. Flute 8" if style == "en" else "Great Flute 8 ft."
    (finding,) = found(off, style, more)
    assert finding.level is Level.ADVICE
    edit = finding.proposals[0].edit
    assert isinstance(edit, ChangeMarking)
    assert edit.text == twin
    assert edit.marking == finding.marking
    assert not found(twin, style, more)


def test_a_style_of_ones_own_says_how_feet_and_stops_are_written() -> None:
    (finding,) = found("Gt. Open Diapason 8ft, Fifteenth 2ft", PRIMED, "Sw. Flute 8′")
    assert finding.proposals[0].edit.text == "Gt. Op. Diap. 8′, Fifteenth 2′"  # type: ignore[union-attr]


def test_another_language_and_what_asks_nothing_are_left_alone() -> None:
    assert not off_style("Récit Hautbois de 8 pieds", read_style("en"), hint="fr")
    assert not off_style("Great is the Lord and greatly to be praised", read_style("en"))
    assert not off_style("Gt. Pist. 4", style_of_text(PRIMED, path="own.yaml"))
    assert not off_style("Gt. Flute No. 2", style_of_text(PRIMED, path="own.yaml"))


@pytest.mark.parametrize("style", BUILT_IN)
@pytest.mark.parametrize(
    "text",
    ["Swell Oboe 8 ft., Gt to Ped", "Réc. Hautbois de 8 pieds, Tirasse G.", "Hauptwerk: Flöte 8 Fuß",
     "Sw. Op. Diap. 8'", "Espressivo: Oboe 8", "Hoofdwerk: Prestant 8 voet", "Órgano Mayor: Flautado 13",
     "Sw. two soft 8s, R. Hand"],
)  # fmt: skip
def test_a_rewording_asks_the_same_and_is_in_the_style(style: str, text: str) -> None:
    chosen = read_style(style)
    changes = off_style(text, chosen)
    again = restyled(text, changes)
    assert meaning(read_marking(again).instructions) == meaning(read_marking(text).instructions)
    assert not off_style(again, chosen)


def test_nothing_is_said_until_a_style_is_chosen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    score = tmp_path / "air.musicxml"
    score.write_bytes(Piece().text(1, 1, "Sw Oboe 8ft").bar("C5:4", "C4:4", "C3:4").xml())
    assert main(["check", str(score), "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert "off-style" not in {f["rule"] for f in plain["findings"]}
    assert "off-style" in {s["rule"] for s in plain["skipped"]}
    assert main(["check", str(score), "--style", "en", "--json"]) == 0
    proved = json.loads(capsys.readouterr().out)
    (finding,) = (f for f in proved["findings"] if f["rule"] == "off-style")
    assert finding["proposals"] == [{"text": "write ‘Sw. Oboe 8’"}]
    assert main(["check", str(score), "--style", "nowhere"]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_a_built_in_style_is_written_out_and_used(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["style"]) == 0
    listed = capsys.readouterr().out
    assert all(name in listed for name in BUILT_IN)
    own = tmp_path / "house.yaml"
    assert main(["style", "en", "-o", str(own)]) == 0
    assert read_style(own).signs == read_style("en").signs
    capsys.readouterr()
    assert main(["style", "en", "-o", str(own)]) == 2
    assert "there already" in capsys.readouterr().err
    own.write_text(own.read_text(encoding="utf-8").replace('foot: "{feet}"', 'foot: "{feet}′"'), encoding="utf-8")
    assert main(["read", "Sw. Oboe 8 ft.", "--style", str(own), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["readings"][0]["written"] == "Sw. Oboe 8′"
    assert main(["style", "xx"]) == 2
    assert main(["style", "de", "--json"]) == 0
    assert "language: de" in json.loads(capsys.readouterr().out.split("\n", 0)[-1])["text"]
