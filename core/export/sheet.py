"""The registration sheet: what to prepare, then each change with its bar, what goes on and off, and who does it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from core.analysis import Analysis
from core.export.paper import Column, Flow, Group, Paper, Picture, Row, Run, Runs, plain, row
from core.export.wording import again, bar, control, coupler, slot, told
from core.organ.model import Organ
from core.organ.spelling import stop_label
from core.passages.model import Passage
from core.pistons.model import Control, ControlKind, PistonPlan, Use
from core.position import Position
from core.practice.hands_free import Maker, Who, makers_of
from core.practice.leisure import Leisure
from core.resolve.model import Registration, Step
from core.texts import say

_HANDS = {"right": "R.H.", "left": "L.H.", "feet": "Ped."}
_WHO = {
    Who.RIGHT: "right hand",
    Who.LEFT: "left hand",
    Who.ASSISTANT: "assistant",
    Who.PISTON: "piston or assistant",
}
_CUE = 46  # letters of a marking that help to find the place


def sheet_paper(
    analysis: Analysis,
    *,
    plan: PistonPlan | None = None,
    pictures: Mapping[int, Picture] | None = None,
    large: bool = False,
    whole_specification: bool = False,
) -> Paper:
    """The sheet for one organ and piece.

    Args:
        analysis: of the piece on its organ.
        plan: pistons to press instead of stops to draw (of this piece alone).
        pictures: snippets of the music, by bar index.
        large: large print.
        whole_specification: every stop of the organ, not only those that are used.
    """
    organ = analysis.organ
    assert organ is not None
    steps = analysis.steps
    uses = {_place(use.demand.at): use for use in plan.uses} if plan else {}
    opening = [s for s in steps if s.at.onset == 0 and s.at.nth == 1][-1:]
    groups = [_opening(organ, opening[0], uses)] if opening else []
    changes = _changes(analysis, organ, uses, pictures or {})
    if plan is not None and plan.combinations:
        groups.append(_combinations(organ, plan))
    flows = [Flow(groups=tuple(groups))] if groups else []
    flows.append(Flow(groups=(changes,)))
    after = [g for g in (_substitutes(organ, steps), _specification(organ, steps, whole=whole_specification)) if g.rows]
    flows.append(Flow(groups=tuple(after)))
    return Paper(
        title=analysis.score.title or told("Untitled piece"),
        under=(told("Registration for {organ}", organ=organ.name), *_warning(steps, analysis)),
        flows=tuple(flows),
        large=large,
    )


def _warning(steps: Sequence[Step], analysis: Analysis) -> tuple[str, ...]:
    if steps and analysis.markings.marks:
        return ()
    return (told("The piece has no registration marking that was understood."),)


def _place(at: Position) -> tuple[int, str, int]:
    return at.bar, str(at.beat), at.nth


# ---------------------------------------------------------------- before playing
def _opening(organ: Organ, step: Step, uses: Mapping[tuple[int, str, int], Use]) -> Group:
    """Everything that is on when the first note sounds."""
    registration = step.registration
    rows = []
    for division in organ.divisions:
        stops = [stop_label(s) for s in division.stops if s.id in registration.drawn]
        if stops:
            rows.append(_labelled(division.name, ", ".join(stops)))
    couplers = [coupler(organ, organ.couplers[i]) for i in sorted(registration.couplers)]
    if couplers:
        rows.append(_labelled(told("Couplers"), ", ".join(couplers)))
    tremulants = _tremulants(organ, registration)
    if tremulants:
        rows.append(_labelled(told("Tremulants"), ", ".join(tremulants)))
    boxes = [told("{name} {state}", name=organ.division(d).name, state=say(state)) for d, state in registration.boxes]
    if boxes:
        rows.append(_labelled(told("Boxes"), ", ".join(boxes)))
    hands = _hands(organ, registration)
    if hands:
        rows.append(_labelled(told("Hands"), hands))
    use = uses.get(_place(step.at))
    if use is not None and use.press:
        rows.append(_labelled(told("Press"), ", ".join(slot(organ, s) for s in use.press)))
    if not rows:
        rows.append(row(told("Nothing is said of the beginning."), ""))
    return Group(heading=told("Before playing"), rows=tuple(rows), columns=(Column(share=0), Column()))


def _labelled(name: str, text: str) -> Row:
    return Row(cells=((Run(name, italic=True),), plain(text)))


def _tremulants(organ: Organ, registration: Registration) -> list[str]:
    return [organ.division(d).name if d else told("whole organ") for d in sorted(registration.tremulants, key=str)]


def _hands(organ: Organ, registration: Registration) -> str:
    pieces = []
    places = dict(registration.hands)
    right, left = places.get("right"), places.get("left")
    if right and right == left:
        pieces.append(told("both hands {name}", name=organ.division(right).name))
    else:
        pieces += [f"{told(_HANDS[h])} {organ.division(d).name}" for h, d in (("right", right), ("left", left)) if d]
    return ", ".join(pieces)


# ---------------------------------------------------------------- changes
def _changes(
    analysis: Analysis, organ: Organ, uses: Mapping[tuple[int, str, int], Use], pictures: Mapping[int, Picture]
) -> Group:
    texts = [m.text for m in analysis.markings.all_texts if not m.is_registration]
    makers = makers_of(analysis.score, analysis.steps, dict(analysis.lines), texts, analysis.decisions.player)
    solos = {(p.start.bar, p.start.beat): p for p in analysis.passages}
    rows: list[Row] = []
    for (before, step), maker in zip(pairwise(analysis.steps), makers[1:], strict=True):
        use = uses.get(_place(step.at))
        on, off = _difference(organ, before.registration, step.registration)
        moved = _hands_moved(organ, before.registration, step.registration)
        solo = solos.pop((step.at.bar, step.at.beat), None)
        if not (on or off or moved or solo):
            continue
        what = _what(organ, use, on, off)
        cells = (_where(step), plain("\n".join(x for x in (moved, _solo(organ, solo)) if x)), what, _who(maker, use))
        rows.append(Row(cells=cells))
        if step.at.bar in pictures and step.at.nth == 1:
            rows.append(Row(picture=pictures[step.at.bar]))
    if not rows:
        return Group(heading=told("Changes"), rows=(row(told("Nothing changes.")),))
    return Group(
        heading=told("Changes"),
        head=row(told("Bar"), told("Hands"), told("On and off"), told("Who")),
        rows=tuple(rows),
        columns=(Column(share=1.2), Column(share=1.2), Column(share=3), Column(share=0)),
        ruled=True,
    )


def _where(step: Step) -> Runs:
    at = step.at
    place = at.measure if at.beat == 1 else told("{bar}, beat {beat}", bar=at.measure, beat=at.beat)
    place += f", {again(at.nth)}" if at.nth > 1 else ""
    cue = " / ".join(" ".join(text.split()) for text in step.texts)
    cue = cue if len(cue) <= _CUE else cue[: _CUE - 1].rstrip() + "…"
    return (Run(place, bold=True), *((Run(f"\n{cue}", italic=True),) if cue else ()))


def _difference(organ: Organ, before: Registration, after: Registration) -> tuple[list[str], list[str]]:
    """What goes on and what goes off, division by division, then couplers, tremulants and boxes."""
    on, off = [], []
    for division in organ.divisions:
        drawn = [stop_label(s) for s in division.stops if s.id in after.drawn and s.id not in before.drawn]
        taken = [stop_label(s) for s in division.stops if s.id in before.drawn and s.id not in after.drawn]
        on += [f"{division.name}: {', '.join(drawn)}"] if drawn else []
        off += [f"{division.name}: {', '.join(taken)}"] if taken else []
    on += [coupler(organ, organ.couplers[i]) for i in sorted(after.couplers - before.couplers)]
    off += [coupler(organ, organ.couplers[i]) for i in sorted(before.couplers - after.couplers)]
    on += [told("{name} tremulant", name=name) for name in _names(organ, after.tremulants - before.tremulants)]
    off += [told("{name} tremulant", name=name) for name in _names(organ, before.tremulants - after.tremulants)]
    on += [
        told("{name} box {state}", name=organ.division(d).name, state=say(state))
        for d, state in after.boxes
        if before.box(d) != state
    ]
    return on, off


def _names(organ: Organ, divisions: frozenset[str | None]) -> list[str]:
    return [organ.division(d).name if d else told("the") for d in sorted(divisions, key=str)]


def _hands_moved(organ: Organ, before: Registration, after: Registration) -> str:
    return "" if before.hands == after.hands else _hands(organ, after)


def _solo(organ: Organ, passage: Passage | None) -> str:
    """``solo to bar 13``, or that its end is open."""
    if passage is None:
        return ""
    if passage.end is None:
        said = told("{hand} solo, its end is not marked", hand=say(_HANDS[passage.hand]))
        if not passage.proposals:
            return said
        return told("{solo}, perhaps to {place}", solo=said, place=bar(passage.proposals[0].at.measure))
    place = bar(passage.end.measure, passage.end.beat)
    return told("{hand} solo up to {place}", hand=say(_HANDS[passage.hand]), place=place)


def _what(organ: Organ, use: Use | None, on: list[str], off: list[str]) -> Runs:
    if use is not None and use.press:
        runs = [Run(", ".join(slot(organ, s) for s in use.press), bold=True)]
        runs += [Run("\n+ " + control(organ, c)) for c in use.draw]
        runs += [Run("\n– " + control(organ, c)) for c in use.retire]
        return tuple(runs)
    return plain("\n".join([*(f"+ {text}" for text in on), *(f"– {text}" for text in off)]))


def _who(maker: Maker, use: Use | None) -> Runs:
    if use is not None and use.press and not use.moves:
        return plain(told("piston"))
    if maker.who is Who.NOBODY:
        return plain("")
    if maker.who is Who.BEFORE:
        return plain(told("before the movement"))
    name = told(_WHO[maker.who])
    if maker.leisure is Leisure.FREE:
        return plain(f"{name}\n" + told("time is free"))
    seconds = float(maker.seconds_free or 0)
    return plain(f"{name}\n{seconds:.1f} s" if seconds else f"{name}\n" + told("no rest"))


# ---------------------------------------------------------------- after
def _combinations(organ: Organ, plan: PistonPlan) -> Group:
    rows = [_labelled(slot(organ, c.slot), _by_division(organ, c.sets)) for c in plan.combinations]
    return Group(
        heading=told("Set before"), rows=tuple(rows), columns=(Column(share=0), Column()), small=True, ruled=True
    )


def _by_division(organ: Organ, controls: frozenset[Control]) -> str:
    """``Great: Open Diapason 8, Principal 4; Swell to Great``: stops division by division, then the rest."""
    pieces = []
    for division in organ.divisions:
        stops = [stop_label(s) for s in division.stops if Control(ControlKind.STOP, s.id) in controls]
        if stops:
            pieces.append(f"{division.name}: {', '.join(stops)}")
    pieces += [control(organ, c) for c in sorted(controls) if c.kind is not ControlKind.STOP]
    return "; ".join(pieces) or told("nothing")


def _substitutes(organ: Organ, steps: Sequence[Step]) -> Group:
    """What is drawn in the place of something the organ lacks."""
    found: dict[str, str] = {}
    for step in steps:
        for because in step.because:
            if because.substitute and because.chosen:
                chosen = ", ".join(stop_label(organ.stop(s)) for s in because.chosen)
                found.setdefault(because.request, chosen)
    rows = tuple(row(told(asked), told("here {stops}", stops=chosen)) for asked, chosen in found.items())
    return Group(heading=told("In place of"), rows=rows, columns=(Column(share=0), Column()), small=True)


def _specification(organ: Organ, steps: Sequence[Step], *, whole: bool) -> Group:
    """The stops that the piece uses; or all of them."""
    used = {stop for step in steps for stop in step.registration.drawn}
    rows = []
    for division in organ.divisions:
        stops = [stop_label(s) for s in division.stops if whole or s.id in used]
        if stops:
            rows.append(_labelled(division.name, ", ".join(stops)))
    heading = told("Specification") if whole else told("Stops used")
    return Group(heading=heading, rows=tuple(rows), columns=(Column(share=0), Column()), small=True)
