"""Registrations and reasons as the command line's JSON has them."""

from __future__ import annotations

from core.organ.model import Coupler, Organ
from core.organ.spelling import coupler_label, stop_label, write_feet
from core.resolve.model import Because, Registration


def registration_to_json(organ: Organ, registration: Registration) -> dict[str, object]:
    """What is on: stops by division name, couplers by label and by role, tremulants, boxes."""
    drawn: dict[str, list[str]] = {}
    on = set(registration.drawn)
    for division in organ.divisions:
        labels = [stop_label(stop) for stop in division.stops if stop.id in on]
        if labels:
            drawn[division.name] = labels
    couplers = [organ.couplers[i] for i in sorted(registration.couplers)]
    return {
        "drawn": drawn,
        "couplers": [_coupler(organ, c) for c in couplers],
        "coupled": [
            {
                "from": organ.division(c.source).role.value,
                "to": organ.division(c.target).role.value,
                "pitch": write_feet(c.pitch),
            }
            for c in couplers
        ],
        "tremulants": [
            None if t is None else organ.division(t).name
            for t in sorted(registration.tremulants, key=lambda t: t or "")
        ],
        "boxes": {organ.division(d).name: state for d, state in registration.boxes},
    }


def _coupler(organ: Organ, coupler: Coupler) -> str:
    """``Swell to Great``; a Unison Off is the division on itself, said to be one."""
    if not coupler.unison_off:
        return coupler_label(organ, coupler)
    name = organ.division(coupler.source).name
    return f"{name} to {name} (Unison Off)"


def because_to_json(organ: Organ, because: Because) -> dict[str, object]:
    """One request and what answers it."""
    return {
        "request": because.request,
        "division": organ.division(because.division).name if because.division else None,
        "chosen": [stop_label(organ.stop(s)) for s in because.chosen],
        "alternatives": [stop_label(organ.stop(s)) for s in because.alternatives],
        "substitute": because.substitute,
        "why": str(because.why),
        "sure": because.sure.value,
    }
