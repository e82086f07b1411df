"""Every passage of the second composed set: where it begins, where it ends, whether that is marked."""

from __future__ import annotations

import pytest

from passage_set import Case, outcome
from passage_set_more import MORE


@pytest.mark.parametrize("case", MORE, ids=lambda case: case.name)
def test_the_passages_are_those_a_player_would_take(case: Case) -> None:
    assert sorted(outcome(case), key=str) == sorted(case.passages, key=str)
