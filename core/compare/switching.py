"""The same piece on another organ: what is answered otherwise, which keyboards play, which findings go and come."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from core.analysis import Analysis
from core.compare.organs import fit_of
from core.findings import Finding, Level
from core.organ.model import Organ
from core.organ.spelling import stop_label
from core.position import Position
from core.resolve.keyboards import role_name
from core.score.model import MarkingId
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise:
    """A request that the two organs answer with other stops, as ``Swell: Oboe 8``; () is nothing.

    Attributes:
        stands_in: something else stands in for it on the later organ.
        in_name: it is had on both, only by another name.
    """

    request: str
    at: Position
    before: tuple[str, ...]
    now: tuple[str, ...]
    stands_in: bool
    in_name: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A division of the piece with the keyboards that answer it there and here; None: nothing does.

    Attributes:
        in_name: each is the keyboard asked for, only the name is another.
    """

    asked: str
    before: str | None
    now: str | None
    in_name: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Switched:
    """What changes from one organ to another.

    Attributes:
        alike: how many requests are answered by stops of the same name and pitch.
        gone: findings of the former organ that this one has not, in score order.
        new: those that only this one has.
        verdict: how this organ answers the piece on the whole.
    """

    former: str
    later: str
    alike: int
    stops: tuple[Otherwise, ...]
    keyboards: tuple[Moved, ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    verdict: Said

    @property
    def summary(self) -> Said:
        """In one line."""
        return say(
            "{stops} {stops:request|requests} otherwise, {keyboards} {keyboards:keyboard|keyboards} other, "
            "{gone} {gone:remark|remarks} gone, {new} new",
            stops=sum(not one.in_name for one in self.stops),
            keyboards=sum(not one.in_name for one in self.keyboards),
            gone=len(self.gone),
            new=len(self.new),
        )

    def count(self, findings: Iterable[Finding]) -> dict[Level, int]:
        """Findings by level."""
        counts = Counter(finding.level for finding in findings)
        return {level: counts[level] for level in Level}


def what_changes(former: Analysis, later: Analysis) -> Switched | None:
    """What changes between two analyses of one piece; None where one of them has no organ."""
    if former.organ is None or later.organ is None:
        return None
    before, now = _answers(former, former.organ), _answers(later, later.organ)
    stops = []
    alike = 0
    for key, (at, labels, stood_in) in before.items():
        if key not in now:
            continue
        _, others, stands_in = now[key]
        if _bare(labels) == _bare(others):
            alike += 1
        else:
            in_name = bool(labels and others) and not stood_in and not stands_in
            stops.append(
                Otherwise(request=key[1], at=at, before=labels, now=others, stands_in=stands_in, in_name=in_name)
            )
    old, new = {_fault(f) for f in former.findings}, {_fault(f) for f in later.findings}
    return Switched(
        former=former.organ.name,
        later=later.organ.name,
        alike=alike,
        stops=tuple(stops),
        keyboards=tuple(_moved(former, later)),
        gone=tuple(f for f in former.findings if _fault(f) not in new),
        new=tuple(f for f in later.findings if _fault(f) not in old),
        verdict=fit_of(later, "").why,
    )


_Key = tuple[tuple[MarkingId, ...], str]


def _answers(analysis: Analysis, organ: Organ) -> dict[_Key, tuple[Position, tuple[str, ...], bool]]:
    """Each request of each marking of the print, once, with the stops that answer it."""
    found: dict[_Key, tuple[Position, tuple[str, ...], bool]] = {}
    for step in analysis.steps:
        if not step.markings:
            continue
        for because in step.because:
            labels = tuple(f"{organ.division_of(s).name}: {stop_label(organ.stop(s))}" for s in because.chosen)
            found.setdefault((step.markings, because.request), (step.at, labels, because.substitute))
    return found


def _bare(labels: tuple[str, ...]) -> frozenset[str]:
    """Stops without their divisions: the keyboards are told apart."""
    return frozenset(label.partition(": ")[2].casefold() for label in labels)


def _moved(former: Analysis, later: Analysis) -> Iterable[Moved]:
    asked = dict.fromkeys((*former.keyboards.answers, *former.keyboards.missing, *later.keyboards.answers))
    for row in asked:
        before, now = _name(former, row), _name(later, row)
        if before != now:
            doubtful = former.keyboards.substitutes | later.keyboards.substitutes
            in_name = bool(before and now) and row not in doubtful
            yield Moved(asked=role_name(row), before=before, now=now, in_name=in_name)


def _name(analysis: Analysis, asked: str) -> str | None:
    division = analysis.keyboards.answers.get(asked)
    return analysis.organ.division(division).name if division and analysis.organ is not None else None


def _fault(finding: Finding) -> Hashable:
    """What two findings on two organs have in common where they say the same of the piece."""
    at = (finding.at.bar, finding.at.onset) if finding.at is not None else None
    return finding.rule, finding.level, finding.marking, at, finding.cause
