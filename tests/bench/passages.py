"""Figures of the solo passages: the composed sets, and scenes drawn at random, before and after the weights are chosen.

The weights are chosen on one half and reported on the other. Half A is every other case of the composed set and the
scenes of even seeds; half B is the rest. From the weights as they stand in the data (set by rank) each in turn is made
lighter or heavier; a change is kept only where half A has strictly more cases wholly right. Half B, the second composed
set and fresh scenes are only reported. Nothing is written: the weights found are printed, and whether they go into the
data is decided by what they do to half B.

Usage: PYTHONPATH=tests/support python tests/bench/passages.py [--scenes N]
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager

from core.knowledge.loader import load
from core.passages.evidence import Surroundings
from passage_scenes import scene
from passage_set import CASES, Case, outcome
from passage_set_more import MORE

FACTORS = (0.5, 0.75, 1.25, 1.5)
Weights = dict[str, float]


@contextmanager
def weighed(weights: Weights) -> Iterator[None]:
    """The passages are found with other weights than the data's."""
    was = Surroundings.weights
    Surroundings.weights = property(lambda self: weights)  # type: ignore[assignment,method-assign]
    try:
        yield
    finally:
        Surroundings.weights = was  # type: ignore[method-assign]


def right_cases(cases: tuple[Case, ...], weights: Weights) -> int:
    """How many cases come out exactly as expected: hands, starts, ends, likeliest ends, nothing besides."""
    with weighed(weights):
        return sum(sorted(map(str, outcome(case))) == sorted(map(str, case.passages)) for case in cases)


def chosen(cases: tuple[Case, ...], weights: Weights) -> tuple[Weights, int]:
    """Weights after a search one coordinate at a time, until no change brings more cases; and how many it was."""
    best = right_cases(cases, weights)
    kept = 0
    moved = True
    while moved and best < len(cases):
        moved = False
        for kind in weights:
            for factor in FACTORS:
                tried = {**weights, kind: weights[kind] * factor}
                now = right_cases(cases, tried)
                if now > best:
                    weights, best, moved, kept = tried, now, True, kept + 1
    return weights, kept


def main() -> None:
    """Choose on half A, report on half B, on the second set and on fresh scenes."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--scenes", type=int, default=30, help="scenes of either half, and fresh ones")
    count = parser.parse_args().scenes
    half_a = (*CASES[::2], *(scene(seed) for seed in range(0, 2 * count, 2)))
    half_b = (*CASES[1::2], *(scene(seed) for seed in range(1, 2 * count, 2)))
    fresh = tuple(scene(seed) for seed in range(10_000, 10_000 + count))
    stand = {name: float(value) for name, value in load("passages")["weights"].items()}
    found, kept = chosen(half_a, stand)
    changed = {name: (stand[name], value) for name, value in found.items() if value != stand[name]}
    print(f"half A has {len(half_a)} cases: {right_cases(half_a, stand)} right as the weights stand, "
          f"{right_cases(half_a, found)} after the search ({kept} changes kept)")  # fmt: skip
    print(f"weights that the search would change: {changed or 'none'}")
    for name, weights in (("as they stand", stand), ("as found", found)):
        if weights is found and not changed:
            break
        with weighed(weights):
            for title, cases in (("half A", half_a), ("half B", half_b), ("second set", MORE), ("fresh scenes", fresh)):
                print(f"{name}, {title}: {figures(cases)}")


def figures(cases: tuple[Case, ...]) -> str:
    """One line of figures over some cases."""
    asked = found = ambiguous = flagged = first = clear = right = 0
    false = 0
    for case in cases:
        got = outcome(case)
        for want in case.passages:
            asked += 1
            match = next(
                (g for g in got if (g.hand, g.division, g.start) == (want.hand, want.division, want.start)), None
            )
            found += match is not None
            if want.end is None:
                ambiguous += 1
                flagged += match is not None and match.end is None
                first += match is not None and match.likeliest == want.likeliest
            else:
                clear += 1
                right += match is not None and match.end == want.end
        false += max(len(got) - len(case.passages), 0)
    return (
        f"found {found}/{asked}, false {false}; clear ends right {right}/{clear}; "
        f"ambiguous flagged {flagged}/{ambiguous}, right end first {first}/{ambiguous}"
    )


if __name__ == "__main__":
    main()
