"""The fuzzer: seeded cases through the whole program, for as long as one likes.

    python tests/fuzz/run.py --seconds 60               every kind in turn
    python tests/fuzz/run.py --only score --seed 7      one kind
    python tests/fuzz/run.py --again score:7:1234       one case again, with its traceback; --keep writes its bytes

A case is made from its name alone, so the name is all there is to report.
"""

from __future__ import annotations

import argparse
import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from fuzz_kinds import KINDS

from core.errors import StopwrightError

SECONDS, MEGABYTES = 2.0, 300
"""What one case may take of the processor's time and of memory beyond what the program itself holds."""
_HANGS = 30  # seconds until a case is broken off


class TooLongError(Exception):
    """A case went on and on."""


def one(name: str, folder: Path) -> tuple[str, str, float]:
    """Do a case: ``usable``, ``refused`` or ``fault``, what was said, and the time it took."""
    kind, _, _ = name.split(":")
    dice = random.Random(name)
    data = KINDS[kind].make(dice)
    began = time.process_time()
    try:
        outcome, said = ("usable" if KINDS[kind].go(data, dice, folder) else "empty"), ""
    except StopwrightError as error:
        outcome, said = "refused", str(error)
        if not said.strip() or len(said) > 20_000:
            outcome, said = "fault", f"an empty or endless sentence: {said[:200]!r}"
    except Exception:
        outcome, said = "fault", traceback.format_exc()
    took = time.process_time() - began
    if outcome != "fault" and took > SECONDS:
        outcome, said = "fault", f"it took {took:.1f} s"
    for left in folder.iterdir():
        left.unlink()
    return outcome, said, took


def cases(kinds: list[str], seed: int) -> Iterator[str]:
    """Names of cases without end, the kinds in turn."""
    number = 0
    while True:
        for kind in kinds:
            yield f"{kind}:{seed}:{number}"
        number += 1


def peak() -> float:
    """Megabytes held at most so far."""
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 2**20


def _break_off(_number: int, _frame: object) -> None:
    raise TooLongError(f"still at it after {_HANGS} s")


def run(kinds: list[str], seed: int, seconds: float, most: int | None) -> int:
    """Do cases until time is up; prints each fault's name and last lines, then a table. 1 where there was one."""
    signal.signal(signal.SIGALRM, _break_off)
    outcomes: Counter[tuple[str, str]] = Counter()
    longest: dict[str, float] = {}
    faults = 0
    with tempfile.TemporaryDirectory(prefix="stopwright-fuzz-") as folder:
        end, before = time.monotonic() + seconds, 0.0
        for number, name in enumerate(cases(kinds, seed)):
            if time.monotonic() > end or number == most:
                break
            signal.alarm(_HANGS)
            outcome, said, took = one(name, Path(folder))
            signal.alarm(0)
            kind = name.split(":")[0]
            if number > 20 * len(kinds) and peak() - before > MEGABYTES:
                outcome, said = "fault", f"memory grew from {before:.0f} to {peak():.0f} MB"
            before = peak()
            outcomes[kind, outcome] += 1
            longest[kind] = max(longest.get(kind, 0.0), took)
            if outcome == "fault":
                faults += 1
                print(f"FAULT {name}: {' | '.join(said.strip().splitlines()[-3:])}", flush=True)
    for kind in kinds:
        told = ", ".join(
            f"{outcomes[kind, o]} {o}" for o in ("usable", "empty", "refused", "fault") if outcomes[kind, o]
        )
        print(f"{kind:14} {told}; longest {longest.get(kind, 0):.2f} s")
    print(f"{sum(outcomes.values())} cases, {faults} faults, {peak():.0f} MB")
    return min(faults, 1)


def main() -> int:
    """Do what the command line says."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--cases", type=int, help="no more than so many")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=list(KINDS), action="append")
    parser.add_argument("--again", metavar="NAME", help="one case again")
    parser.add_argument("--keep", metavar="FILE", help="with --again: write the case's bytes")
    told = parser.parse_args()
    if told.again:
        if told.keep:
            kind, dice = told.again.split(":")[0], random.Random(told.again)
            Path(told.keep).write_bytes(KINDS[kind].make(dice))
        with tempfile.TemporaryDirectory() as folder:
            print(*one(told.again, Path(folder)), sep="\n")
        return 0
    return run(told.only or list(KINDS), told.seed, told.seconds, told.cases)
