"""Runs jobs on any executor of `concurrent.futures`, a few ahead of the workers, and outlives a worker's death."""

from __future__ import annotations

import socket
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from multiprocessing import get_context
from urllib.parse import urlsplit

from core.batch.jobs import Job
from core.batch.work import Row, do, fallen
from core.errors import UsageError

MakeExecutor = Callable[[], Executor]
Work = Callable[[Job], list[Row]]
_TRIES = 2
_PATIENCE = 10  # seconds for a scheduler to answer
_AHEAD = 2  # jobs waiting at each worker: enough to keep it busy, few enough to hold in memory


def process_pool(workers: int) -> MakeExecutor:
    """A pool of processes of this machine, each begun afresh (nothing of this process is copied into it)."""

    def make() -> Executor:
        return ProcessPoolExecutor(max_workers=workers, mp_context=get_context("spawn"))

    return make


@contextmanager
def scheduler(address: str) -> Iterator[MakeExecutor]:
    """The workers of a running dask.distributed scheduler, for a catalogue that outgrows one machine.

    Each worker needs this program, and the scores and organs under the same paths.

    Raises:
        UsageError: the extra is not installed, or no scheduler answers there.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise UsageError("there is no dask.distributed here", remedy="Install stopwright[cluster].") from error
    try:
        place = urlsplit(address)
        # tried first by ourselves: the client goes on telling of an address in vain long after
        with socket.create_connection((place.hostname or "", place.port or 0), timeout=_PATIENCE):
            pass
        client = Client(address, timeout=_PATIENCE)
    except (OSError, ValueError, TimeoutError) as error:
        raise UsageError(f"no scheduler answers at {address}", remedy="Check its address.") from error
    with client:
        yield lambda: client.get_executor(pure=False)


def run_jobs(
    jobs: Sequence[Job], make: MakeExecutor, *, workers: int, work: Work = do
) -> Iterator[tuple[Job, list[Row]]]:
    """Each job with its rows, as they are done.

    Args:
        jobs: what to do.
        make: makes the executor; called again where a worker's death broke it. A scheduler's executor will do
            (``lambda: client.get_executor()``).
        workers: how many jobs to have under way at once, for each of which some wait.
        work: what is done with a job; picklable.
    """
    waiting = deque((job, 1) for job in jobs)
    alone: deque[Job] = deque()
    while waiting:
        yield from _until_broken(waiting, alone, make, workers * _AHEAD, work)
        # whoever broke the pool is found by letting each that was under way try again by itself
        while alone:
            yield _by_itself(alone.popleft(), make, work)


def _until_broken(
    waiting: deque[tuple[Job, int]], alone: deque[Job], make: MakeExecutor, ahead: int, work: Work
) -> Iterator[tuple[Job, list[Row]]]:
    under_way: dict[Future[list[Row]], Job] = {}
    with make() as executor:
        try:
            while waiting or under_way:
                while waiting and len(under_way) < ahead:
                    job, _ = waiting[0]
                    under_way[executor.submit(work, job)] = job
                    waiting.popleft()
                done, _ = wait(under_way, return_when=FIRST_COMPLETED)
                for future in done:
                    rows = _rows(under_way[future], future)
                    yield under_way.pop(future), rows
        except BrokenExecutor:
            alone.extend(under_way.values())
        except GeneratorExit:
            executor.shutdown(wait=False, cancel_futures=True)
            raise


def _rows(job: Job, future: Future[list[Row]]) -> list[Row]:
    """What came of a job. Work raises nothing itself: another error is the scheduler's, which gave the job up.

    Raises:
        BrokenExecutor: the pool is gone, and with it this job's result.
    """
    try:
        return future.result()
    except BrokenExecutor:
        raise
    except Exception as error:  # whatever a scheduler raises: one job of ten thousand must not end the others
        return fallen(job, type(error).__name__)


def _by_itself(job: Job, make: MakeExecutor, work: Work) -> tuple[Job, list[Row]]:
    for _ in range(_TRIES - 1):
        try:
            with make() as executor:
                return job, _rows(job, executor.submit(work, job))
        except BrokenExecutor:
            continue
    return job, fallen(job)
