"""The needs page: what a piece asks of any organ, line by line with its places, set against several organs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from core.analysis import Analysis
from core.compare.needs import Needs, needs_of, said_request
from core.compare.organs import Fit
from core.compare.organs import Row as KeyboardRow
from core.compare.questions import questions_of
from core.export.paper import Column, Flow, Group, Paper, Row, Run, Runs, plain, row
from core.export.wording import bar, shown, told
from core.export.wording import role as role_words
from core.markings.model import Action
from core.organ.model import Organ
from core.organ.spelling import stop_label, write_key
from core.position import Position
from core.texts import Said, say

_WORD = re.compile(r"[\w/]+")
_BETWEEN = frozenset({"and", "ft", "the", "to", "division"})
_MANY = 6  # a full division of more stops is counted, not listed
_PLACES = 6  # bars named of one request; more are counted


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """One organ that the piece is set against."""

    analysis: Analysis
    fit: Fit

    @property
    def organ(self) -> Organ:
        """The organ."""
        return self.fit.organ


def needs_paper(analysis: Analysis, against: Sequence[Against] = (), *, large: bool = False) -> Paper:
    """The page.

    Args:
        analysis: of the piece, without an organ or with any.
        against: the organs, the best first.
        large: in large print.
    """
    needs = needs_of(analysis)
    groups = [_whole(needs)]
    groups += [_verdicts(against)] if against else []
    groups.append(_requests(analysis, needs, against))
    groups += [g for g in (_couplers(needs, against), _aids(needs), _unread(needs)) if g.rows]
    flows = [Flow(groups=tuple(groups))]
    questions = [_questions(one) for one in against]
    asked = tuple(g for g in questions if g.rows)
    if asked:
        flows.append(Flow(groups=asked))
    return Paper(
        title=analysis.score.title or told("Untitled piece"),
        under=(told("What it asks of an organ"),),
        flows=tuple(flows),
        large=large,
    )


def _whole(needs: Needs) -> Group:
    manuals = say("{count} {count:manual|manuals}", count=needs.manuals)
    template = "{manuals} and pedal" if needs.pedal else "{manuals}, no pedal"
    rows = [_labelled(told("Keyboards"), told(template, manuals=manuals))]
    for together in needs.together:
        if len(together.divisions) > 2:
            names = ", ".join(role_words(d) for d in together.divisions)
            rows.append(_labelled(told("At one time"), f"{names} ({bar(together.at.measure)})"))
    for name, ends in (("Manual keys", needs.manual_compass), ("Pedal keys", needs.pedal_compass)):
        if ends:
            low, high = write_key(ends.low), write_key(ends.high)
            low, high = f"{low} ({bar(ends.low_at.measure)})", f"{high} ({bar(ends.high_at.measure)})"
            rows.append(_labelled(told(name), told("{low} to {high}", low=low, high=high)))
    boxed = [role_words(d.role) for d in needs.divisions if d.enclosed]
    if boxed:
        rows.append(_labelled(told("In a box"), ", ".join(boxed)))
    return Group(heading=told("The whole"), rows=tuple(rows), columns=(Column(share=0), Column()))


def _labelled(name: str, text: str) -> Row:
    return Row(cells=((Run(name, italic=True),), plain(text)))


def _keyboard(one: KeyboardRow) -> str:
    """``Swell: Récit``, and whether it only stands in."""
    template = "{asked}: {name} (stands in)" if one.stand_in else "{asked}: {name}"
    return told(template, asked=say(one.asked), name=one.division or say("nothing"))


def _verdicts(against: Sequence[Against]) -> Group:
    rows = []
    for one in against:
        keyboards = ", ".join(_keyboard(one) for one in one.fit.keyboards)
        said: Runs = (Run(shown(one.fit.why)), *((Run(f"\n{keyboards}", italic=True),) if keyboards else ()))
        rows.append(Row(cells=((Run(one.organ.name, bold=True),), plain(f"{float(one.fit.share):.0%}"), said)))
    columns = (Column(share=1), Column(share=0, right=True), Column(share=3))
    return Group(heading=told("The organs"), rows=tuple(rows), columns=columns, ruled=True)


# ---------------------------------------------------------------- requests
def _requests(analysis: Analysis, needs: Needs, against: Sequence[Against]) -> Group:
    """A row for each thing asked of a division, with its places and each organ's answer."""
    places: dict[tuple[str, Said], list[Position]] = {}
    for division in needs.divisions:
        for request in division.requests:
            names = [said_request(s) for s in request.instruction.stops]
            if request.instruction.action is Action.FULL and not names:
                names = [say("full")]
            for name in names:
                places.setdefault((division.role, name), []).append(request.at)
    answers = [_answers(one.analysis) for one in against]
    rows = [
        row(
            role_words(role) if role else told("not said"),
            shown(name),
            _bars(where),
            *(_answer(one.organ, found, where[0], str(name)) for one, found in zip(against, answers, strict=True)),
        )
        for (role, name), where in places.items()
    ]
    shares = [Column(share=1), Column(share=1.4), Column(share=1), *(Column(share=1.4) for _ in against)]
    return Group(
        heading=told("Stops"),
        head=row(told("On"), told("Asked"), told("Bars"), *(one.organ.name for one in against)),
        rows=tuple(rows),
        columns=tuple(shares),
        ruled=True,
    )


_Found = dict[Position, list[tuple[str, tuple[str, ...], bool]]]


def _answers(analysis: Analysis) -> _Found:
    """What each place's requests were answered by: request, stop ids, whether something stands in."""
    found: _Found = {}
    for step in analysis.steps:
        for because in step.because:
            found.setdefault(step.at, []).append((because.request.casefold(), because.chosen, because.substitute))
    return found


def _answer(organ: Organ, found: _Found, at: Position, name: str) -> str:
    asked = _plain_words(name)
    for request, chosen, stands_in in found.get(at, []):
        words = _plain_words(request)
        if not (words <= asked or asked <= words):
            continue
        if not chosen:
            return told("not there")
        if asked == {"full"} and len(chosen) > _MANY:
            return told("{count} stops", count=len(chosen))
        stops = ", ".join(stop_label(organ.stop(s)) for s in chosen)
        return f"({stops})" if stands_in else stops
    return "–"


def _plain_words(text: str) -> frozenset[str]:
    """The words of a request without plural endings and the words between them."""
    words = _WORD.findall(text.casefold())
    return frozenset(w[:-1] if w.endswith("s") and len(w) > 3 else w for w in words if w not in _BETWEEN)


def _bars(places: Sequence[Position]) -> str:
    every = list(dict.fromkeys(at.measure for at in places))
    few = ", ".join(every[:_PLACES])
    rest = len(every) - _PLACES
    return told("{names} and {count} more", names=few, count=rest) if rest > 0 else few


# ---------------------------------------------------------------- the rest
def _couplers(needs: Needs, against: Sequence[Against]) -> Group:
    rows = []
    for need in needs.couplers:
        place = need.at.measure if need.at else ""
        answers = (told("no") if _lacks_coupler(one, need.at) else told("yes") for one in against)
        rows.append(row(need.what, place, *answers))
    return Group(
        heading=told("Couplers"),
        head=row(told("Asked"), told("Bar"), *(one.organ.name for one in against)),
        rows=tuple(rows),
        columns=(Column(share=1.4), Column(share=1), *(Column(share=1.4) for _ in against)),
        ruled=True,
    )


def _lacks_coupler(one: Against, at: Position | None) -> bool:
    return any(
        finding.rule == "missing-coupler" and at is not None and (finding.at or step.at).onset == at.onset
        for step in one.analysis.steps
        for finding in step.findings
    )


def _aids(needs: Needs) -> Group:
    rows = tuple(
        row(
            told(need.what) + (f" ({role_words(need.source)})" if need.source else ""),
            need.at.measure if need.at else "",
        )
        for need in needs.aids
    )
    return Group(heading=told("Aids"), rows=rows, columns=(Column(), Column()))


def _aid(what: str, source: str | None) -> str:
    return told(what) + (f" ({role_words(source)})" if source else "")


def _unread(needs: Needs) -> Group:
    rows = tuple(row(text, bar(at.measure)) for text, at in needs.unread)
    return Group(heading=told("Not understood"), rows=rows, columns=(Column(), Column()))


def _questions(one: Against) -> Group:
    rows = tuple(
        row(shown(question.text), bar(question.at.measure) if question.at else "")
        for question in questions_of(one.analysis)
    )
    return Group(
        heading=told("To ask about {organ}", organ=one.organ.name),
        note=told("what its stop list leaves open and this music depends on"),
        rows=rows,
        columns=(Column(), Column(share=0)),
    )
