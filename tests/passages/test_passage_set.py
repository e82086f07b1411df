"""Every passage of the composed set: found, its boundaries right, ambiguous ones flagged and no clear one."""

from __future__ import annotations

import pytest

from passage_set import CASES, Case, outcome


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.name)
def test_boundaries(case: Case) -> None:
    assert sorted(map(str, outcome(case))) == sorted(map(str, case.passages))


def test_the_set_is_large_and_of_three_languages() -> None:
    assert sum(len(c.passages) for c in CASES) >= 40
    assert {c.organ for c in CASES} == {"en", "fr", "de"}
