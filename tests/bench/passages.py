"""Figures of the composed set of passages, for its two halves apart.

Usage: PYTHONPATH=tests/support python tests/bench/passages.py
"""

from __future__ import annotations

from passage_set import CASES, Case, outcome
from passage_set_more import MORE


def main() -> None:
    """Print how many passages are found, known as clear or ambiguous, and with the right end first."""
    for name, half in (("a", CASES[::2]), ("b", CASES[1::2])):
        print(f"half {name}: {figures(half)}")
    print(f"second set, composed after the weights but for two of them: {figures(MORE)}")


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
