"""The steps and passages of a piece as the machine interface's JSON and as text for people."""

from __future__ import annotations

from core.analysis import Analysis
from core.organ.model import Organ
from core.organ.spelling import coupler_label, stop_label
from core.passages.model import BoundaryProposal, Passage
from core.practice.changes import Change
from core.practice.hands_free import Who, makers_of
from core.practice.ways import Way, ways_of
from core.resolve.contract import because_to_json, registration_to_json
from core.resolve.model import Registration, Step
from core.score.held import grips


def step_to_json(organ: Organ, step: Step, change: Change, way: Way | None = None) -> dict[str, object]:
    """One step (the machine interface, `plan`: S), with how its change can be made where that was worked out."""
    free = change.seconds_free
    return {
        "at": step.at.to_json(),
        "marking": {"text": "\n".join(step.texts), "staff": step.staff} if step.texts else None,
        "hands": {
            hand: organ.division(division).name if division else None for hand, division in step.registration.hands
        },
        **registration_to_json(organ, step.registration),
        "because": [because_to_json(organ, b) for b in step.because],
        "seconds_free": None if free is None else round(float(free), 1),
        "movements": change.movements,
        "tempo_guessed": change.tempo_guessed,
        **(_way(way) if way else {}),
    }


def _way(way: Way) -> dict[str, object]:
    return {"who": way.who.value, "limbs": list(way.limbs), "possible": way.possible, "how": str(way.how)}


def ways_in(analysis: Analysis) -> tuple[Way, ...]:
    """How the change of each step can be made by the player that the analysis reckons with."""
    assert analysis.organ is not None
    texts = [m.text for m in analysis.markings.all_texts if not m.is_registration]
    score, steps, lines = analysis.score, analysis.steps, analysis.lines
    makers = makers_of(score, steps, lines, texts, analysis.decisions.player)
    held = {hand: list(grips(score, hand)) for hand in ("right", "left")}
    return ways_of(score, analysis.organ, steps, makers, lines, held)


def passage_to_json(organ: Organ | None, passage: Passage) -> dict[str, object]:
    """One solo passage (the machine interface, `plan`: P)."""
    division = passage.division
    name = organ.division(division).name if organ and division else division
    return {
        "hand": passage.hand,
        "division": name,
        "start": passage.start.to_json(),
        "end": passage.end.to_json() if passage.end else None,
        "marked_end": passage.marked_end,
        "proposals": [_proposal(p, "end") for p in passage.proposals],
        "marked_start": passage.marked_start,
        "start_proposals": [_proposal(p, "start") for p in passage.start_proposals],
        "stops": [stop_label(organ.stop(s)) for s in passage.stops] if organ else [],
        "how": str(passage.how),
    }


def _proposal(proposal: BoundaryProposal, side: str) -> dict[str, object]:
    return {
        side: proposal.at.to_json(),
        "score": proposal.score,
        "why": str(proposal.why),
        "evidence": list(proposal.evidence),
    }


def steps_to_text(analysis: Analysis) -> str:
    """The plan for people: a paragraph a step, then the passages."""
    organ = analysis.organ
    assert organ is not None
    lines = [f"{analysis.score.title or 'Untitled'} on {organ.name}", ""]
    for step, way in zip(analysis.steps, ways_in(analysis), strict=True):
        again = f" ({step.at.nth}. time)" if step.at.nth > 1 else ""
        lines.append(f"bar {step.at.measure}, beat {step.at.beat}{again}: {' / '.join(step.texts) or '–'}")
        lines += [f"    {line}" for line in registration_lines(organ, step.registration)]
        lines += [f"    to be made {way.how}"] if way.who not in (Who.NOBODY, Who.BEFORE) and way.possible else []
        lines += [f"    {way.how}"] if not way.possible else []
    if analysis.passages:
        lines += ["", "Solo passages"]
        lines += [f"  {passage_line(organ, p)}" for p in analysis.passages]
    return "\n".join(lines)


def registration_lines(organ: Organ, registration: Registration) -> list[str]:
    """A registration in words: a line a division, then couplers, tremulants, boxes, hands."""
    lines = []
    for division in organ.divisions:
        stops = [organ.stop(s) for s in registration.drawn if organ.division_of(s).id == division.id]
        if stops:
            lines.append(f"{division.name}: {', '.join(stop_label(s) for s in stops)}")
    if registration.couplers:
        names = [coupler_label(organ, organ.couplers[i]) for i in sorted(registration.couplers)]
        lines.append("coupled: " + ", ".join(names))
    if registration.tremulants:
        names = [organ.division(t).name if t else "whole organ" for t in sorted(registration.tremulants, key=str)]
        lines.append("tremulant: " + ", ".join(names))
    for box, state in registration.boxes:
        lines.append(f"box of the {organ.division(box).name}: {state}")
    hands = [(h, organ.division(d).name) for h, d in registration.hands if d]
    if hands:
        lines.append("; ".join(f"{hand}: {name}" for hand, name in hands))
    return lines


def passage_line(organ: Organ | None, passage: Passage) -> str:
    """A passage in one line."""
    where = organ.division(passage.division).name if organ and passage.division else passage.division or "?"
    text = f"{passage.hand} on the {where}, from bar {passage.start.measure}, beat {passage.start.beat}"
    if passage.end:
        text += f" up to bar {passage.end.measure}, beat {passage.end.beat}"
    elif passage.proposals:
        best = passage.proposals[0]
        text += f"; its end is not marked, likeliest bar {best.at.measure}, beat {best.at.beat} ({best.why})"
    else:
        text += "; its end is not marked"
    return text
