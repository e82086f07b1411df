"""Worked cases of choosing stops on eight invented organs, many from published registration advice."""

from __future__ import annotations

import draw_judge
import pytest


@pytest.mark.parametrize("case", draw_judge.cases(), ids=lambda case: case.name)
def test_the_marking_draws_what_a_fine_organist_would(case: draw_judge.Case) -> None:
    assert draw_judge.judge(case) == []


def test_there_are_enough_cases_and_enough_with_a_published_source() -> None:
    cases = draw_judge.cases()
    assert len(cases) >= 80
    assert sum("source" in case.raw for case in cases) >= 40
