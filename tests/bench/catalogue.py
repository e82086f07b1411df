"""How many scores on how many organs a minute: `batch` with one worker and with all cores, and the memory it takes.

Usage: PYTHONPATH=tests/support python tests/bench/catalogue.py [SCORES] [BARS]
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from pathlib import Path

from core.batch.jobs import Job
from core.batch.running import process_pool, run_jobs
from core.batch.work import Row, do
from walking import CHORDS, LINE, LINE_REST, opened

LISTS = Path(__file__).resolve().parent.parent / "support" / "organs_lists"
ORGANS = tuple(str(LISTS / f"{name}.txt") for name in ("en", "fr", "large"))


def scores(folder: Path, count: int, bars: int) -> list[str]:
    """Composed pieces, each a little different."""
    paths = []
    for number in range(count):
        piece = opened(f"Study {number} (invented)")
        while len(piece.bars) < bars:
            piece.repeat_bars(4, *CHORDS).repeat_bars(3 + number % 3, *LINE).bar(*LINE_REST)
        for bar in range(5, len(piece.bars) - 8, 16):
            piece.text(bar, 1, "R.H. Sw.").text(bar + 6, 1, "R.H. Gt.").text(bar + 3, 1, "Gt. add Principal 4")
        path = folder / f"{number}.musicxml"
        path.write_bytes(piece.xml())
        paths.append(str(path))
    return paths


def measured(job: Job) -> list[Row]:
    """The job's rows with the most memory that its worker has taken so far, in MB."""
    rows = do(job)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return [{**row, "peak": round(peak), "worker": os.getpid()} for row in rows]


def main() -> None:
    """Print pairs a minute for one worker and for all cores, their ratio, and how memory grows."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    bars = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    with tempfile.TemporaryDirectory() as folder:
        jobs = [Job(score=path, organs=ORGANS) for path in scores(Path(folder), count, bars)]
        rates = []
        for workers in (1, os.cpu_count() or 1):
            began = time.perf_counter()
            rows = [
                row
                for _, found in run_jobs(jobs, process_pool(workers), workers=workers, work=measured)
                for row in found
            ]
            seconds = time.perf_counter() - began
            rates.append(60 * len(rows) / seconds)
            peaks = [int(str(row["peak"])) for row in rows]
            quarter = max(len(peaks) // 4, 1)
            print(
                f"{workers} worker{'s' if workers > 1 else ''}: {len(rows)} pairs in {seconds:.1f} s, "
                f"{rates[-1]:.0f} pairs a minute; peak memory of a worker {max(peaks[:quarter])} MB after a quarter, "
                f"{max(peaks)} MB at the end"
            )
        print(f"all cores to one: {rates[-1] / rates[0]:.2f}")


if __name__ == "__main__":
    main()
