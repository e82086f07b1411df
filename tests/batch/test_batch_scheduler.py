"""A catalogue on the workers of a scheduler: two real local workers, one killed in the middle."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from core.batch.jobs import Job
from core.batch.running import run_jobs, scheduler
from core.batch.work import Row
from core.errors import UsageError
from making import Piece
from walking import CHORDS, opened

distributed = pytest.importorskip("distributed")


@pytest.fixture
def cluster() -> Iterator[Any]:
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as made:
        yield made


@pytest.fixture
def scores(tmp_path: Path) -> list[str]:
    paths = []
    for number in range(12):
        piece: Piece = opened().repeat_bars(6, *CHORDS).text(3, 1, "Gt. Vox Angelica 8")
        path = tmp_path / f"{number}.musicxml"
        path.write_bytes(piece.xml())
        paths.append(str(path))
    return paths


def kills_its_worker_once(job: Job) -> list[Row]:
    """Ends the worker the first time it comes to the fourth score."""
    from core.batch.work import do

    mark = Path(job.score).with_suffix(".mark")
    if Path(job.score).stem == "3" and not mark.exists():
        mark.write_text("", encoding="utf-8")
        os.kill(os.getpid(), signal.SIGKILL)
    return do(job)


def test_all_scores_are_done_though_a_worker_is_killed(cluster: Any, scores: list[str]) -> None:
    jobs = [Job(score=path) for path in scores]
    with scheduler(cluster.scheduler_address) as make:
        done = {job.score: rows for job, rows in run_jobs(jobs, make, workers=2, work=kills_its_worker_once)}
    assert sorted(done) == sorted(scores)
    assert {row["status"] for rows in done.values() for row in rows} == {"done"}
    assert Path(scores[3]).with_suffix(".mark").exists()


def test_an_address_where_nobody_answers_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.batch.running._PATIENCE", 0.5)
    with pytest.raises(UsageError, match="no scheduler answers"), scheduler("tcp://127.0.0.1:9"):
        pass
