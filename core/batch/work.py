"""One job done in a worker: a row for each organ; a bad file gives a row that says so."""

from __future__ import annotations

import time
from collections import Counter
from functools import lru_cache

from core.analysis import Analysis, Decisions, analyse
from core.batch.jobs import Job
from core.errors import StopwrightError
from core.findings import Level
from core.organ.model import Organ
from core.organ.reading import load_organ
from core.score.model import Score
from core.score.reading import read_score
from core.score.source import read_source

Row = dict[str, object]
DONE, REFUSED, FAILED = "done", "refused", "failed"


def do(job: Job) -> list[Row]:
    """Check a score on each of its organs. Never raises: what cannot be read or fails is a row too."""
    began = time.perf_counter()
    try:
        score = read_score(read_source(job.score))
    except StopwrightError as error:
        return [_bad(job, organ, REFUSED, str(error), began) for organ in job.organs or (None,)]
    except (ArithmeticError, LookupError, TypeError, ValueError, RecursionError, MemoryError) as error:
        return [_bad(job, organ, FAILED, _named(error), began) for organ in job.organs or (None,)]
    return [_one(job, score, organ) for organ in job.organs or (None,)]


def _one(job: Job, score: Score, organ: str | None) -> Row:
    began = time.perf_counter()
    try:
        decisions = Decisions(language=job.language)
        return _row(job, organ, analyse(score, _organ(organ) if organ else None, decisions), began)
    except StopwrightError as error:
        return _bad(job, organ, REFUSED, str(error), began)
    except (ArithmeticError, LookupError, TypeError, ValueError, RecursionError, MemoryError) as error:
        return _bad(job, organ, FAILED, _named(error), began)


@lru_cache(maxsize=64)
def _organ(path: str) -> Organ:
    return load_organ(path)


def _row(job: Job, organ: str | None, analysis: Analysis, began: float) -> Row:
    counts = Counter(f.level for f in analysis.findings)
    return {
        "score": job.score,
        "organ": organ,
        "status": DONE,
        "title": analysis.score.title,
        "bars": len(analysis.score.bars),
        "markings": len(analysis.markings.marks),
        "unread": sum(len(m.reading.unread) for m in analysis.markings.marks),
        "counts": {level.value: counts[level] for level in Level},
        "rules": dict(sorted(Counter(f.rule for f in analysis.findings).items())),
        "seconds": round(time.perf_counter() - began, 3),
    }


def _bad(job: Job, organ: str | None, status: str, why: str, began: float) -> Row:
    return {
        "score": job.score,
        "organ": organ,
        "status": status,
        "why": why,
        "seconds": round(time.perf_counter() - began, 3),
    }


def fallen(job: Job, how: str = "") -> list[Row]:
    """The rows of a job whose worker ended while it was at it, again and again."""
    why = "the program ended while it read this score" + (f" ({how})" if how else "")
    return [_bad(job, organ, FAILED, why, time.perf_counter()) for organ in job.organs or (None,)]


def _named(error: Exception) -> str:
    return f"this score could not be worked out ({type(error).__name__}); please send it to the makers"
