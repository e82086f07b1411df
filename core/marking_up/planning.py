"""Plans what is written into a score: an edit for each marking, bracket, note and block."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from core.analysis import Analysis
from core.edit_values import AddBracket, AddCredit, AddMarking, ChangeMarking
from core.marking_up.model import LeftOut, Planned, Resolved, Wishes
from core.marking_up.wording import elsewhere, locally, opening_lines, stops_here
from core.markings.gathering import MarkingRead
from core.markings.model import Action, Instruction
from core.markings.wording import write, write_reading
from core.organ.model import Organ
from core.passages.closing import closing
from core.passages.model import BoundaryProposal
from core.resolve.model import Because, Registration, Step
from core.resolve.resolver import resolve
from core.score.model import MarkingId, TextKind
from core.texts import say

_ASKS = frozenset({Action.DRAW, Action.ADD, Action.PREPARE, Action.FULL, Action.CRESCENDO})
_EXACT = frozenset({Action.DRAW, Action.ADD, Action.PREPARE})
_LINE = 46  # letters of a line beside the music
_MOST = 8  # stops that a marking may name before its short wording is better


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What to write, and what cannot be."""

    planned: tuple[Planned, ...]
    left: tuple[LeftOut, ...]


def plan(analysis: Analysis, wishes: Wishes) -> Plan:
    """Everything that the wishes ask for in this piece on its organ."""
    planned: list[Planned] = []
    left: list[LeftOut] = []
    answers = _answers(analysis)
    footnotes: list[str] = []
    for mark in analysis.markings.marks:
        changed = _instead(analysis, mark, answers, wishes) if wishes.resolved is Resolved.INSTEAD else None
        if changed is None and wishes.rewrite:
            changed = _rewritten(mark, wishes, left, analysis)
        if changed is not None:
            planned.append(_change(analysis, mark, changed))
        note = _note(analysis, mark, answers, wishes)
        if note and wishes.resolved is Resolved.FOOTNOTES:
            footnotes.append(note)
            note = f"{len(footnotes)})"
        if note:
            planned.append(_beside(analysis, mark, note, small=wishes.resolved is not Resolved.UNDER))
        if wishes.portable and not _is_of_the_page(mark):
            words = elsewhere(mark.instructions, wishes.style)
            if words:
                planned.append(_beside(analysis, mark, words, small=True))
    if footnotes:
        planned += [Planned(edit=AddCredit(text=f"{n}) ({text})")) for n, text in enumerate(footnotes, 1)]
    if wishes.solos:
        planned += _solos(analysis, left)
    if wishes.opening:
        planned += _opening(analysis, wishes)
    return Plan(planned=tuple(planned), left=tuple(left))


# ---------------------------------------------------------------- what answers a marking
def _answers(analysis: Analysis) -> dict[MarkingId, list[tuple[Instruction, list[Because]]]]:
    """For each marking, the instructions that draw something with what answers them, the first time through."""
    organ = analysis.organ
    if organ is None:
        return {}
    found: dict[MarkingId, list[tuple[Instruction, list[Because]]]] = {}
    marks = {m.id: m for m in analysis.markings.marks}
    before = Registration()
    for step in analysis.steps:
        if step.at.nth == 1:
            for marking in step.markings:
                if marking in marks and marking not in found:
                    found[marking] = list(_each(analysis, organ, marks[marking], before, step))
        before = step.registration
    return found


def _each(
    analysis: Analysis, organ: Organ, mark: MarkingRead, before: Registration, step: Step
) -> Iterator[tuple[Instruction, list[Because]]]:
    state = before
    pins = analysis.decisions.pins.get(mark.id, {})
    for instruction in mark.instructions:
        resolution = resolve(
            (instruction,),
            organ,
            state,
            keyboards=analysis.keyboards,
            language=analysis.markings.language,
            text=mark.text.text,
            pins=pins,
        )
        state = resolution.registration
        if instruction.action in _ASKS and (instruction.stops or instruction.action is Action.FULL):
            yield instruction, [b for b in resolution.because if b.chosen]


# ---------------------------------------------------------------- texts
def _note(
    analysis: Analysis,
    mark: MarkingRead,
    answers: Mapping[MarkingId, list[tuple[Instruction, list[Because]]]],
    wishes: Wishes,
) -> str:
    """The stops that answer a marking, in round brackets; "" where it names just these itself."""
    organ = analysis.organ
    if organ is None or wishes.resolved in (None, Resolved.INSTEAD) or _is_of_the_page(mark):
        return ""
    chosen = [stop for _, because in answers.get(mark.id, ()) for b in because for stop in b.chosen]
    if not chosen:
        return ""
    words = stops_here(organ, chosen)
    named = mark.text.text.casefold()
    if all(organ.stop(s).name.casefold() in named for s in chosen):
        return ""
    return words if wishes.resolved is Resolved.FOOTNOTES else f"({words})"


def _is_of_the_page(mark: MarkingRead) -> bool:
    """Whether a marking stands in the title block: the opening block and the front page say what answers it."""
    return mark.text.kind is TextKind.CREDIT


def _instead(
    analysis: Analysis,
    mark: MarkingRead,
    answers: Mapping[MarkingId, list[tuple[Instruction, list[Because]]]],
    wishes: Wishes,
) -> str | None:
    """The marking with this organ's stops by name; None where its own words are as good."""
    organ = analysis.organ
    if organ is None or mark.reading.unread or mark.reading.ambiguous:
        return None
    by_instruction = {id(i): because for i, because in answers.get(mark.id, ())}
    new, changed = [], False
    for instruction in mark.instructions:
        chosen = [organ.stop(s) for b in by_instruction.get(id(instruction), ()) for s in b.chosen]
        homes = {organ.division_of(s.id).id for s in chosen}
        asked = {(r.name or "").casefold() for r in instruction.stops}
        is_better = (
            instruction.action in _EXACT
            and 0 < len(chosen) <= _MOST
            and len(homes) == 1
            and {s.name.casefold() for s in chosen} != asked
        )
        new.append(locally(instruction, chosen) if is_better else instruction)
        changed = changed or is_better
    if not changed:
        return None
    return write(new, wishes.style).text  # whether it draws the same is tried in the whole piece


def _rewritten(mark: MarkingRead, wishes: Wishes, left: list[LeftOut], analysis: Analysis) -> str | None:
    """The marking in the wished language and style, where nothing of it would be lost."""
    written = write_reading(mark.reading, wishes.style)
    if written.text == mark.text.text:
        return None
    at = analysis.score.position(mark.text.onset, mark.text.bar)
    text = " ".join(mark.text.text.split())
    if mark.reading.unread or mark.reading.ambiguous:
        left.append(LeftOut(text=text, why=say("it was not understood in full"), at=at))
        return None
    if not written.exact or written.left_out:
        left.append(LeftOut(text=text, why=say("not all of it can be said in that style"), at=at))
        return None
    return written.text


def _change(analysis: Analysis, mark: MarkingRead, text: str) -> Planned:
    bar = analysis.score.bars[mark.text.bar]
    edit = ChangeMarking(marking=mark.id, text=text, measure=bar.number)
    return Planned(edit=edit, marking=mark.id, at=analysis.score.position(mark.text.onset, mark.text.bar))


def _beside(analysis: Analysis, mark: MarkingRead, text: str, *, small: bool) -> Planned:
    """A text at a marking's place, beneath it."""
    score, where = analysis.score, mark.text
    bar = score.bars[where.bar]
    in_bar = max(0, min(where.onset - bar.onset, bar.length))
    edit = AddMarking(
        part=where.part,
        bar=bar.index,
        staff=where.staff,
        in_bar=in_bar,
        text=_in_lines(text),
        placement=where.placement or "above",
        measure=bar.number,
        small=small,
        under=True,
    )
    return Planned(edit=edit, marking=mark.id, at=score.position(bar.onset + in_bar, bar.index))


def _in_lines(text: str) -> str:
    """A long text broken at its semicolons."""
    lines: list[str] = []
    for piece in text.split("; "):
        if lines and len(lines[-1]) + len(piece) + 2 <= _LINE:
            lines[-1] += f"; {piece}"
        else:
            if lines:
                lines[-1] += ";"
            lines.append(piece)
    return "\n".join(lines)


# ---------------------------------------------------------------- brackets and the opening
def _solos(analysis: Analysis, left: list[LeftOut]) -> Iterator[Planned]:
    bracketed = {(b.part, b.staff, b.onset) for b in analysis.score.brackets}
    roles = {d.id: str(d.role) for d in analysis.organ.divisions} if analysis.organ else {}
    for passage in analysis.passages:
        if passage.hand == "feet":
            continue
        if passage.end is None or passage.end_onset is None:
            left.append(LeftOut(text="", why=say("where this solo ends is not marked"), at=passage.start))
            continue
        proposal = BoundaryProposal(at=passage.end, onset=passage.end_onset, score=1.0, why=passage.how)
        edit = closing(
            analysis.score,
            passage,
            proposal,
            lines=dict(analysis.lines),
            steps=analysis.steps,
            keyboards=analysis.keyboards,
            language=analysis.markings.language,
            roles=roles,
        ).bracket
        if isinstance(edit, AddBracket) and (edit.part, edit.staff, passage.start_onset) not in bracketed:
            yield Planned(edit=edit, marking=passage.marking, at=passage.start)


def _opening(analysis: Analysis, wishes: Wishes) -> Iterator[Planned]:
    organ, score = analysis.organ, analysis.score
    first = [s for s in analysis.steps if s.at.onset == 0 and s.at.nth == 1]
    if organ is None or not first or not score.organ_parts:
        return
    registration = first[-1].registration
    couplers = [organ.couplers[i] for i in sorted(registration.couplers)]
    text = "\n".join(opening_lines(organ, registration.drawn, couplers, wishes.style))
    if text:
        edit = AddMarking(part=score.organ_parts[0], bar=0, staff=1, in_bar=0, text=text, measure=score.bars[0].number)
        yield Planned(edit=edit, at=score.position(0, 0))
