"""Runs the rules, says which could not be run and why, and folds findings of one cause into the gravest."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import dataclass

from core.checks.context import Context
from core.checks.registry import Needs, Rule, all_rules
from core.findings import RANK, Finding
from core.texts import Said, say

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Skipped:
    """A rule that was not run, and why."""

    rule: str
    why: Said


@dataclass(frozen=True, slots=True)
class Dismissed:
    """A finding that the user let stand, and why."""

    finding: Finding
    reason: str


@dataclass(frozen=True, slots=True)
class Report:
    """Findings in score order; rules left out; rules that failed (a fault of the program); dismissed ones."""

    findings: tuple[Finding, ...]
    skipped: tuple[Skipped, ...]
    failed: tuple[Skipped, ...]
    dismissed: tuple[Dismissed, ...] = ()


def run(context: Context, rules: Iterable[Rule] | None = None) -> Report:
    """Run every rule that can be run; findings of the resolver are among them."""
    found = [finding for step in context.steps for finding in step.findings]
    skipped, failed = [], []
    for each in all_rules() if rules is None else rules:
        if each.needs is Needs.ORGAN and context.organ is None:
            skipped.append(Skipped(each.id, say("needs an organ; name one with --organ")))
            continue
        try:
            found.extend(each.check(context))
        except Exception:  # a rule that falls must not take the others with it
            _log.exception("rule %s failed", each.id)
            failed.append(Skipped(each.id, say("this rule failed on this piece")))
    return Report(tuple(in_order(fold(found))), tuple(skipped), tuple(failed))


def fold(findings: Iterable[Finding]) -> list[Finding]:
    """Of findings with the same marking and cause, or the same words at the same bar, keep the gravest.

    A fault is given once, not for each time a passage is repeated.
    """
    best: dict[object, Finding] = {}
    for finding in findings:
        key: object
        if finding.marking is not None and finding.cause:
            key = finding.marking, finding.cause
        else:
            key = finding.rule, finding.at and (finding.at.bar, finding.at.onset), str(finding.message)
        kept = best.get(key)
        if kept is None or RANK[finding.level] > RANK[kept.level]:
            best[key] = finding
    return list(best.values())


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """By place as written, then the gravest first."""
    return sorted(
        findings,
        key=lambda f: (f.at.onset if f.at else -1, -RANK[f.level], f.rule, str(f.message)),
    )
