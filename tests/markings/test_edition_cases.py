"""Markings in the wording of printed editions are read as the conventions say (tests/markings/edition_cases.yaml)."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
import yaml

from core.markings.reading import read_marking

sys.path.insert(0, str(Path(__file__).parent))
from readings import normal, show, without_family

CASES = yaml.safe_load((Path(__file__).parent / "edition_cases.yaml").read_text(encoding="utf-8"))


def _is_read(text: str, wanted: list[str]) -> bool:
    reading = read_marking(text)
    if "unread" in wanted and not reading.unread:
        return False
    read = sorted(show(one) for one in reading.instructions)
    gold = sorted(normal(line) for line in wanted if line != "unread")
    if read != gold:  # a name without a family in the case is not judged by family
        read = sorted(without_family(line) if line not in gold else line for line in read)
        gold = sorted(without_family(line) if line not in read else line for line in gold)
    return read == gold


@pytest.mark.parametrize("language", list(CASES))
def test_editions(language: str) -> None:
    wrong = [
        (text, [show(one) for one in read_marking(text).instructions])
        for text, *wanted in CASES[language]
        if not _is_read(text, wanted)
    ]
    assert not wrong, f"{len(wrong)} of {len(CASES[language])}: {wrong[:20]}"


def test_there_are_many() -> None:
    assert sum(map(len, CASES.values())) > 900
