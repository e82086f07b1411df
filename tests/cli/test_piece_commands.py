"""The JSON of plan, check and needs keeps the machine interface's form (docs/machine-interface.md)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from core.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
PIECE = ROOT / "sample_specs" / "demo_piece.musicxml"
ORGAN = ROOT / "sample_specs" / "english_three_manual.yaml"
POSITION = {"measure", "beat", "onset", "pass"}


def ask(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, Any]]:
    status = main([*words, "--json"])
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert list(document)[:2] == ["stopwright", "command"]
    assert document["command"] == words[0]
    return status, document


def test_plan(capsys: pytest.CaptureFixture[str]) -> None:
    status, plan = ask(capsys, "plan", str(PIECE), "--organ", str(ORGAN))
    assert status == 0
    first = plan["steps"][0]
    assert first["at"] == {"measure": "1", "beat": "1", "onset": "0", "pass": 1}
    assert first["hands"] == {"right": "Swell", "left": "Swell", "feet": "Pedal"}
    assert "Salicional 8" in first["drawn"]["Swell"]
    assert first["couplers"] == ["Swell to Pedal"]
    assert first["coupled"] == [{"from": "swell", "to": "pedal", "pitch": "8"}]
    keys = {
        "at",
        "marking",
        "hands",
        "drawn",
        "couplers",
        "tremulants",
        "boxes",
        "because",
        "seconds_free",
        "movements",
    }
    for step in plan["steps"]:
        assert keys <= set(step)
        assert set(step["at"]) == POSITION
        for because in step["because"]:
            assert {"request", "division", "chosen", "alternatives", "substitute", "why"} <= set(because)
            assert because["why"]
    for passage in plan["passages"]:
        assert {"hand", "division", "start", "end", "marked_end", "proposals", "marked_start"} <= set(passage)
        assert (passage["end"] is None) == (not passage["marked_end"])
        assert all(0 <= p["score"] <= 1 and set(p["end"]) == POSITION for p in passage["proposals"])
    onsets = [(step["at"]["pass"], float(step["at"]["onset"])) for step in plan["steps"]]
    assert onsets == sorted(onsets)


def test_check_and_its_exit_status(capsys: pytest.CaptureFixture[str]) -> None:
    status, check = ask(capsys, "check", str(PIECE), "--organ", str(ORGAN))
    assert status == (1 if check["counts"]["error"] else 0)
    assert sum(check["counts"].values()) == len(check["findings"])
    for finding in check["findings"]:
        assert {"rule", "level", "at", "until", "staff", "message", "why", "proposals"} <= set(finding)
    status, _ = ask(capsys, "check", str(PIECE), "--organ", str(ORGAN), "--fail-on", "advice")
    assert status == 1
    status, _ = ask(capsys, "check", str(PIECE), "--organ", str(ORGAN), "--fail-on", "never")
    assert status == 0


def test_check_without_an_organ_names_what_it_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    _, check = ask(capsys, "check", str(PIECE))
    assert "hairpin-without-box" in {s["rule"] for s in check["skipped"]}
    assert "solo-without-end" in {f["rule"] for f in check["findings"]}


def test_needs(capsys: pytest.CaptureFixture[str]) -> None:
    status, needs = ask(capsys, "needs", str(PIECE))
    assert status == 0
    assert needs["manuals"] == 3
    assert needs["pedal"] is True
    roles = {d["role"]: d for d in needs["divisions"]}
    assert set(roles) == {"swell", "choir", "great", "pedal"}
    assert roles["swell"]["enclosed"] is True
    assert all(set(r["at"]) == POSITION and "stops" in r for d in needs["divisions"] for r in d["requests"])
    assert {"from": "swell", "to": "pedal", "pitch": "8"}.items() <= needs["couplers"][0].items()
    assert needs["compass"]["pedal"] == ["D2", "A3"]
