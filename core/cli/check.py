"""``stopwright check``: what will not work, and what somebody must decide."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

from core.analysis import Analysis
from core.cli.output import FAIL_ON, exit_status, print_json
from core.cli.piece import add_piece_arguments, analyse_arguments
from core.findings import Finding, Level
from core.markings.house_style import read_style

SIGNS = {Level.ERROR: "▲", Level.WARNING: "◆", Level.ADVICE: "●"}
NAMES = {Level.ERROR: "cannot be done", Level.WARNING: "to decide", Level.ADVICE: "advice"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add_piece_arguments(parser, organ_required=False)
    parser.add_argument(
        "--style",
        metavar="STYLE",
        help="prove the wording against a house style: en, en-full, fr, de, it, es, nl, or a file of your own (YAML)",
    )
    parser.add_argument(
        "--fail-on",
        choices=FAIL_ON,
        default="error",
        help="exit with 1 from this level on (default: error)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Check a score, on an organ where one is named; a folder or a list of them as `batch` does."""
    if arguments.score.startswith("@") or Path(arguments.score).is_dir():
        from core.cli.batch import check_all

        return check_all(arguments)
    style = read_style(arguments.style) if arguments.style is not None else None
    analysis = analyse_arguments(arguments, style=style)
    if arguments.json:
        print_json("check", to_json(analysis))
    else:
        print(to_text(analysis))
    return exit_status((f.level.value for f in analysis.findings), arguments.fail_on)


def to_json(analysis: Analysis) -> dict[str, object]:
    """The findings as the machine interface has them."""
    counts = Counter(f.level.value for f in analysis.findings)
    return {
        "findings": [f.to_json() for f in analysis.findings],
        "counts": {level.value: counts.get(level.value, 0) for level in Level},
        "skipped": [{"rule": s.rule, "why": str(s.why)} for s in analysis.report.skipped],
        "dismissed": [{**d.finding.to_json(), "by": "user", "reason": d.reason} for d in analysis.report.dismissed],
        "failed": [{"rule": s.rule, "why": str(s.why)} for s in analysis.report.failed],
    }


def to_text(analysis: Analysis) -> str:
    """The findings as a corrector's list."""
    organ = f" on {analysis.organ.name}" if analysis.organ else ""
    lines = [f"{analysis.score.title or 'Untitled'}{organ}", ""]
    for finding in analysis.findings:
        lines += _finding_lines(finding)
    counts = Counter(f.level for f in analysis.findings)
    if not analysis.findings:
        lines.append("Nothing to report.")
    else:
        summary = ", ".join(f"{counts[level]} {NAMES[level]}" for level in Level if counts[level])
        lines.append(summary)
    if analysis.organ is None:
        rules = ", ".join(s.rule for s in analysis.report.skipped if s.rule != "off-style")
        lines.append(f"Not looked at without an organ: {rules}")
    if analysis.report.dismissed:
        lines.append(f"Let stand by the user: {len(analysis.report.dismissed)}")
    for failure in analysis.report.failed:
        lines.append(f"Could not be looked at: {failure.rule} ({failure.why})")
    return "\n".join(lines)


def _finding_lines(finding: Finding) -> list[str]:
    place = f"bar {finding.at.measure}, beat {finding.at.beat}" if finding.at else "whole piece"
    lines = [f"{SIGNS[finding.level]} {place}: {finding.message}", f"    {finding.why}"]
    lines += [f"    → {p.text}" for p in finding.proposals[:3]]
    return lines
