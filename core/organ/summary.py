"""An organ as an organist would describe it: manuals, stops, couplers, aids, what it answers and lacks."""

from __future__ import annotations

from collections.abc import Iterator

from core.organ.completing import COMPOUND_FAMILIES
from core.organ.contract import AID_GROUPS, division_name
from core.organ.kinds import kind
from core.organ.model import Coupler, Division, Family, Organ, Role, Stop, is_enclosed
from core.organ.shorthand import write_ranks
from core.organ.spelling import write_feet, write_key

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven")
_FAMILY_WORDS = {
    Family.PRINCIPAL: "principals",
    Family.FLUTE: "flutes",
    Family.STRING: "strings",
    Family.CELESTE: "celestes",
    Family.REED: "reeds",
    Family.MUTATION: "mutations",
    Family.MIXTURE: "mixtures",
    Family.COMPOUND: "compound stops with a third",
    Family.PERCUSSION: "percussion",
}


def summary(organ: Organ) -> str:
    """The whole description, ending in a line feed."""
    parts = [
        _title(organ),
        *(_division(organ, division) for division in organ.divisions),
        _list("COUPLERS", [_coupler(organ, coupler) for coupler in organ.couplers]),
        _list("TREMULANTS", [_tremulant(organ, t.division) for t in organ.tremulants]),
        _list("AIDS", [_aid_line(organ, number) for number in range(len(organ.aids))]),
        _list("WHAT IT CAN ANSWER", list(answers(organ))),
        _list("CHORUSES", list(choruses(organ))),
        _list("SOLO STOPS", list(solo_stops(organ))),
        _list("WHAT IT LACKS", list(gaps(organ))),
        _list("NOT SAID, AND SO ASKED OR ASSUMED", [*map(str, organ.assumed), *silences(organ)]),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _list(heading: str, lines: list[str]) -> list[str]:
    return [heading, *(f"  {line}" for line in lines)] if lines else []


def _title(organ: Organ) -> list[str]:
    manuals = {d.keyboard for d in organ.manuals if d.keyboard} or {d.id for d in organ.manuals}
    count = _NUMBERS[len(manuals)] if len(manuals) < len(_NUMBERS) else str(len(manuals))
    stops = sum(len(d.stops) for d in organ.divisions)
    pedal = " and pedal" if organ.pedal else ""
    plural = "manual" if len(manuals) == 1 else "manuals"
    lines = [organ.name + (" (invented)" if organ.invented else "")]
    lines += [text for text in (organ.place, organ.builder, organ.remark) if text]
    return [*lines, f"{count.capitalize()} {plural}{pedal}, {stops} stop{'s' if stops != 1 else ''}"]


def _division(organ: Organ, division: Division) -> list[str]:
    facts = []
    if division.keyboard and division.role is not Role.PEDAL:
        assumed = " by custom" if division.keyboard_assumed else ""
        facts.append(f"{division.keyboard.replace('-', ' ')}{assumed}")
    if division.also_on:
        facts.append("also on " + ", ".join(keyboard.replace("-", " ") for keyboard in division.also_on))
    if division.compass:
        low, high = division.compass
        keys = high - low + 1 - len(division.missing)
        facts.append(f"{write_key(low)} to {write_key(high)}, {keys} keys")
    if division.missing:
        facts.append("without " + ", ".join(write_key(key) for key in sorted(division.missing)))
    if division.enclosed is not None:
        facts.append("enclosed" if division.enclosed else "not enclosed")
    heading = f"{division.name.upper()} ({'; '.join(facts)})" if facts else division.name.upper()
    width = max((len(stop.name) for stop in division.stops), default=0) + 2
    return [
        heading,
        *(f"  {stop.name:<{width}}{_after_name(division, stop)}".rstrip() for stop in division.stops),
    ]


def _after_name(division: Division, stop: Stop) -> str:
    size = [write_ranks(stop.ranks)] if stop.ranks else []
    size += [write_feet(stop.pitch)] if stop.pitch is not None else []
    remarks = []
    if stop.half:
        remarks.append(stop.half.value)
    first, last = stop.compass
    if first is not None:
        remarks.append(f"from {write_key(first)}")
    if last is not None:
        remarks.append(f"to {write_key(last)}")
    if stop.enclosed is not None and stop.enclosed is not division.enclosed:
        remarks.append("enclosed" if stop.enclosed else "not enclosed")
    if stop.on_ventil:
        remarks.append("on the ventil")
    if not stop.in_use:
        remarks.append("not in use")
    remarks += [text for text in (stop.borrowed, stop.remark) if text]
    return " ".join(size) + (f"  ({'; '.join(remarks)})" if remarks else "")


def _coupler(organ: Organ, coupler: Coupler) -> str:
    source, target = division_name(organ, coupler.source), division_name(organ, coupler.target)
    if coupler.unison_off:
        return f"{source} unison off"
    text = f"{source} to {target}"
    if source == target:
        text = f"{source} {'octave' if coupler.pitch == 4 else 'sub octave'}"
    elif coupler.pitch != 8:
        text += f" {write_feet(coupler.pitch)}"
    text += f" {coupler.half.value}" if coupler.half else ""
    return f"{text} (permanent)" if coupler.permanent else text


def _tremulant(organ: Organ, division: str | None) -> str:
    return "whole organ" if division is None else division_name(organ, division)


def _aid_line(organ: Organ, number: int) -> str:
    aid = organ.aids[number]
    notes = [f"by {' or '.join(reach.value for reach in aid.reach)}"] if aid.reach else []
    notes += [f"moves {aid.moves}"] if aid.moves else []
    group = AID_GROUPS[aid.kind].replace("_", " ")
    return f"{group}: {aid.text}" + (f" ({'; '.join(notes)})" if notes else "")


def answers(organ: Organ) -> Iterator[str]:
    """For each family and pitch, the divisions that have it with their stops."""
    for family, words in _FAMILY_WORDS.items():
        found: dict[str, dict[str, list[str]]] = {}
        for division in organ.divisions:
            for stop in division.stops:
                if stop.family is family:
                    size = "" if family in COMPOUND_FAMILIES or stop.pitch is None else write_feet(stop.pitch)
                    found.setdefault(size, {}).setdefault(division.name, []).append(stop.name)
        for size in sorted(found, key=_pitch_order):
            places = "; ".join(f"{place}: {', '.join(names)}" for place, names in found[size].items())
            yield f"{words}{' ' if size else ''}{size}  {places}"


def _pitch_order(size: str) -> float:
    return -sum(float(p.split("/")[0]) / float(p.split("/")[1]) if "/" in p else float(p) for p in size.split())


def choruses(organ: Organ) -> Iterator[str]:
    """The families that a division has at two pitches and more, with the mixtures that crown its principals."""
    for division in organ.divisions:
        parts = []
        for family in (Family.PRINCIPAL, Family.FLUTE, Family.STRING, Family.REED):
            pitches = {s.pitch for s in division.stops if s.in_use and s.family is family and _is_of_chorus(s)}
            if len(pitches - {None}) < 2:
                continue
            sizes = " ".join(write_feet(p) for p in sorted((p for p in pitches if p), reverse=True))
            crown = [_crown(s) for s in division.stops if family is Family.PRINCIPAL and s.family is Family.MIXTURE]
            parts.append(" with ".join([f"{_FAMILY_WORDS[family]} {sizes}", *([" and ".join(crown)] if crown else [])]))
        if parts:
            yield f"{division.name}: {'; '.join(parts)}"


def _is_of_chorus(stop: Stop) -> bool:
    """Every flue; of the reeds those that are not for solos alone."""
    return stop.family is not Family.REED or stop.kind is None or kind(stop.kind).use != "solo"


def _crown(stop: Stop) -> str:
    return f"{stop.name} {write_ranks(stop.ranks)}" if stop.ranks else stop.name


def solo_stops(organ: Organ) -> Iterator[str]:
    """The stops that carry a melody against an accompaniment, by division; those in a box are said to be."""
    for division in organ.manuals:
        names = []
        for stop in division.stops:
            if carries_a_melody(stop) and stop.in_use:
                names.append(f"{stop.name}{' (in the box)' if is_enclosed(division, stop) else ''}")
        if names:
            yield f"{division.name}: {', '.join(names)}"


def carries_a_melody(stop: Stop) -> bool:
    """Solo stops by trade, reeds that are not for the chorus alone, and Cornets and their like."""
    use = kind(stop.kind).use if stop.kind else "both"
    solo_by_sound = stop.family in (Family.REED, Family.COMPOUND) and use != "chorus"
    return use == "solo" or solo_by_sound


def gaps(organ: Organ) -> Iterator[str]:
    """What a piece may ask for that no division has."""
    manual_stops = [stop for division in organ.manuals for stop in division.stops if stop.in_use]
    families = {stop.family for stop in manual_stops}
    for family in (
        Family.PRINCIPAL,
        Family.FLUTE,
        Family.STRING,
        Family.CELESTE,
        Family.REED,
        Family.MUTATION,
    ):
        if family not in families:
            yield f"no {_FAMILY_WORDS[family]} on the manuals"
    if not families & set(COMPOUND_FAMILIES):
        yield "no mixtures on the manuals"
    pitches = {stop.pitch for stop in manual_stops}
    yield from (f"no {feet} ft on the manuals" for feet in (16, 8, 4, 2) if feet not in pitches)
    if organ.pedal is None:
        yield "no pedal division"
    else:
        in_pedal = {stop.pitch for stop in organ.pedal.stops if stop.in_use}
        yield from (f"no {feet} ft in the pedal" for feet in (16, 8, 4) if feet not in in_pedal)
        if not any(stop.family is Family.REED for stop in organ.pedal.stops):
            yield "no reeds in the pedal"
    if not any(is_enclosed(d, s) for d in organ.divisions for s in d.stops):
        yield "nothing known to stand in a swell box"
    elif Family.REED in families and not any(
        is_enclosed(d, s) for d in organ.manuals for s in d.stops if s.family is Family.REED and s.in_use
    ):
        yield "no enclosed reed"


def abilities(organ: Organ) -> dict[str, list[str]]:
    """What the organ can answer, its choruses and solo stops, and what it lacks, in words."""
    return {
        "answers": list(answers(organ)),
        "choruses": list(choruses(organ)),
        "solo_stops": list(solo_stops(organ)),
        "lacks": list(gaps(organ)),
    }


def silences(organ: Organ) -> Iterator[str]:
    """What the specification does not say although it would matter."""
    for division in organ.divisions:
        if division.compass is None:
            yield f"{division.name}: compass"
        if division.enclosed is None and division.role is not Role.PEDAL:
            yield f"{division.name}: whether it is enclosed"
        if division.keyboard_assumed:
            yield f"{division.name}: which keyboard plays it (by custom {division.keyboard})"
    if organ.couplers and organ.couplers_carry_on is None:
        yield "whether a coupler carries on into a second one"
    guessed = [stop.name for division in organ.divisions for stop in division.stops if stop.guess]
    if guessed:
        yield f"the family of {', '.join(dict.fromkeys(guessed))}: guessed by the name"
