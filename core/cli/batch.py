"""``stopwright batch``: many scores on several organs in one call, on all cores, taken up again where it was left."""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from core.batch.jobs import Job, find_organs, find_scores, key_of
from core.batch.ledger import Ledger
from core.batch.running import MakeExecutor, process_pool, run_jobs, scheduler
from core.batch.work import DONE, Row
from core.cli.organ_page import add_paper_options, format_of, write_paper
from core.cli.output import EXIT_FINDINGS, FAIL_ON, exit_status, print_json
from core.cli.progress import Progress
from core.errors import UsageError
from core.export.catalogue import catalogue_paper, catalogue_to_csv
from core.export.plain_text import page_text
from core.files import write_bytes


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's words."""
    parser.add_argument(
        "scores", metavar="PATH", nargs="+", help="scores, folders, or @LIST (a file with a path a line)"
    )
    parser.add_argument(
        "--organ", metavar="PATH", action="append", default=[], help="an organ, a folder of them, or @LIST (repeatable)"
    )
    parser.add_argument("--language", metavar="LL", help="language of the markings: en, fr, de, it, es, nl")
    parser.add_argument(
        "--results", metavar="FILE", help="keep each result as it is done; called again, only what is new is worked out"
    )
    parser.add_argument("--csv", metavar="FILE", help="write the summary as a table")
    parser.add_argument("--workers", metavar="N", type=int, default=os.cpu_count() or 1, help="processes (all cores)")
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", help="a running dask.distributed scheduler, whose workers see the same files"
    )
    parser.add_argument(
        "--fail-on",
        choices=FAIL_ON,
        default="never",
        help="exit with 1 from this level on; 1 too where one was not read",
    )
    add_paper_options(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document for programs")


def run(arguments: argparse.Namespace, make: MakeExecutor | None = None) -> int:
    """Check a catalogue."""
    if arguments.workers < 1:
        raise UsageError("--workers wants a number from 1 on", remedy="Leave it out for all cores.")
    kind = format_of(arguments.output, arguments.scores[0])
    organs = find_organs(arguments.organ)
    jobs = [Job(score=s, organs=organs, language=arguments.language) for s in find_scores(arguments.scores)]
    results = [row for rows in _done(arguments, jobs, make) for row in rows]
    results.sort(key=lambda row: (str(row["score"]), str(row["organ"])))
    if arguments.csv:
        write_bytes(arguments.csv, catalogue_to_csv(results).encode("utf-8", errors="replace"))
    paper = catalogue_paper(results, large=arguments.large)
    if arguments.output:
        write_paper(paper, kind, arguments)
    if arguments.json:
        print_json("batch", {"results": results})
    elif not arguments.output:
        sys.stdout.write(page_text(paper))
    return _status(results, arguments.fail_on)


def check_all(arguments: argparse.Namespace) -> int:
    """``check FOLDER``: all scores there on the one organ that is named, or none."""
    words = [arguments.score, *(["--organ", arguments.organ] if arguments.organ is not None else [])]
    words += ["--language", arguments.language] if arguments.language else []
    words += ["--fail-on", arguments.fail_on, *(["--json"] if arguments.json else [])]
    parser = argparse.ArgumentParser(prog="stopwright check")
    add_arguments(parser)
    several = parser.parse_args(words)
    several.doors = arguments.doors
    return run(several)


def _done(arguments: argparse.Namespace, jobs: Sequence[Job], make: MakeExecutor | None) -> Iterator[list[Row]]:
    """Rows done before, then each job's as it is done."""
    workers = min(arguments.workers, max(len(jobs), 1))
    with contextlib.ExitStack() as stack:
        ledger = stack.enter_context(Ledger(arguments.results)) if arguments.results else None
        keys = {job: key_of(job) for job in jobs}
        left = []
        for job in jobs:
            rows = ledger.rows_of(keys[job]) if ledger else None
            if rows is None:
                left.append(job)
            else:
                yield rows
        if make is None:
            address = arguments.scheduler
            make = stack.enter_context(scheduler(address)) if address else process_pool(workers)
        progress = stack.enter_context(Progress(len(left)))
        for job, rows in run_jobs(left, make, workers=workers):
            progress.begin(Path(job.score).name)
            if ledger:
                ledger.add(keys[job], rows)
            yield rows


def _status(results: Sequence[Row], fail_on: str) -> int:
    if fail_on != "never" and any(row["status"] != DONE for row in results):
        return EXIT_FINDINGS
    levels: list[str] = []
    for row in results:
        counts = row.get("counts")
        if isinstance(counts, dict):
            levels += [level for level, count in counts.items() if count]
    return exit_status(levels, fail_on)
