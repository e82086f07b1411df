"""The fuzzer, briefly: each kind of input damaged at random, through the whole program; ``make fuzz`` goes on."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from fuzz_kinds import KINDS
from fuzz_running import one

COUNTS = {"score": 18, "archive": 14, "specification": 25, "list": 25, "marking": 60, "results": 120}
MOST_SECONDS = 5.0  # of the processor's time: twice what the fuzzer itself allows, for a machine at its limit


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_input_is_used_or_refused_in_a_sentence(kind: str, tmp_path: Path) -> None:
    outcomes: Counter[str] = Counter()
    for number in range(COUNTS.get(kind, 40)):
        outcome, said, took = one(f"{kind}:2026:{number}", tmp_path)
        assert outcome != "fault" or (said.startswith("it took") and took < MOST_SECONDS), (
            f"{kind}:2026:{number}: {said}"
        )
        outcomes[outcome] += 1
    assert outcomes["usable"] > 0
    assert kind == "marking" or outcomes["refused"] > 0


@pytest.mark.parametrize("kind", KINDS)
def test_a_case_is_made_from_its_name_alone(kind: str) -> None:
    made = [KINDS[kind].make(random.Random(f"{kind}:1:7")) for _ in range(2)]
    assert made[0] == made[1]


def test_a_fault_is_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def falls(data: bytes, dice: random.Random, folder: Path) -> bool:
        raise IndexError("made for this test")

    monkeypatch.setitem(KINDS, "marking", type(KINDS["marking"])(KINDS["marking"].make, falls))
    outcome, said, _ = one("marking:1:1", tmp_path)
    assert outcome == "fault"
    assert "made for this test" in said
