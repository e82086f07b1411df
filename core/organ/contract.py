"""An organ as the command line's JSON has it: ``organ read`` and ``organ show`` print the same object."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Protocol

from core.organ.model import Aid, AidKind, Coupler, Division, Family, Organ, Stop, Tremulant
from core.organ.spelling import write_feet, write_key

AID_GROUPS: dict[AidKind, str] = {
    AidKind.GENERAL: "pistons",
    AidKind.DIVISIONAL: "pistons",
    AidKind.CANCEL: "pistons",
    AidKind.REVERSIBLE: "reversibles",
    AidKind.STEPPER: "steppers",
    AidKind.FIXED: "fixed_combinations",
    AidKind.TUTTI: "fixed_combinations",
    AidKind.VENTIL: "ventils",
    AidKind.CRESCENDO: "crescendo_pedals",
    AidKind.BOX: "box_pedals",
    AidKind.OTHER: "other",
}


class LineOfText(Protocol):
    """A line of the source with what is said of it: what was not read, or a doubt."""

    @property
    def line(self) -> int:
        """The line, from 1."""

    @property
    def text(self) -> object:
        """The line as printed, or the doubt in words."""


def organ_to_json(organ: Organ, unread: Iterable[LineOfText] = (), doubts: Iterable[LineOfText] = ()) -> dict[str, Any]:
    """The JSON object of an organ.

    Args:
        organ: what was read.
        unread: lines of the source that nothing was read from.
        doubts: lines of which another reading is possible, each with a sentence.
    """
    return {
        "name": organ.name,
        "divisions": [_division(division) for division in organ.divisions],
        "couplers": [_coupler(organ, coupler) for coupler in organ.couplers],
        "tremulants": [_tremulant(organ, tremulant) for tremulant in organ.tremulants],
        "aids": _aids(organ),
        "unread": [{"line": item.line, "text": str(item.text)} for item in unread],
        "doubts": [{"line": item.line, "text": str(item.text)} for item in doubts],
        "assumed": [str(said) for said in organ.assumed],
        "couplers_carry_on": organ.couplers_carry_on,
        **_said(
            place=organ.place,
            builder=organ.builder,
            language=organ.language,
            tradition=organ.tradition,
            invented=organ.invented,
            remark=organ.remark,
        ),
    }


def _said(**fields: Any) -> dict[str, Any]:
    """The fields of which something is said; what is empty is left out."""
    return {name: value for name, value in fields.items() if value}


def _division(division: Division) -> dict[str, Any]:
    compass = division.compass
    return {
        "id": division.id,
        "name": division.name,
        "role": division.role.value,
        "keyboard": division.keyboard,
        "enclosed": division.enclosed,
        "compass": [write_key(key) for key in compass] if compass else None,
        "lines": list(division.lines),
        **_said(
            keyboard_assumed=division.keyboard_assumed,
            box=division.box,
            missing=[write_key(key) for key in sorted(division.missing)],
            also_on=list(division.also_on),
            remark=division.remark,
        ),
        "stops": [_stop(stop) for stop in division.stops],
    }


def _stop(stop: Stop) -> dict[str, Any]:
    family = Family.MIXTURE if stop.family is Family.COMPOUND else stop.family
    entry: dict[str, Any] = {
        "id": stop.id,
        "name": stop.name,
        "pitch": None if stop.pitch is None else write_feet(stop.pitch),
        "family": family.value,
        "loudness": stop.loudness,
        "lines": list(stop.lines),
    }
    if stop.ranks:
        entry["ranks"] = stop.ranks.low if stop.ranks.low == stop.ranks.high else str(stop.ranks)
    if stop.enclosed is not None:
        entry["enclosed"] = stop.enclosed
    if stop.compass != (None, None):
        entry["compass"] = [None if key is None else write_key(key) for key in stop.compass]
    if stop.family is Family.COMPOUND:
        entry["holds_tierce"] = True
    if stop.on_ventil is not None:
        entry["on_ventil"] = stop.on_ventil
    if not stop.in_use:
        entry["in_use"] = False
    return entry | _said(
        half=stop.half.value if stop.half else None,
        borrowed=stop.borrowed,
        rank=stop.rank,
        rank_shift=stop.rank_shift or None,
        kind=stop.kind,
        guess=stop.guess,
        box=stop.box,
        missing=[write_key(key) for key in sorted(stop.missing)],
        composition=_composition(stop),
        composition_assumed=stop.composition_assumed,
        remark=stop.remark,
    )


def _composition(stop: Stop) -> list[dict[str, Any]]:
    return [
        {"from": write_key(part.key), "feet": [write_feet(feet) for feet in part.feet]} for part in stop.composition
    ]


def division_name(organ: Organ, division_id: str) -> str:
    """The name of a division, or the id itself where the organ has no stops for it (a pull-down pedal)."""
    return next((d.name for d in organ.divisions if d.id == division_id), division_id)


def _coupler(organ: Organ, coupler: Coupler) -> dict[str, Any]:
    return {
        "from": division_name(organ, coupler.source),
        "to": division_name(organ, coupler.target),
        "pitch": write_feet(coupler.pitch),
        "lines": list(coupler.lines),
        **_said(
            half=coupler.half.value if coupler.half else None,
            permanent=coupler.permanent,
            unison_off=coupler.unison_off,
            text=coupler.text,
        ),
    }


def _tremulant(organ: Organ, tremulant: Tremulant) -> dict[str, Any]:
    division = tremulant.division
    return {
        "division": None if division is None else division_name(organ, division),
        "name": tremulant.name,
        "lines": list(tremulant.lines),
    }


def _aids(organ: Organ) -> dict[str, list[dict[str, Any]]]:
    groups: dict[str, list[dict[str, Any]]] = {}
    for aid in organ.aids:
        groups.setdefault(AID_GROUPS[aid.kind], []).append(_aid(organ, aid))
    return groups


def _aid(organ: Organ, aid: Aid) -> dict[str, Any]:
    return {
        "kind": aid.kind.value,
        "text": aid.text,
        "lines": list(aid.lines),
        **_said(
            division=None if aid.division is None else division_name(organ, aid.division),
            count=aid.count,
            moves=aid.moves,
            reach=[reach.value for reach in aid.reach],
        ),
    }
