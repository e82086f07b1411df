"""Words for what answers a marking: this organ's stops, and what would do on another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from core.markings.house_style import Style
from core.markings.model import Action, CouplerRequest, Instruction, StopRequest
from core.markings.phrases import phrases, stop_lists
from core.organ.kinds import StopKind, kind
from core.organ.model import Coupler, Division, Family, Organ, Role, Stop
from core.organ.spelling import coupler_label, stop_label
from core.resolve.keyboards import role_name

_SOFT, _LOUD = 3, 8  # loudness up to which, and from which, a stop is called soft or loud elsewhere
_TAKES_STOPS = frozenset({Action.DRAW, Action.ADD, Action.PREPARE})


def stops_here(organ: Organ, stops: Iterable[str]) -> str:
    """``Swell: Oboe 8, Gedackt 8; Pedal: Bourdon 16``: stops by id, division by division."""
    chosen = frozenset(stops)
    pieces = []
    for division in organ.divisions:
        names = [stop_label(s) for s in division.stops if s.id in chosen]
        if names:
            pieces.append(f"{division.name}: {', '.join(names)}")
    return "; ".join(pieces)


def locally(instruction: Instruction, stops: Sequence[Stop]) -> Instruction:
    """An instruction that asks for these very stops by their names here."""
    return replace(instruction, stops=tuple(_named(s) for s in stops), exceptions=(), alternatives=(), up_to=False)


def _named(stop: Stop) -> StopRequest:
    pitches = (stop.pitch,) if stop.pitch is not None else ()
    ranks = stop.ranks.low if stop.ranks and not pitches and stop.ranks.low == stop.ranks.high else None
    return StopRequest(name=" ".join(stop.name.replace(",", " ").split()), pitches=pitches, half=stop.half, ranks=ranks)


def elsewhere(instructions: Iterable[Instruction], style: Style) -> str:
    """``(or soft string 8)``: what would do where a named stop is wanting; "" where nothing names one."""
    found = dict.fromkeys(
        words
        for one in instructions
        if one.action in _TAKES_STOPS
        for stop in one.stops
        if (words := _portable(stop, style))
    )
    return f"({'; '.join(found)})" if found else ""


def _portable(stop: StopRequest, style: Style) -> str:
    """A named stop by its sort: quality by its loudness, family, pitch."""
    known = _kind(stop)
    if known is None:
        return ""
    pitches = stop.pitches or known.feet[:1]
    quality = "soft" if known.loudness <= _SOFT else "loud" if known.loudness >= _LOUD else ""
    family = known.family.value if known.family not in (Family.COMPOUND, Family.PERCUSSION) else ""
    if not family:
        return ""
    request = StopRequest(family=family, pitches=pitches, qualities=(quality,) if quality else ())
    said = stop_lists((request,), style)
    near = next(iter(style.words("qualities", "or similar")), "")
    return f"{said[0]} {near}".strip() if said else ""


def _kind(stop: StopRequest) -> StopKind | None:
    if stop.name is None or stop.kind is None:
        return None
    try:
        return kind(stop.kind)
    except KeyError:
        return None


def opening_lines(organ: Organ, drawn: Sequence[str], couplers: Sequence[Coupler], style: Style) -> Iterator[str]:
    """What is drawn before playing, a line for each keyboard in the style's words, then the couplers."""
    chosen = frozenset(drawn)
    for division in _in_custom(organ):
        stops = [s for s in division.stops if s.id in chosen]
        if stops:
            one = Instruction(action=Action.DRAW, division=division.role.value, stops=tuple(_named(s) for s in stops))
            said = phrases(one, style)
            yield said[0] if said else f"{role_name(division.role.value)}: {', '.join(stop_label(s) for s in stops)}"
    if couplers:
        yield ", ".join(_coupled(organ, coupler, style) for coupler in couplers)


def _coupled(organ: Organ, coupler: Coupler, style: Style) -> str:
    """A coupler in the style's words."""
    roles = {d.id: d.role.value for d in organ.divisions}
    source, target = roles.get(coupler.source or ""), roles.get(coupler.target or "")
    asked = CouplerRequest(source=source, target=target, pitch=coupler.pitch)
    said = phrases(Instruction(action=Action.COUPLE, coupler=asked), style) if source and target else []
    return said[0] if said else coupler_label(organ, coupler)


def _in_custom(organ: Organ) -> list[Division]:
    """The manuals as the specification has them, the pedal last."""
    return sorted(organ.divisions, key=lambda d: d.role is Role.PEDAL)
