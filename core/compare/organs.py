"""Organs for a piece: how much of it each can play as written, by substitutes or not at all; ranked, with reasons."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from core.analysis import Analysis, analyse_document
from core.document import Document, OrganFile
from core.findings import RANK, Finding, Level
from core.markings.lexicon import Lexicon
from core.markings.model import Action
from core.organ.model import Organ
from core.organ.spelling import stop_label
from core.position import Position
from core.resolve.keyboards import role_name
from core.resolve.model import Because, Step
from core.texts import Said, joined, say

_MISSING = "missing-"
_WORST = 5
_NAMED = 3
_WORTH = Fraction(1, 2)  # of a request answered by something else
_WORTH_ELSEWHERE = Fraction(3, 4)  # of the very stop on a keyboard that stands in


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """Something else is drawn for what was asked.

    Attributes:
        request: as asked.
        division: by name.
        chosen: stops as ``Name pitch``.
    """

    request: str
    division: str
    chosen: tuple[str, ...]
    why: Said
    at: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """What the organ has nothing for."""

    message: Said
    at: Position | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the table of keyboards: what the piece says, and what answers here (None: nothing)."""

    asked: str
    division: str | None
    stand_in: bool
    why: Said | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How well one organ answers a piece.

    Attributes:
        path: of the organ's file.
        exact: requests that are had as asked.
        elsewhere: those had as asked, but on a keyboard that stands in for another.
        instead: those something else is drawn for.
        lacks: those nothing answers.
        impossible: other findings of level error (keys, hands).
        counts: findings by level.
        worst: the gravest findings, the gravest first.
        share: of all that is asked, 0 to 1; a substitute counts half, a stop on another keyboard three quarters.
        why: the verdict in one sentence.
    """

    organ: Organ
    path: str
    exact: int
    elsewhere: int
    instead: tuple[Instead, ...]
    lacks: tuple[Lack, ...]
    impossible: int
    keyboards: tuple[Row, ...]
    counts: Mapping[Level, int]
    worst: tuple[Finding, ...]
    share: Fraction
    why: Said


def compare_organs(
    document: Document,
    organs: Iterable[OrganFile],
    *,
    language: str | None = None,
    words: Lexicon | None = None,
) -> tuple[Fit, ...]:
    """Play a piece on each organ in turn, the best answer first; ties by fewer findings, then by name.

    What the user decided in the piece's notes for an organ holds on that organ.
    """
    return tuple(fit for _, fit in play_on(document, organs, language=language, words=words))


def play_on(
    document: Document,
    organs: Iterable[OrganFile],
    *,
    language: str | None = None,
    words: Lexicon | None = None,
) -> tuple[tuple[Analysis, Fit], ...]:
    """The piece's analysis on each organ with how well it answers, the best first."""
    found = []
    earlier: Analysis | None = None
    for file in organs:
        here = replace(document, organs=(file,), chosen=0)
        earlier = analyse_document(here, language=language, words=words, earlier=earlier)
        found.append((earlier, fit_of(earlier, file.path or "")))
    return tuple(sorted(found, key=lambda pair: _order(pair[1])))


def _order(fit: Fit) -> tuple[Fraction, int, int, str]:
    return (-fit.share, fit.counts[Level.ERROR], fit.counts[Level.WARNING], fit.organ.name)


def fit_of(analysis: Analysis, path: str) -> Fit:
    """How well the organ of an analysis answers its piece."""
    organ = analysis.organ
    assert organ is not None
    exact, elsewhere, instead = _answered(organ, analysis.steps)
    lacks = tuple(_lacks(analysis.steps))
    exact += _couplers_had(analysis.steps)
    others = [f for f in analysis.findings if f.level is Level.ERROR and not f.rule.startswith(_MISSING)]
    asked = exact + elsewhere + len(instead) + len(lacks) + len(others)
    got = exact + _WORTH_ELSEWHERE * elsewhere + _WORTH * len(instead)
    worst = sorted(analysis.findings, key=lambda f: -RANK[f.level])
    counts = Counter(f.level for f in analysis.findings)
    return Fit(
        organ=organ,
        path=path,
        exact=exact,
        elsewhere=elsewhere,
        instead=instead,
        lacks=lacks,
        impossible=len(others),
        keyboards=_rows(analysis, organ),
        counts={level: counts[level] for level in Level},
        worst=tuple(worst[:_WORST]),
        share=got / asked if asked else Fraction(1),
        why=_verdict(exact, elsewhere, instead, lacks, others),
    )


def _answered(organ: Organ, steps: Sequence[Step]) -> tuple[int, int, tuple[Instead, ...]]:
    """How many requests are had as asked, how many on another keyboard, and what comes instead; each marking once."""
    told: set[tuple[object, ...]] = set()
    exact = elsewhere = 0
    instead = []
    for step in steps:
        missed = {f.cause for f in step.findings if f.rule == "missing-stop"}
        for because in step.because:
            key = (step.markings, because.request, because.division)
            if not because.chosen or because.division is None or key in told:
                continue
            told.add(key)
            if not because.substitute:
                exact += 1
            elif because.request not in missed:
                elsewhere += 1
            else:
                instead.append(_instead(organ, step, because))
    return exact, elsewhere, tuple(instead)


def _instead(organ: Organ, step: Step, because: Because) -> Instead:
    return Instead(
        request=because.request,
        division=organ.division(because.division or "").name,
        chosen=tuple(stop_label(organ.stop(s)) for s in because.chosen),
        why=because.why,
        at=step.at,
    )


def _lacks(steps: Sequence[Step]) -> Iterator[Lack]:
    """What nothing answers: a missing stop, division, coupler, tremulant or aid, once a marking."""
    told: set[tuple[object, str]] = set()
    for step in steps:
        for finding in step.findings:
            key = (finding.marking, str(finding.message))
            if finding.rule.startswith(_MISSING) and finding.level is Level.ERROR and key not in told:
                told.add(key)
                yield Lack(message=finding.message, at=finding.at or step.at)


def _couplers_had(steps: Sequence[Step]) -> int:
    """Couplers called for, less those the organ has not; each marking once."""
    told: set[object] = set()
    had = 0
    for step in steps:
        if step.markings in told:
            continue
        told.add(step.markings)
        asked = sum(one.action is Action.COUPLE for one in step.instructions)
        missing = sum(f.rule == "missing-coupler" for f in step.findings)
        had += max(0, asked - missing)
    return had


def _rows(analysis: Analysis, organ: Organ) -> tuple[Row, ...]:
    table = analysis.keyboards
    rows = [
        Row(asked=role_name(asked), division=organ.division(found).name, stand_in=asked in table.substitutes,
            why=table.why.get(asked))
        for asked, found in table.answers.items()
    ]  # fmt: skip
    return (*rows, *(Row(asked=role_name(a), division=None, stand_in=False, why=None) for a in sorted(table.missing)))


def _verdict(
    exact: int, elsewhere: int, instead: Sequence[Instead], lacks: Sequence[Lack], others: Sequence[Finding]
) -> Said:
    """The sentence that tells how the organ fares."""
    asked = exact + elsewhere + len(instead) + len(lacks)
    parts = [say("{exact} of {asked} requests had as written", exact=exact, asked=asked)]
    if not elsewhere and not instead and not lacks:
        parts = [say("all that is asked is had as written ({exact} requests)", exact=exact)]
    if elsewhere:
        parts.append(say("{elsewhere} on another keyboard", elsewhere=elsewhere))
    if instead:
        replaced = _few(say("{request} → {chosen}", request=i.request, chosen=", ".join(i.chosen)) for i in instead)
        parts.append(say("{count} by something else ({instead})", count=len(instead), instead=replaced))
    if lacks:
        parts.append(say("not to be had: {lacks}", lacks=_few(lack.message for lack in lacks)))
    if others:
        parts.append(say("cannot be done: {others}", others=_few(f.message for f in others)))
    return joined("; ", parts)


def _few(words: Iterable[Said]) -> Said:
    """The first few of a list, each once, and how many more there are."""
    every = list(dict.fromkeys(words))
    few = joined("; ", every[:_NAMED])
    return say("{names} and {count} more", names=few, count=len(every) - _NAMED) if len(every) > _NAMED else few
