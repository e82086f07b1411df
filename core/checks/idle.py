"""Rules about markings that change nothing: couplers, tremulants and boxes that are so already."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.markings.model import Action, Instruction
from core.organ.spelling import coupler_label
from core.resolve.model import Registration, Step
from core.texts import Said, say


@rule("coupler-already-on", level=Level.ADVICE)
def coupler_already_on(context: Context) -> Iterator[Finding]:
    """A marking couples what is coupled already.

    What: Every coupler that the marking asks for is on before it.
    Why: It changes nothing; perhaps another was meant, or an earlier "off" is missing.
    Example: "Sw. to Gt." a second time, with nothing between that takes it off.
    Remedy: Strike it out, or name the coupler that is meant.
    """
    before = Registration()
    for step in context.steps:
        asked = [i for i in step.instructions if i.action is Action.COUPLE]
        undone = any(i.action is Action.UNCOUPLE for i in step.instructions)
        same = step.registration.couplers == before.couplers
        if asked and same and before.couplers and not undone and not step.findings and step.at.nth == 1:
            organ = context.the_organ
            engaged = ", ".join(coupler_label(organ, organ.couplers[i]) for i in sorted(before.couplers))
            yield Finding(
                rule="coupler-already-on",
                level=Level.ADVICE,
                message=say("the coupler is already on ({couplers})", couplers=engaged),
                why=say("the marking changes nothing here"),
                at=step.at,
                staff=step.staff,
                marking=step.markings[0] if step.markings else None,
                cause="coupled",
            )
        before = step.registration


@rule("tremulant-already-so", level=Level.ADVICE)
def tremulant_already_so(context: Context) -> Iterator[Finding]:
    """A marking draws a tremulant that is on, or takes off one that is not.

    What: The tremulant is already as the marking asks.
    Why: It changes nothing; perhaps an earlier marking is missing.
    Example: "Trem. off" where no tremulant was drawn.
    Remedy: Strike it out, or write where the tremulant was to change before.
    """
    before = Registration()
    for step in context.steps:
        for instruction in _of(step, Action.TREMULANT_ON, Action.TREMULANT_OFF):
            if step.registration.tremulants != before.tremulants:
                continue
            on = instruction.action is Action.TREMULANT_ON
            if (on and not before.tremulants) or _is_part_of_more(step, instruction):
                continue
            yield _idle(
                step,
                "tremulant-already-so",
                say("the tremulant is already on") if on else say("the tremulant is to go off, but it is not on"),
                "tremulant",
            )
            break
        before = step.registration


@rule("box-already-so", level=Level.ADVICE)
def box_already_so(context: Context) -> Iterator[Finding]:
    """A marking opens a box that is open, or closes one that is closed.

    What: The swell box is already as the marking asks.
    Why: It changes nothing; perhaps an earlier opening or closing is missing.
    Example: "Sw. box open" a second time, with nothing between that closes it.
    Remedy: Strike it out, or write where the box was to move before.
    """
    before = Registration()
    moved = 0  # the written onset from which hairpins count: the last marking that moved a box
    for step in context.steps:
        now = int(step.at.onset * context.score.ticks)
        for instruction in _of(step, Action.BOX):
            if any(moved <= wedge.onset < now for wedge in context.score.wedges):
                break  # a hairpin since then has moved the box
            state = instruction.box or ""
            if state not in ("open", "closed") or step.registration.boxes != before.boxes:
                continue
            if not any(now == state for _, now in before.boxes) or _is_part_of_more(step, instruction):
                continue
            words = "the box is already {state}"
            yield _idle(step, "box-already-so", say(words, state=say(state)), "box")
            break
        if step.registration.boxes != before.boxes:
            moved = now
        before = step.registration


def _of(step: Step, *actions: Action) -> Iterator[Instruction]:
    if step.at.nth == 1 and not step.findings:
        yield from (i for i in step.instructions if i.action in actions)


def _is_part_of_more(step: Step, instruction: Instruction) -> bool:
    """Whether the same texts set a division anew: then the box and tremulant are named for completeness."""
    anew = (Action.DRAW, Action.FULL, Action.PREPARE)
    return any(i.action in anew for i in step.instructions if i is not instruction)


def _idle(step: Step, name: str, message: Said, cause: str) -> Finding:
    return Finding(
        rule=name,
        level=Level.ADVICE,
        message=message,
        why=say("the marking changes nothing here"),
        at=step.at,
        staff=step.staff,
        marking=step.markings[0] if step.markings else None,
        cause=cause,
    )
