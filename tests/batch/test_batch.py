"""Many scores at once: bad files, dead workers, a run taken up again, two real workers."""

from __future__ import annotations

import csv
import json
import os
from concurrent.futures import Executor, ThreadPoolExecutor
from pathlib import Path

import pytest

from core.batch.jobs import Job, find_organs, find_scores
from core.batch.ledger import Ledger
from core.batch.running import process_pool, run_jobs
from core.batch.work import Row, do
from core.cli.main import main
from core.errors import ReadError
from making import Piece
from walking import CHORDS, opened

LISTS = Path(__file__).parent.parent / "support" / "organs_lists"


def piece(words: str = "Gt. Vox Angelica 8") -> Piece:
    return opened().repeat_bars(6, *CHORDS).text(3, 1, words)


@pytest.fixture
def catalogue(tmp_path: Path) -> Path:
    folder = tmp_path / "catalogue"
    (folder / "deeper").mkdir(parents=True)
    (folder / "one.musicxml").write_bytes(piece().xml())
    (folder / "deeper" / "two.musicxml").write_bytes(piece("Gt. Dulciana").xml())
    (folder / "bad.musicxml").write_bytes(b"<score-partwise><part")
    (folder / "deeper" / "notes.txt").write_text("no score", encoding="utf-8")
    return folder


@pytest.fixture
def threads(monkeypatch: pytest.MonkeyPatch) -> None:
    """Threads in the place of processes, where it is not the processes that are tested."""
    monkeypatch.setattr("core.cli.batch.process_pool", lambda workers: lambda: ThreadPoolExecutor(workers))


def asked(capsys: pytest.CaptureFixture[str], *words: str | Path, status: int = 0) -> list[Row]:
    assert main(["batch", *map(str, words), "--json", "--workers", "2"]) == status
    return json.loads(capsys.readouterr().out)["results"]


def test_one_bad_file_stops_nothing(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = asked(capsys, catalogue, "--organ", LISTS / "en.txt", "--organ", LISTS / "fr.txt")
    by_score = {(Path(r["score"]).name, Path(r["organ"]).name): r for r in rows}
    assert len(by_score) == 6
    assert by_score["bad.musicxml", "en.txt"]["status"] == "refused"
    assert "Traceback" not in str(by_score["bad.musicxml", "en.txt"]["why"])
    assert by_score["one.musicxml", "en.txt"]["rules"]["missing-stop"] == 1
    assert by_score["two.musicxml", "en.txt"]["counts"]["error"] == 0


@pytest.mark.usefixtures("threads")
def test_a_bad_organ_is_a_row_too(catalogue: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("organ: [", encoding="utf-8")
    rows = asked(capsys, catalogue / "one.musicxml", "--organ", bad, "--organ", LISTS / "en.txt")
    assert [r["status"] for r in rows] == ["refused", "done"] or [r["status"] for r in rows] == ["done", "refused"]


@pytest.mark.usefixtures("threads")
def test_a_run_is_taken_up_again(catalogue: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    results = tmp_path / "results.jsonl"
    first = asked(capsys, catalogue, "--organ", LISTS / "en.txt", "--results", results)
    kept = results.read_bytes()
    assert kept.count(b"\n") == 3
    assert asked(capsys, catalogue, "--organ", LISTS / "en.txt", "--results", results) == first
    assert results.read_bytes() == kept
    (catalogue / "three.musicxml").write_bytes(piece().xml())
    assert len(asked(capsys, catalogue, "--organ", LISTS / "en.txt", "--results", results)) == 4
    assert results.read_bytes().startswith(kept)
    assert results.read_bytes().count(b"\n") == 4


@pytest.mark.usefixtures("threads")
def test_a_line_that_was_cut_off_is_done_again(
    catalogue: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    results = tmp_path / "results.jsonl"
    asked(capsys, catalogue, "--results", results)
    data = results.read_bytes()
    results.write_bytes(data[:-40])
    assert len(asked(capsys, catalogue, "--results", results)) == 3
    whole = [line for line in results.read_bytes().splitlines() if line.endswith(b"}")]
    assert len({json.loads(line)["key"] for line in whole}) == 3


@pytest.mark.usefixtures("threads")
def test_a_file_of_another_kind_is_not_added_to(
    catalogue: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("Dear organist,\nthe bellows leak.\n", encoding="utf-8")
    assert main(["batch", str(catalogue), "--results", str(other)]) == 2
    assert other.read_text(encoding="utf-8").endswith("leak.\n")


@pytest.mark.usefixtures("threads")
def test_the_table(catalogue: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, page = tmp_path / "summary.csv", tmp_path / "summary.html"
    asked(capsys, catalogue, "--organ", LISTS / "en.txt", "--csv", table, "-o", page)
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert {r["status"] for r in rows} == {"done", "refused"}
    assert "bad.musicxml" in page.read_text(encoding="utf-8")


@pytest.mark.usefixtures("threads")
def test_a_pipeline_is_told(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked(capsys, catalogue / "deeper", "--organ", LISTS / "en.txt", "--fail-on", "error", status=0)
    asked(capsys, catalogue, "--organ", LISTS / "en.txt", "--fail-on", "error", status=1)


@pytest.mark.usefixtures("threads")
def test_check_takes_a_folder_too(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["check", str(catalogue), "--organ", str(LISTS / "en.txt"), "--json", "--fail-on", "never"])
    assert status == 0
    assert len(json.loads(capsys.readouterr().out)["results"]) == 3


def test_lists_of_paths(catalogue: Path, tmp_path: Path) -> None:
    listed = catalogue / "list.txt"
    listed.write_text("# the catalogue\none.musicxml\n\ndeeper\n", encoding="utf-8")
    assert [Path(p).name for p in find_scores([f"@{listed}"])] == ["one.musicxml", "two.musicxml"]
    assert [Path(p).name for p in find_organs([str(LISTS)])] == sorted(p.name for p in LISTS.glob("*.txt"))
    with pytest.raises(ReadError):
        find_scores([str(tmp_path / "nowhere")])
    (tmp_path / "empty").mkdir()
    with pytest.raises(ReadError):
        find_scores([str(tmp_path / "empty")])


# ---------------------------------------------------------------- workers
def dies_at_the_second(job: Job) -> list[Row]:
    """A worker's work in which one score ends the process."""
    if job.score.endswith("2"):
        os._exit(9)
    return [{"score": job.score, "organ": None, "status": "done", "pid": os.getpid()}]


def dies_once(job: Job) -> list[Row]:
    """Ends the process the first time it comes to a score; the mark beside it tells."""
    mark = Path(job.score)
    if not mark.exists():
        mark.write_text("", encoding="utf-8")
        os._exit(9)
    return [{"score": job.score, "organ": None, "status": "done"}]


def test_a_worker_that_dies_takes_only_its_own_score_with_it() -> None:
    jobs = [Job(score=str(n)) for n in range(6)]
    done = dict(run_jobs(jobs, process_pool(2), workers=2, work=dies_at_the_second))
    assert {job.score: rows[0]["status"] for job, rows in done.items()} == {
        "0": "done", "1": "done", "2": "failed", "3": "done", "4": "done", "5": "done"
    }  # fmt: skip


def test_what_was_under_way_beside_it_is_done_again(tmp_path: Path) -> None:
    jobs = [Job(score=str(tmp_path / str(n))) for n in range(3)]
    done = list(run_jobs(jobs, process_pool(2), workers=2, work=dies_once))
    assert sorted(job.score for job, _ in done) == sorted(job.score for job in jobs)
    assert len(done) == 3


def test_two_workers_work() -> None:
    jobs = [Job(score=f"{n}a") for n in range(8)]
    done = list(run_jobs(jobs, process_pool(2), workers=2, work=dies_at_the_second))
    assert len({rows[0]["pid"] for _, rows in done}) == 2


def test_any_executor_will_do(catalogue: Path) -> None:
    made: list[Executor] = []

    def make() -> Executor:
        made.append(ThreadPoolExecutor(2))
        return made[-1]

    jobs = [Job(score=path) for path in find_scores([str(catalogue)])]
    done = dict(run_jobs(jobs, make, workers=2, work=do))
    assert len(done) == 3
    assert len(made) == 1


ROW = {"score": "x", "organ": None, "status": "refused", "why": "the file is empty"}


def test_results_are_kept_as_they_come(tmp_path: Path) -> None:
    path = tmp_path / "results.jsonl"
    with Ledger(path) as ledger:
        ledger.add("a", [ROW])
        assert path.read_bytes().count(b"\n") == 1
    with Ledger(path) as ledger:
        assert ledger.rows_of("a") == [ROW]
        assert ledger.rows_of("b") is None
