"""The piston plan as text, JSON and CSV for the bench; a former plan read back; its numbers as edits of a score."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping
from typing import Any

from core.analysis import Analysis
from core.edit_values import AddMarking, Edit, Together
from core.errors import ReadError
from core.export.tables import safe_cell
from core.organ.model import Organ
from core.pistons.model import (
    Combination,
    Control,
    ControlKind,
    Drawn,
    PistonPlan,
    Slot,
    SlotKind,
    Use,
    control_label,
    slot_label,
)
from core.pistons.planning import Former
from core.texts import say

_COLUMNS = ("piston", "kind", "number", "division", "level", "stops", "couplers", "tremulants", "first at")


def labels(organ: Organ, controls: Iterable[Control], kind: ControlKind | None = None) -> list[str]:
    """Controls as an organist names them, in the console's order: divisions as the specification has them."""
    order = {stop.id: (place, index) for place, d in enumerate(organ.divisions) for index, stop in enumerate(d.stops)}
    chosen = [c for c in controls if kind is None or c.kind is kind]
    chosen.sort(key=lambda c: (c.kind != ControlKind.STOP, c.kind, order.get(c.id, (0, 0)), c.id))
    return [control_label(organ, c) for c in chosen]


def plan_to_json(organ: Organ, plan: PistonPlan) -> dict[str, object]:
    """The whole plan; `former_from_json` reads it back."""
    return {
        "organ": organ.name,
        "pieces": list(plan.titles),
        "fewest": plan.optimal,
        "explained": [str(s) for s in plan.explained],
        "combinations": [_combination(organ, c) for c in plan.combinations],
        "changes": [_use(organ, u) for u in plan.uses],
        "impossible": [u.demand.at.to_json() for u in plan.impossible],
    }


def _combination(organ: Organ, combination: Combination) -> dict[str, object]:
    return {
        "piston": slot_label(organ, combination.slot),
        "slot": _slot(combination.slot),
        "sets": [list(c) for c in sorted(combination.sets)],
        **{f"{kind.value}s": labels(organ, combination.sets, kind) for kind in ControlKind},
    }


def _slot(slot: Slot) -> dict[str, object]:
    return {
        "kind": slot.kind.value,
        "number": slot.number,
        "division": slot.division or None,
        "level": slot.level,
        "inserted": slot.inserted,
    }


def _use(organ: Organ, use: Use) -> dict[str, object]:
    return {
        "piece": use.demand.piece,
        "at": use.demand.at.to_json(),
        "marking": use.demand.text or None,
        "press": [slot_label(organ, s) for s in use.press],
        "slots": [_slot(s) for s in use.press],
        "draw": labels(organ, use.draw),
        "retire": labels(organ, use.retire),
        "possible": use.possible,
    }


def former_from_json(text: str, path: str) -> Former:
    """A plan printed earlier with ``--json``, so that its numbers stay.

    Raises:
        ReadError: it is no such plan.
    """
    try:
        content = json.loads(text)
        found = {}
        for entry in content["combinations"]:
            slot = _read_slot(entry["slot"])
            sets: Drawn = frozenset(Control(ControlKind(kind), str(name)) for kind, name in entry["sets"])
            found[slot.kind, slot.division, sets] = slot
        pressed = {
            (int(c["piece"]), str(c["at"]["measure"]), str(c["at"]["beat"]), int(c["at"].get("pass", 1))): tuple(
                _read_slot(s) for s in c["slots"]
            )
            for c in content["changes"]
            if c["slots"]
        }
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError) as error:
        raise ReadError(
            "this is no piston plan", path=path, remedy="Give a plan that “stopwright pistons … --json” printed."
        ) from error
    return Former(found, pressed)


def _read_slot(entry: Mapping[str, Any]) -> Slot:
    level = entry["level"]
    return Slot(
        SlotKind(entry["kind"]),
        int(entry["number"]),
        str(entry["division"] or ""),
        None if level is None else int(level),
        int(entry.get("inserted", 0)),
    )


def plan_to_csv(organ: Organ, plan: PistonPlan) -> str:
    """One row a combination, for setting it at the bench."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for combination in plan.combinations:
        slot = combination.slot
        division = organ.division(slot.division).name if slot.division else ""
        row = [slot_label(organ, slot), slot.kind.value, slot.number, division, slot.level or ""]
        row += [safe_cell("; ".join(labels(organ, combination.sets, kind))) for kind in ControlKind]
        writer.writerow([*row, safe_cell(_first_place(plan, slot))])
    return out.getvalue()


def _first_place(plan: PistonPlan, slot: Slot) -> str:
    return next((_place(plan, u) for u in plan.uses if slot in u.press), "")


def _place(plan: PistonPlan, use: Use) -> str:
    at = use.demand.at
    beat = "" if at.beat == 1 else f", beat {at.beat}"
    again = f", {_ORDINAL.get(at.nth, f'{at.nth}th')} time" if at.nth > 1 else ""
    several = f"{plan.titles[use.demand.piece] or f'piece {use.demand.piece + 1}'}, " if len(plan.titles) > 1 else ""
    return f"{several}bar {at.measure}{beat}{again}"


_ORDINAL = {2: "2nd", 3: "3rd"}


def plan_to_text(organ: Organ, plan: PistonPlan) -> str:
    """The plan for people: what is set, then what is done bar by bar."""
    lines = [f"{organ.name}: {_count(len(plan.combinations), 'combination')}", ""]
    for combination in plan.combinations:
        lines.append(slot_label(organ, combination.slot))
        lines += [f"    {label}" for label in labels(organ, combination.sets)] or ["    nothing"]
    lines.append("")
    for use in plan.uses:
        lines.append(f"{_place(plan, use)}: {use_words(organ, use)}")
    lines.append("")
    lines += [str(sentence) for sentence in plan.explained]
    return "\n".join(lines)


def use_words(organ: Organ, use: Use) -> str:
    """What is done at a change, in a line."""
    pieces = [slot_label(organ, s) for s in use.press]
    if use.draw:
        pieces.append("by hand on " + ", ".join(labels(organ, use.draw)))
    if use.retire:
        pieces.append("by hand off " + ", ".join(labels(organ, use.retire)))
    words = "; ".join(pieces) or "nothing to move"
    return words if use.possible else f"not possible alone: {words}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def numbers_as_edit(analysis: Analysis, plan: PistonPlan, piece: int = 0) -> Edit | None:
    """The pistons of one piece written at their bars, as one edit; None where none is pressed."""
    organ, score = analysis.organ, analysis.score
    if organ is None:
        return None
    by_place: dict[tuple[int, int], list[Use]] = {}
    for use in plan.uses:
        if use.demand.piece == piece and use.press:
            bar = use.demand.at.bar
            in_bar = int(use.demand.at.onset * score.ticks) - score.bars[bar].onset
            by_place.setdefault((bar, in_bar), []).append(use)
    part = score.organ_parts[0] if score.organ_parts else 0
    edits = tuple(
        AddMarking(
            part=uses[0].demand.marking.part if uses[0].demand.marking else part,
            bar=bar,
            staff=(uses[0].demand.staff or 1),
            in_bar=in_bar,
            text=_written(organ, uses),
            measure=uses[0].demand.at.measure,
        )
        for (bar, in_bar), uses in sorted(by_place.items(), key=lambda item: item[0])
    )
    return Together(edits=edits, what=say("write the pistons into the score")) if edits else None


def _written(organ: Organ, uses: list[Use]) -> str:
    """``Gen. 3``, or with several times through ``Gen. 3 (2nd time Gen. 5)`` where they differ."""
    names = [" + ".join(slot_label(organ, s) for s in use.press) for use in uses]
    first = names[0]
    later = [
        f"{_ORDINAL.get(use.demand.at.nth, f'{use.demand.at.nth}th')} time {name}"
        for use, name in zip(uses[1:], names[1:], strict=True)
        if name != first
    ]
    if uses[0].demand.at.nth > 1:
        first = f"{_ORDINAL.get(uses[0].demand.at.nth, f'{uses[0].demand.at.nth}th')} time {first}"
    return f"{first} ({', '.join(later)})" if later else first
