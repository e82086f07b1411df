"""Runs the rules, says which could not be run and why, and folds findings of one cause into the gravest."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable
from dataclasses import dataclass

from core.checks.context import Context
from core.checks.registry import Needs, Rule, all_rules
from core.findings import RANK, Finding, Level
from core.notes import Dismissal
from core.texts import Said, say

_log = logging.getLogger(__name__)

_PITCH_AFTER = re.compile(r"\s+\d[\d /⅓⅔⅕⅗]*$")


@dataclass(frozen=True, slots=True)
class Skipped:
    """A rule that was not run, and why."""

    rule: str
    why: Said


@dataclass(frozen=True, slots=True)
class Dismissed:
    """A finding that the user let stand, why, and by which decision."""

    finding: Finding
    reason: str
    dismissal: Dismissal | None = None


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
        if each.needs is Needs.STYLE and context.style is None:
            skipped.append(Skipped(each.id, say("needs a house style; choose one with --style")))
            continue
        try:
            found.extend(each.check(context))
        except Exception:  # a rule that falls must not take the others with it
            _log.exception("rule %s failed", each.id)
            failed.append(Skipped(each.id, say("this rule failed on this piece")))
    return Report(tuple(in_order(fold(found))), tuple(skipped), tuple(failed))


def fold(findings: Iterable[Finding]) -> list[Finding]:
    """Of findings with the same marking and cause, or the same words at the same bar, keep the gravest.

    A fault is given once, not for each time a passage is repeated: a division that the organ lacks once for the piece,
    and a stop that could not be drawn is not missed again when it is to go off.
    """
    findings = list(findings)
    missing = {(f.marking, _bare(f.cause)) for f in findings if f.rule == "missing-stop"}
    names = {name for _, name in missing}
    best: dict[object, Finding] = {}
    for finding in findings:
        if finding.rule == "not-drawn" and _bare(finding.cause) in names:
            continue
        if finding.rule == "already-drawn" and any(
            (finding.marking, _bare(name)) in missing for name in finding.cause.split(", ")
        ):
            continue
        key = _fault(finding)
        kept = best.get(key)
        if kept is None or RANK[finding.level] > RANK[kept.level]:
            best[key] = finding
    return list(best.values())


def _fault(finding: Finding) -> object:
    """What two findings of one fault have in common."""
    at = finding.at and (finding.at.bar, finding.at.onset)
    if finding.rule == "missing-stop":
        return finding.rule, at, finding.division, _bare(finding.cause)
    if finding.rule == "missing-division" and not (finding.marking and finding.level is Level.ERROR):
        return finding.rule, str(finding.message)
    if finding.marking is not None and finding.cause:
        return finding.marking, finding.cause
    return finding.rule, at, str(finding.message)


def _bare(cause: str) -> str:
    """A request without the pitch after its name."""
    return _PITCH_AFTER.sub("", cause)


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """By place as written, then the gravest first."""
    return sorted(
        findings,
        key=lambda f: (f.at.onset if f.at else -1, -RANK[f.level], f.rule, str(f.message)),
    )
