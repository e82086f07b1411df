"""What to ask each church: what its stop list leaves open, and this music depends on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from core.analysis import Analysis
from core.markings.model import Action
from core.organ.model import AidKind, Division, Organ, Role
from core.organ.spelling import stop_label, write_key
from core.position import Position
from core.practice.player import one_motion
from core.texts import Said, say

# Lowest and highest key that a keyboard may be trusted to have where its compass is not stated: those of the shortest
# compasses common since 1850 (54 notes on the manuals, 27 in the pedal; common practice, no source).
_TRUSTED = {False: (36, 89), True: (36, 62)}
_COMBINATIONS = frozenset({AidKind.GENERAL, AidKind.DIVISIONAL, AidKind.STEPPER})  # those a guest can set


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question with the first place that depends on its answer."""

    text: Said
    at: Position | None


def questions_of(analysis: Analysis) -> tuple[Question, ...]:
    """The questions about an analysis's organ, each once."""
    organ = analysis.organ
    if organ is None:
        return ()
    found: dict[Said, Question] = {}
    for question in (
        *_boxes(analysis, organ),
        *_compasses(analysis, organ),
        *_couplers(analysis, organ),
        *_tremulants(analysis, organ),
        *_pistons(analysis, organ),
        *_guesses(analysis, organ),
        *_keyboards(analysis, organ),
    ):
        found.setdefault(question.text, question)
    return tuple(found.values())


def _boxes(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    """Boxes that a hairpin or a box marking needs, where the list does not say whether there is one."""
    for wedge in analysis.score.wedges:
        step = analysis.at(wedge.onset)
        for hand in ("right", "left"):
            division = step.registration.hand(hand) if step else None
            if division is not None and _is_open(organ.division(division)):
                at = analysis.score.position(wedge.onset)
                yield Question(text=_box(organ.division(division)), at=at)
    for step in analysis.steps:
        for division, _ in step.registration.boxes:
            if _is_open(organ.division(division)):
                yield Question(text=_box(organ.division(division)), at=step.at)


def _is_open(division: Division) -> bool:
    return division.enclosed is None and division.role is not Role.PEDAL


def _box(division: Division) -> Said:
    return say("Is the {division} in a box?", division=division.name)


def _compasses(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    """Keys beyond what every keyboard has, where the compass is not stated."""
    for stretch in analysis.stretches:
        for hand, division_id in stretch.registration.hands:
            division = organ.division(division_id) if division_id else None
            if division is None or division.compass is not None:
                continue
            low, high = _TRUSTED[division.role is Role.PEDAL]
            for moment in analysis.lines[hand].between(stretch.start, stretch.end):
                for key in moment.keys:
                    if not low <= key <= high:
                        text = say(
                            "Does the {division} keyboard have {key}? Its compass is not stated.",
                            division=division.name,
                            key=write_key(key),
                        )
                        yield Question(text=text, at=analysis.score.position(moment.onset, moment.bar))


def _couplers(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    """Couplers that the piece asks for and the list does not name; whether they carry on."""
    for step in analysis.steps:
        for finding in step.findings:
            if finding.rule == "missing-coupler":
                template = (
                    "The list names no couplers; is there this one: {what}?"
                    if not organ.couplers
                    else "Is there this coupler, which the list does not name: {what}?"
                )
                yield Question(text=say(template, what=" ".join(step.texts)), at=finding.at or step.at)
        on = [organ.couplers[i] for i in step.registration.couplers]
        chained = any(a.target == b.source and a is not b for a in on for b in on)
        if chained and organ.couplers_carry_on is None:
            yield Question(
                text=say("When two couplers are on, does the second take with it what the first brings?"), at=step.at
            )


def _tremulants(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    if organ.tremulants:
        return
    for step in analysis.steps:
        if any(i.action is Action.TREMULANT_ON for i in step.instructions):
            yield Question(text=say("The list names no tremulant; is there one?"), at=step.at)


def _pistons(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    """Adjustable aids, where many stops change at once and the list names none; else who may set them."""
    quick = [f for f in analysis.findings if f.rule == "change-too-quick"]
    if not quick:
        return
    aids = [a for a in organ.aids if a.kind in _COMBINATIONS]
    if not aids:
        text = say(
            "Are there pistons or other aids that a guest may set? Over {count} stops change at once in places.",
            count=one_motion(),
        )
    else:
        text = say("Which pistons or memory levels may a guest set?")
    yield Question(text=text, at=quick[0].at)


def _guesses(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    """Stops that are drawn and whose sort was guessed by their name."""
    for step in analysis.steps:
        for stop_id in step.registration.drawn:
            stop = organ.stop(stop_id)
            if stop.guess:
                text = say(
                    "What is the {stop} of the {division}? It was taken for one of the {family} stops by its name.",
                    stop=stop_label(stop),
                    division=organ.division_of(stop_id).name,
                    family=say(stop.family.value),
                )
                yield Question(text=text, at=step.at)


def _keyboards(analysis: Analysis, organ: Organ) -> Iterator[Question]:
    """Which keyboard plays what, where it was assumed and two hands play on two."""
    for step in analysis.steps:
        places = {division for hand, division in step.registration.hands if division and hand != "feet"}
        if len(places) < 2:
            continue
        for division_id in sorted(places):
            division = organ.division(division_id)
            if division.keyboard_assumed and division.keyboard:
                yield Question(
                    text=say("From which keyboard is the {division} played?", division=division.name), at=step.at
                )
