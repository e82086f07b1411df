"""Markings that were never read before are read fast: measured against a plain loop in the same run.

Ten thousand markings took as long as five loops of ten million additions where this was written; the bound leaves
room for a busy machine. `python tests/bench/run.py` prints seconds.
"""

from __future__ import annotations

import time
from pathlib import Path

import yaml

from core.markings.reading import read_marking

CASES = Path(__file__).parents[1] / "markings" / "cases.yaml"
WORTH = 10.0
"""Ten thousand markings may take as long as this many loops."""


def _loop() -> float:
    """Seconds of this process's own time for ten million additions."""
    start, total = time.process_time(), 0
    for number in range(1_000_000):
        total += number
    return (time.process_time() - start) * 10


def _reading(texts: list[str], again: int) -> float:
    """Seconds for ten thousand markings, none of them read before."""
    fresh = [text + " " * again for text in texts]
    start = time.process_time()
    for text in fresh:
        read_marking(text)
    return (time.process_time() - start) * 10_000 / len(texts)


def test_ten_thousand_markings_take_no_longer_than_some_loops() -> None:
    cases = yaml.safe_load(CASES.read_text(encoding="utf-8"))
    texts = [case[0] for tongue in cases.values() for case in tongue]
    _reading(texts, 1)
    ratios = [_reading(texts, again) / _loop() for again in range(2, 6)]
    assert min(ratios) < WORTH, ratios


def test_a_long_text_takes_no_more_than_its_share() -> None:
    part = "Gt. 8 & 4, Sw. Oboe with Trem., Ped. Bourdon 16, Sw. to Gt.; "
    short, long = part * 4, part * 64
    read_marking(short)
    start = time.process_time()
    read_marking(short + " ")
    brief = time.process_time() - start
    start = time.process_time()
    read_marking(long)
    assert time.process_time() - start < max(brief, 0.001) * 16 * 6
