"""Speeds of the whole walk, each beside music21's parse of the same file in the same run.

Usage: python tests/bench/run.py [BARS ...] [--alone]

Prints for each size: reading, reading with readings of all texts, the whole check, and the ratio of music21's
parse to each; then the start-up of the command line.
"""

from __future__ import annotations

import argparse
import gc
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml
from bench_reading import time_music21, write_score

from core.analysis import analyse
from core.markings.gathering import gather
from core.markings.reading import read_marking
from core.organ.reading import load_organ
from core.score.reading import load_score

ORGAN = Path(__file__).resolve().parents[2] / "sample_specs" / "english_three_manual.yaml"


def best(action: Callable[[], object], repeats: int = 3) -> float:
    """The best of some runs, in seconds of this process's own time."""
    times = []
    for _ in range(repeats):
        gc.collect()
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return min(times)


def time_markings() -> float:
    """Seconds of this process's own time for 10,000 distinct markings of the committed cases."""
    cases = yaml.safe_load((Path(__file__).parents[1] / "markings" / "cases.yaml").read_text(encoding="utf-8"))
    texts = [case[0] for tongue in cases.values() for case in tongue]
    read_marking("Sw. Oboe")
    start = time.process_time()
    count = 0
    while count < 10_000:
        for text in texts:
            read_marking(text + " " * (1 + count // len(texts)))  # never the same text: nothing comes from a cache
            count += 1
    return (time.process_time() - start) * 10_000 / count


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("bars", type=int, nargs="*", default=[100, 300, 1000, 2000])
    parser.add_argument("--alone", action="store_true", help="without music21")
    arguments = parser.parse_args()
    organ = load_organ(ORGAN)
    with tempfile.TemporaryDirectory() as folder:
        for bars in arguments.bars:
            path = Path(folder) / f"bench{bars}.musicxml"
            path.write_text(write_score(bars), encoding="utf-8")
            steps: list[tuple[str, Callable[[], object]]] = [
                ("read", lambda path=path: load_score(path)),
                ("read and readings", lambda path=path: gather(load_score(path)[1], read_marking)),
                ("check", lambda path=path: analyse(load_score(path)[1], organ)),
            ]
            theirs = None if arguments.alone else time_music21(path)
            words = []
            for name, action in steps:
                ours = best(action)
                ratio = f" ({theirs / ours:.1f}×)" if theirs else ""
                words.append(f"{name} {ours:.3f} s{ratio}")
            against = f"; music21 parse {theirs:.2f} s" if theirs else ""
            print(f"{bars} bars: {', '.join(words)}{against}", flush=True)
    print(f"10,000 markings, none read before: {time_markings():.2f} s")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory of this run: {peak:.0f} MB")
    for words in (["--help"], ["read", "Sw. Oboe"]):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "app", *words], capture_output=True, check=True)
        print(f"stopwright {' '.join(words)}: {time.perf_counter() - start:.3f} s")


if __name__ == "__main__":
    main()
