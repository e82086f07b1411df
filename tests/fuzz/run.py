"""Starts the fuzzer from anywhere: ``python tests/fuzz/run.py --seconds 60``."""

from __future__ import annotations

import sys
from pathlib import Path


def main() -> int:
    """Find the house and its tests' support, then run."""
    here = Path(__file__).resolve().parent
    sys.path[:0] = [str(here), str(here.parent / "support"), str(here.parents[1])]
    from fuzz_running import main as run

    return run()


if __name__ == "__main__":
    sys.exit(main())
