"""The colour book as the command line's JSON has it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from core.markings.house_style import Style
from core.organ.model import Organ, is_enclosed
from core.organ.spelling import coupler_label, stop_label, write_feet
from core.resolve.colour_book.model import Accompaniment, Colour, Gap
from core.resolve.colour_book.wordings import Worded, wordings
from core.resolve.colour_book.words import Found, word_for


def book_to_json(organ: Organ, found: Found, style: Style) -> dict[str, Any]:
    """What was found, with the wordings in a house style."""
    return {
        "organ": organ.name,
        "tradition": organ.tradition,
        "language": style.language,
        "understood": {
            "sounds": [word_for(sound, style.language) for sound in found.sought.sounds],
            "names": list(found.sought.rest),
        },
        "colours": [colour_to_json(organ, one, style) for one in found.colours],
        "gaps": [gap_to_json(organ, one, style) for one in found.gaps],
    }


def colour_to_json(organ: Organ, colour: Colour, style: Style) -> dict[str, Any]:
    """One colour."""
    division = organ.division(colour.division)
    worded = wordings(organ, colour, style)
    return {
        "id": colour.id,
        "section": colour.section,
        "name": str(colour.name),
        "also": [str(name) for name in colour.also],
        "traditions": list(colour.traditions),
        "division": division.name,
        "role": division.role.value,
        "stops": _stops(organ, colour.stops),
        "couplers": [coupler_label(organ, organ.couplers[i]) for i in colour.couplers],
        "tremulant": colour.tremulant,
        "box": colour.box,
        "enclosed": colour.enclosed,
        "loudness": colour.loudness,
        "solo": colour.solo,
        "accompaniment": [_accompaniment(organ, one) for one in colour.accompaniments],
        "free": [organ.division(d).name for d in colour.free],
        "cautions": [str(one) for one in colour.cautions],
        "why": str(colour.why),
        "source": colour.source,
        "sounds": [word_for(sound, style.language) for sound in colour.sounds],
        "wording": {"here": _worded(worded.here), "travels": _worded(worded.travels)},
    }


def gap_to_json(organ: Organ, gap: Gap, style: Style) -> dict[str, Any]:
    """One colour that the organ has not."""
    return {
        "id": gap.id,
        "section": gap.section,
        "name": str(gap.name),
        "traditions": list(gap.traditions),
        "said": str(gap.said),
        "division": organ.division(gap.division).name if gap.division else None,
        "nearest": _stops(organ, gap.nearest),
        "sounds": [word_for(sound, style.language) for sound in gap.sounds],
    }


def _stops(organ: Organ, ids: Iterable[str]) -> list[dict[str, Any]]:
    found = []
    for one in ids:
        stop, division = organ.stop(one), organ.division_of(one)
        found.append(
            {
                "id": stop.id,
                "division": division.name,
                "name": stop.name,
                "pitch": write_feet(stop.pitch) if stop.pitch is not None else None,
                "label": stop_label(stop),
                "enclosed": is_enclosed(division, stop),
            }
        )
    return found


def _accompaniment(organ: Organ, one: Accompaniment) -> dict[str, Any]:
    return {
        "division": organ.division(one.division).name,
        "name": str(one.name),
        "stops": [stop_label(organ.stop(s)) for s in one.stops],
        "loudness": one.loudness,
        "enclosed": one.enclosed,
        "balance": str(one.balance),
    }


def _worded(one: Worded) -> dict[str, Any]:
    return {"text": one.text, "draws_the_same": one.same}
