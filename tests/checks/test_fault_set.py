"""Every fault of the composed set is found; its clean twin is quiet about it, and quiet altogether."""

from __future__ import annotations

from functools import cache

import pytest

from core.analysis import Analysis
from core.findings import RANK, Finding
from fault_set import FAULTS, Fault, organ_named
from walking import walk

BY_NAME = {fault.name: fault for fault in FAULTS}


@cache
def analysed(name: str, *, clean: bool) -> Analysis:
    fault = BY_NAME[name]
    return walk((fault.clean if clean else fault.faulty)(), organ_named(fault.organ))


def words_of(finding: Finding, *, why: bool) -> str:
    return f"{finding.rule} {finding.message} {finding.why if why else ''}".casefold()


def listed(analysis: Analysis) -> str:
    return "\n".join(f"{f.level} {f.rule} at {f.at}: {f.message} ({f.why})" for f in analysis.findings)


def found(fault: Fault, analysis: Analysis) -> bool:
    return any(any(w.casefold() in words_of(f, why=True) for w in fault.words) for f in analysis.findings)


@pytest.mark.parametrize("name", BY_NAME)
def test_the_fault_is_found(name: str) -> None:
    analysis = analysed(name, clean=False)
    assert found(BY_NAME[name], analysis), listed(analysis)


@pytest.mark.parametrize("name", BY_NAME)
def test_its_clean_twin_does_not_speak_of_it(name: str) -> None:
    analysis = analysed(name, clean=True)
    fault = BY_NAME[name]
    alarms = [f for f in analysis.findings if any(w.casefold() in words_of(f, why=False) for w in fault.silent)]
    assert not alarms, listed(analysis)


@pytest.mark.parametrize("name", BY_NAME)
def test_its_clean_twin_has_no_error_or_warning(name: str) -> None:
    analysis = analysed(name, clean=True)
    assert not [f for f in analysis.findings if RANK[f.level] >= 1], listed(analysis)
