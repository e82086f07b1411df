"""The compact notation of cases.yaml: instructions as lines."""

from __future__ import annotations

import re
import unicodedata

from core.markings.model import Instruction, StopRequest
from core.organ.spelling import write_feet


def folded(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name.replace("ſ", "s").replace("ß", "ss").casefold())
    letters = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join(re.findall(r"[a-z0-9]+", letters))


def show_request(stop: StopRequest, *, with_family: bool) -> str:
    text = folded(stop.name) if stop.name else "~"
    if stop.family and with_family:
        text += f"/{stop.family}"
    if stop.pitches:
        text += " " + ",".join(write_feet(p) for p in sorted(stop.pitches, reverse=True))
    if stop.qualities:
        text += " {" + ",".join(sorted(stop.qualities)) + "}"
    if stop.half:
        text += f" <{stop.half.value}>"
    if stop.ranks:
        text += f" r{stop.ranks}"
    return text


def show(one: Instruction, families: bool = True) -> str:
    if one.coupler:
        c = one.coupler
        text = f"{one.action.value} {c.source or 'null'}>{c.target or 'null'}"
        text += f" @{write_feet(c.pitch)}" if c.pitch != 8 else ""
        return text
    text = f"{one.action.value} {one.division or '-'}"
    text += f" hand={one.hand.value}" if one.hand else ""
    text += "".join(f" @{n}" for n in one.passes or ())
    text += f" {one.box}" if one.box else ""
    text += f" number={one.number}" if one.number else ""
    if one.stops:
        text += ": " + "; ".join(sorted(show_request(s, with_family=families) for s in one.stops))
    if one.exceptions:
        text += " | except " + "; ".join(sorted(show_request(s, with_family=families) for s in one.exceptions))
    text += " | up_to" if one.up_to else ""
    text += " | optional" if one.optional else ""
    for other in one.alternatives:
        text += f" | or ({show(other, families)})"
    return text


def normal(line: str) -> str:
    """A written expectation in the same order and spelling as `show` gives."""
    head, *rest = line.split(" | ")
    if ": " in head:
        what, stops = head.split(": ", 1)
        head = f"{what}: " + "; ".join(sorted(_stop(s) for s in stops.split("; ")))
    out = [head.strip()]
    for part in rest:
        if part.startswith("except "):
            out.append("except " + "; ".join(sorted(_stop(s) for s in part[7:].split("; "))))
        elif part.startswith("or ("):
            out.append(f"or ({normal(part[4:-1])})")
        else:
            out.append(part.strip())
    return " | ".join(out)


_STOP = re.compile(
    r"^(?P<name>[^/{<]*?)(?:/(?P<family>[a-z]+))?(?P<rest>(?: [0-9][0-9 /,]*)?(?: \{[^}]*\})?(?: <\w+>)?(?: r\d+)?)$"
)


def _stop(text: str) -> str:
    found = _STOP.match(text.strip())
    assert found, text
    name = found["name"].strip()
    name = "~" if name == "~" else folded(name)
    return name + (f"/{found['family']}" if found["family"] else "") + found["rest"].rstrip()


def without_family(line: str) -> str:
    return re.sub(r"(?<=[a-z0-9])/[a-z]+", "", line)
