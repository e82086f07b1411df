"""An organ to a specification file (format 1): short where the short form says it all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from core.organ.changing import change_specification
from core.organ.completing import customary_keyboards, enclosed_by_name
from core.organ.contract import division_name
from core.organ.ids import slug, unused
from core.organ.model import Aid, Coupler, Division, Key, Organ, Role, Tremulant
from core.organ.part_names import aid_text, role_of_name
from core.organ.shorthand import ShortCoupler, read_short_coupler
from core.organ.specification import NOT_KNOWN, VERSION
from core.organ.specification_parts import WHOLE_ORGAN, division_meant
from core.organ.spelling import write_feet, write_key
from core.organ.writing_stops import StopWriter
from core.organ.yaml_fields import UnfitError
from core.organ.yaml_text import flow_list, flow_mapping, scalar

__all__ = ["change_specification", "write_organ"]

_HEADER = "# An organ's specification. Keys are written with their octave; middle C is C4."
Compass = tuple[Key, Key]


def write_organ(organ: Organ) -> str:
    """The specification of an organ; read again it gives an equal organ (but for the lines it came from)."""
    return "\n".join([_HEADER, *_Writer(organ).lines(), ""])


def yes_no(flag: bool) -> str:
    """A flag as the format writes it."""
    return "yes" if flag else "no"


def write_compass(compass: Compass) -> str:
    """A compass as the format writes it: ``C2-G6``."""
    return f"{write_key(compass[0])}-{write_key(compass[1])}"


class _Writer:
    def __init__(self, organ: Organ) -> None:
        self.organ = organ
        self.stops = StopWriter(organ)
        self.taken: set[str] = set()
        manuals = [d.compass for d in organ.divisions if d.role is not Role.PEDAL]
        pedals = [d.compass for d in organ.divisions if d.role is Role.PEDAL]
        self.manual_compass = _common(manuals)
        self.pedal_compass = _common(pedals)
        roles = [d.role for d in organ.divisions]
        customary = customary_keyboards(roles, organ.tradition)
        self.keyboards_customary = all(
            d.keyboard == k and d.keyboard_assumed == (k is not None and d.role is not Role.PEDAL)
            for d, k in zip(organ.divisions, customary, strict=True)
        )

    def lines(self) -> Iterator[str]:
        organ = self.organ
        yield f"specification: {VERSION}"
        yield f"name: {scalar(organ.name)}"
        for key in ("place", "builder", "language", "tradition"):
            if getattr(organ, key):
                yield f"{key}: {scalar(getattr(organ, key))}"
        if organ.invented:
            yield "invented: yes"
        if organ.remark:
            yield f"remark: {scalar(organ.remark)}"
        compasses = {
            key: write_compass(compass)
            for key, compass in (("manuals", self.manual_compass), ("pedal", self.pedal_compass))
            if compass
        }
        if compasses:
            yield f"compass: {flow_mapping(compasses)}"
        if organ.couplers_carry_on is not None:
            yield f"couplers carry on: {yes_no(organ.couplers_carry_on)}"
        yield from self._section("divisions", [line for d in organ.divisions for line in self._division(d)])
        yield from self._section("couplers", [f"  - {self._coupler(c)}" for c in organ.couplers])
        yield from self._section("tremulants", [f"  - {self._tremulant(t)}" for t in organ.tremulants])
        yield from self._section("aids", [f"  - {self._aid(a)}" for a in organ.aids])
        yield from self._section("assumed", [f"  - {scalar(str(said))}" for said in organ.assumed])

    def _section(self, key: str, lines: list[str]) -> Iterator[str]:
        if lines:
            yield ""
            yield f"{key}:"
            yield from lines

    # ---------------------------------------------------------------- divisions
    def _division(self, division: Division) -> Iterator[str]:
        entries = dict(self._division_entries(division))
        first = True
        for key, value in entries.items():
            yield f"  {'-' if first else ' '} {key}: {value}"
            first = False
        lines = [line for stop in division.stops for line in self.stops.lines(stop, division)]
        yield "    stops:" if lines else "    stops: []"
        yield from (f"      {line}" for line in lines)

    def _division_entries(self, division: Division) -> Iterator[tuple[str, str]]:
        yield "name", scalar(division.name)
        if unused(slug(division.name), self.taken) != division.id:
            self.taken.add(division.id)
            yield "id", scalar(division.id)
        if role_of_name(division.name) is not division.role:
            yield "role", division.role.value
        if not self.keyboards_customary:
            yield "keyboard", (division.keyboard or "none").replace("-", " ")
            if division.keyboard_assumed:
                yield "keyboard assumed", "yes"
        if enclosed_by_name(division.name, division.role) is not division.enclosed:
            yield "enclosed", NOT_KNOWN if division.enclosed is None else yes_no(division.enclosed)
        if division.box:
            yield "box", scalar(division.box)
        common = self.pedal_compass if division.role is Role.PEDAL else self.manual_compass
        if division.compass and division.compass != common:
            yield "compass", write_compass(division.compass)
        if division.missing:
            yield "missing keys", flow_list([write_key(key) for key in sorted(division.missing)])
        if division.also_on:
            yield "also on", flow_list([keyboard.replace("-", " ") for keyboard in division.also_on])
        if division.remark:
            yield "remark", scalar(division.remark)

    def _name(self, division_id: str) -> str:
        """What names a division in a coupler or tremulant: its name, or its id where two bear it."""
        name = division_name(self.organ, division_id)
        return name if division_meant(name, self.organ.divisions) == division_id else division_id

    # ---------------------------------------------------------------- couplers, tremulants, aids
    def _coupler(self, coupler: Coupler) -> str:
        short = ShortCoupler(
            source=self._name(coupler.source),
            target=self._name(coupler.target),
            pitch=coupler.pitch,
            half=coupler.half,
            permanent=coupler.permanent,
            unison_off=coupler.unison_off,
        )
        if _means(coupler.text, short):
            return scalar(coupler.text)
        for text in _short_forms(short):
            if _means(text, short):
                entries = {"coupler": scalar(text, flow=True), "text": scalar(coupler.text, flow=True)}
                return flow_mapping(entries)
        entries = {"from": scalar(short.source, flow=True), "to": scalar(short.target, flow=True)}
        entries["pitch"] = write_feet(short.pitch)
        if short.half:
            entries["half"] = short.half.value
        entries["permanent"] = yes_no(short.permanent)
        entries["unison off"] = yes_no(short.unison_off)
        return flow_mapping(entries | {"text": scalar(coupler.text, flow=True)})

    def _tremulant(self, tremulant: Tremulant) -> str:
        division = WHOLE_ORGAN if tremulant.division is None else self._name(tremulant.division)
        if tremulant.name == "Tremulant":
            return scalar(division)
        return flow_mapping({"division": scalar(division, flow=True), "name": scalar(tremulant.name, flow=True)})

    def _aid(self, aid: Aid) -> str:
        entries = {"kind": aid.kind.value}
        if aid.division is not None:
            entries["division"] = scalar(self._name(aid.division), flow=True)
        if aid.count is not None:
            entries["count"] = str(aid.count)
        name = division_name(self.organ, aid.division) if aid.division else ""
        if aid.text != aid_text(aid.kind, aid.count, name):
            entries["text"] = scalar(aid.text, flow=True)
        if aid.moves:
            entries["moves"] = scalar(aid.moves, flow=True)
        if aid.reach:
            entries["reach"] = flow_list([reach.value for reach in aid.reach])
        return flow_mapping(entries)


def _common(compasses: list[Compass | None]) -> Compass | None:
    """The compass that most divisions have; None where one of them states none."""
    stated = [compass for compass in compasses if compass is not None]
    if not stated or len(stated) < len(compasses):
        return None
    return Counter(stated).most_common(1)[0][0]


def _short_forms(coupler: ShortCoupler) -> Iterable[str]:
    pitch = "" if coupler.pitch == 8 else f" {write_feet(coupler.pitch)}"
    half = f" {coupler.half.value}" if coupler.half else ""
    permanent = " (permanent)" if coupler.permanent else ""
    if coupler.unison_off:
        yield f"{coupler.source} unison off"
    elif coupler.source == coupler.target:
        yield f"{coupler.source} {'sub octave' if coupler.pitch == 16 else 'octave'}"
    yield f"{coupler.source} to {coupler.target}{pitch}{half}{permanent}"


def _means(text: str, coupler: ShortCoupler) -> bool:
    try:
        return read_short_coupler(text) == coupler
    except UnfitError:
        return False
