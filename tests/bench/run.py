"""Speeds of the whole walk, each beside music21's parse of the same file in the same run.

Usage: python tests/bench/run.py [BARS ...] [--alone]

Prints for each size: reading, reading with readings of all texts, the whole check, the first edit and a later one
worked through to new findings, and the ratio of music21's parse to each; the growth of each with the size; the
peak memory of a check in a process of its own; the start-up of the command line and what it imports the longest.
The pieces have 18 notes a bar: with more, 10,000 bars would be refused. Times are seconds of this process's own
time, the best of three.
"""

from __future__ import annotations

import argparse
import gc
import math
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import yaml
from bench_reading import time_music21, write_score

from core.analysis import Analysis, analyse, analyse_document
from core.document import Document, OrganFile
from core.edits import AddMarking, apply
from core.markings.gathering import gather
from core.markings.reading import read_marking
from core.organ.model import Organ
from core.organ.reading import load_organ
from core.score.reading import load_score
from core.score.source import read_source

ORGAN = Path(__file__).resolve().parents[2] / "sample_specs" / "english_three_manual.yaml"
SIZES = [100, 300, 1000, 2000, 10_000]
WRITTEN = ("Ch. Clarinet", "Gt. 8 & 4", "Sw. Gamba 8", "add Principal 4")
"""What is added by one edit after the other."""


def best(action: Callable[[], object], repeats: int = 3) -> float:
    """The best of some runs, in seconds of this process's own time."""
    times = []
    for _ in range(repeats):
        gc.collect()
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return min(times)


class Desk:
    """A piece that is edited, walked through after each edit as the window does it."""

    def __init__(self, path: Path, organ: Organ) -> None:
        files = (OrganFile(path=None, text="", organ=organ),)
        self.document = Document(source=read_source(path), organs=files, chosen=0)
        self.analysis: Analysis = analyse_document(self.document)
        self._turn = count()

    def edit(self) -> None:
        """Add a marking in the middle of the piece; findings are new after it."""
        turn = next(self._turn)
        bar = (len(self.analysis.score.bars) // 2 + 3 * turn) % len(self.analysis.score.bars)
        edit = AddMarking(part=0, bar=bar, staff=1, in_bar=0, text=WRITTEN[turn % len(WRITTEN)])
        applied = apply(self.document, edit, self.analysis.read)
        self.document = applied.document
        self.analysis = analyse_document(self.document, score=applied.score, earlier=self.analysis)


def time_edits(path: Path, organ: Organ, repeats: int = 8) -> tuple[float, float]:
    """Seconds of the first edit of a piece, and of the slowest of some later ones."""
    desk = Desk(path, organ)
    gc.collect()
    gc.freeze()
    first = best(desk.edit, 1)
    later = max(best(desk.edit, 1) for _ in range(repeats))
    gc.unfreeze()
    return first, later


def time_markings() -> float:
    """Seconds of this process's own time for 10,000 distinct markings of the committed cases."""
    cases = yaml.safe_load((Path(__file__).parents[1] / "markings" / "cases.yaml").read_text(encoding="utf-8"))
    texts = [case[0] for tongue in cases.values() for case in tongue]
    read_marking("Sw. Oboe")
    start = time.process_time()
    done = 0
    while done < 10_000:
        for text in texts:
            read_marking(text + " " * (1 + done // len(texts)))  # never the same text: nothing comes from a cache
            done += 1
    return (time.process_time() - start) * 10_000 / done


def times_of(path: Path, organ: Organ) -> dict[str, float]:
    """All times of one piece by their names."""
    times = {
        "read": best(lambda: load_score(path)),
        "read and readings": best(lambda: gather(load_score(path)[1], read_marking)),
        "check": best(lambda: analyse(load_score(path)[1], organ)),
    }
    times["first edit"], times["slowest of 8 later edits"] = time_edits(path, organ)
    return times


def growth(sizes: list[int], times: list[float]) -> float:
    """The exponent with which a time grows from the smallest size to the largest."""
    return math.log(times[-1] / times[0]) / math.log(sizes[-1] / sizes[0])


def peak_memory(path: Path) -> float:
    """Megabytes that a check from the command line takes at the most (told by Linux alone; elsewhere 0).

    The process's own high-water mark: what `resource` tells of a child begins with its parent's size.
    """
    code = (
        "import re, sys; from core.cli.main import main\n"
        f"try: main(['check', {str(path)!r}, '--organ', {str(ORGAN)!r}, '--json'])\n"
        "except SystemExit: pass\n"
        "try: told = open('/proc/self/status').read()\n"
        "except OSError: told = 'VmHWM: 0'\n"
        "print(re.search(r'VmHWM:\\s*(\\d+)', told)[1], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return int(done.stderr.split()[-1]) / 1024


def slow_imports(module: str, most: int = 6) -> Iterator[str]:
    """The imports of a module that take the longest by themselves, in milliseconds."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", f"import {module}"], capture_output=True, text=True
    )
    rows = re.findall(r"import time:\s+(\d+) \|\s+\d+ \|\s+(\S+)", done.stderr)
    for own, name in sorted(((int(own), name) for own, name in rows), reverse=True)[:most]:
        yield f"{name} {own / 1000:.0f}"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("bars", type=int, nargs="*", default=SIZES)
    parser.add_argument("--alone", action="store_true", help="without music21")
    arguments = parser.parse_args()
    organ = load_organ(ORGAN)
    everything: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for bars in arguments.bars:
            path = Path(folder) / f"bench{bars}.musicxml"
            path.write_text(write_score(bars, thin=True), encoding="utf-8")
            times = times_of(path, organ)
            theirs = None if arguments.alone else time_music21(path)
            words = []
            for name, ours in times.items():
                everything.setdefault(name, []).append(ours)
                ratio = f" ({theirs / ours:.1f}×)" if theirs else ""
                words.append(f"{name} {ours:.3f} s{ratio}")
            against = f"; music21 parse {theirs:.2f} s" if theirs else ""
            print(f"{bars} bars: {', '.join(words)}{against}; check alone {peak_memory(path):.0f} MB", flush=True)
    if len(arguments.bars) > 1:
        powers = [f"{name} {growth(arguments.bars, times):.2f}" for name, times in everything.items()]
        print(f"growth, {arguments.bars[0]} to {arguments.bars[-1]} bars: {', '.join(powers)}")
    print(f"10,000 markings, none read before: {time_markings():.2f} s")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory of this run: {peak:.0f} MB")
    for arguments_of in (["--help"], ["read", "Sw. Oboe"]):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "app", *arguments_of], capture_output=True, check=True)
        print(f"stopwright {' '.join(arguments_of)}: {time.perf_counter() - start:.3f} s")
    for module in ("core.cli.main", "core.cli.check"):
        print(f"slowest imports of {module}, ms: {', '.join(slow_imports(module))}")


if __name__ == "__main__":
    main()
