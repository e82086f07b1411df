"""Readings as the command line's JSON, and instructions back from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from core.markings.model import Action, CouplerRequest, Hand, Instruction, Reading, StopRequest
from core.organ.model import Half
from core.organ.spelling import read_feet_exact, write_feet

_WITHOUT_STOPS = (Action.COUPLE, Action.UNCOUPLE)
_BARE = (Action.BOX, Action.TREMULANT_ON, Action.TREMULANT_OFF, Action.PISTON, Action.CANCEL, Action.UNISON_OFF,
         Action.CRESCENDO_PEDAL)  # fmt: skip


def reading_to_json(reading: Reading) -> dict[str, Any]:
    """A reading in the fixed form of ``stopwright read --json``."""
    return {
        "text": reading.text,
        "language": reading.language,
        "kind": str(reading.kind.value),
        "instructions": [instruction_to_json(one) for one in reading.instructions],
        "unread": [one.text for one in reading.unread],
        "ambiguous": reading.ambiguous,
        "also": [[instruction_to_json(one) for one in other] for other in reading.also],
        "brackets": reading.brackets.value if reading.brackets else None,
        "unread_at": [list(one.span) for one in reading.unread],
    }


def instruction_to_json(instruction: Instruction) -> dict[str, Any]:
    """One instruction; draw-like ones always carry every field."""
    made: dict[str, Any] = {"action": instruction.action.value, "division": instruction.division}
    if instruction.action in _WITHOUT_STOPS:
        coupler = instruction.coupler
        made["coupler"] = (
            {"from": coupler.source, "to": coupler.target, "pitch": write_feet(coupler.pitch)} if coupler else None
        )
    else:
        made["hand"] = instruction.hand.value if instruction.hand else None
        if instruction.action not in _BARE:
            made["stops"] = [request_to_json(stop) for stop in instruction.stops]
            made["except"] = [request_to_json(stop) for stop in instruction.exceptions]
            made["up_to"] = instruction.up_to
        made["optional"] = instruction.optional
        made["or"] = [instruction_to_json(other) for other in instruction.alternatives]
    for key in ("box", "number", "to"):
        value = getattr(instruction, key)
        if value is not None:
            made[key] = value
    if instruction.passes is not None:
        made["passes"] = list(instruction.passes)
    return made


def request_to_json(stop: StopRequest) -> dict[str, Any]:
    """One stop request."""
    made: dict[str, Any] = {
        "name": stop.name,
        "family": stop.family,
        "pitches": [write_feet(pitch) for pitch in stop.pitches],
        "qualities": list(stop.qualities),
        "half": stop.half.value if stop.half else None,
    }
    if stop.ranks is not None:
        made["ranks"] = stop.ranks
    return made


def instruction_from_json(data: Mapping[str, Any]) -> Instruction:
    """The instruction that `instruction_to_json` wrote."""
    coupler = data.get("coupler")
    return Instruction(
        action=Action(data["action"]),
        division=data.get("division"),
        hand=Hand(data["hand"]) if data.get("hand") else None,
        stops=tuple(request_from_json(stop) for stop in data.get("stops") or ()),
        exceptions=tuple(request_from_json(stop) for stop in data.get("except") or ()),
        up_to=bool(data.get("up_to")),
        optional=bool(data.get("optional")),
        alternatives=tuple(instruction_from_json(other) for other in data.get("or") or ()),
        coupler=CouplerRequest(coupler["from"], coupler["to"], read_feet_exact(coupler["pitch"])) if coupler else None,
        passes=tuple(data["passes"]) if data.get("passes") is not None else None,
        box=data.get("box"),
        number=data.get("number"),
        to=data.get("to"),
    )


def request_from_json(data: Mapping[str, Any]) -> StopRequest:
    """The stop request that `request_to_json` wrote."""
    return StopRequest(
        name=data.get("name"),
        family=data.get("family"),
        pitches=tuple(read_feet_exact(pitch) for pitch in data.get("pitches") or ()),
        qualities=tuple(data.get("qualities") or ()),
        half=Half(data["half"]) if data.get("half") else None,
        ranks=data.get("ranks"),
    )
