"""Stops as a specification writes them: ``- Oboe 8``, ``- Mixture IV: 19.22.26.29``, options in braces."""

from __future__ import annotations

from collections.abc import Iterator

from core.organ.completing import (
    RANKED_FAMILIES,
    Setting,
    customary_composition,
    known_of,
)
from core.organ.ids import stop_slug, unused
from core.organ.mixtures import BOTTOM
from core.organ.model import Break, Division, Family, Feet, Half, Organ, Role, Stop
from core.organ.pitch import feet_of_ordinal, ordinal
from core.organ.shorthand import (
    ShortStop,
    read_short_stop,
    write_composition,
    write_pitch_apart,
    write_ranks,
)
from core.organ.specification_stops import find_owner, label_of, octave_shift, settle_numeral
from core.organ.spelling import write_feet, write_key
from core.organ.yaml_fields import UnfitError
from core.organ.yaml_text import flow_list, flow_mapping, scalar

WIDTH = 100
LONGEST_KEY = 120


class StopWriter:
    """Writes the stops of one organ, in the order in which they stand."""

    def __init__(self, organ: Organ) -> None:
        self.organ = organ
        self.taken: set[str] = set()

    def lines(self, stop: Stop, division: Division) -> Iterator[str]:
        """The lines of one stop, the first beginning with a hyphen."""
        setting = Setting(division.role, self.organ.language, self.organ.tradition)
        head, short = _head(stop, setting)
        options = self._options(stop, division, setting, short)
        rows = _composition(stop, setting)
        if short is None:
            options = {**_apart(stop, setting), **options}
        if not rows:
            yield from _plain(head, options)
        elif not options and head:
            yield from _with_rows(f"- {head}:", rows, "    ")
        else:
            yield f"- {head}:" if head else f"- name: {options.pop('name')}"
            indent = "    " if head else "  "
            for key, value in options.items():
                yield f"{indent}{key}: {value}"
            yield from _with_rows(f"{indent}composition:", rows, f"{indent}  ")

    def _options(self, stop: Stop, division: Division, setting: Setting, short: ShortStop | None) -> dict[str, str]:
        ranks = stop.ranks
        known = known_of(stop.name, stop.pitch, ranks, setting)
        options: dict[str, str] = {}
        wanted = unused(f"{division.id}/{stop_slug(stop.name, stop.pitch, stop.half)}", self.taken)
        if wanted != stop.id:
            self.taken.add(stop.id)
            options["id"] = scalar(stop.id, flow=True)
        family_said = stop.family is not known.family or not known.known
        if family_said:
            options["family"] = stop.family.value
        if stop.kind != known.kind:
            options["kind"] = stop.kind or "none"
        if stop.guess != (known.guess and not family_said):
            options["guess"] = _yes_no(stop.guess)
        if stop.loudness != known.loudness:
            options["loudness"] = str(stop.loudness)
        if stop.composition_assumed != _assumed_when_read(stop, setting):
            options["composition assumed"] = _yes_no(stop.composition_assumed)
        options |= _said_apart(stop, short)
        options |= self._pipes(stop, division)
        return options

    def _pipes(self, stop: Stop, division: Division) -> dict[str, str]:
        """Whose pipes a stop speaks from: another stop's, or a rank with a name of its own."""
        for owner_division in self.organ.divisions:
            for owner in owner_division.stops:
                if owner.id == stop.rank and not owner.rank and owner.id != stop.id:
                    label = label_of(owner)
                    forms = (label, f"{owner_division.name}: {label}", owner.id)
                    divisions = self.organ.divisions
                    form = next((f for f in forms if find_owner(f, division, divisions) is owner), owner.id)
                    shift = stop.rank_shift
                    apart = {} if shift == octave_shift(stop, owner) else {"shift": str(shift)}
                    return {"pipes of": scalar(form, flow=True), **apart}
        options = {}
        if stop.rank:
            options["rank"] = scalar(stop.rank, flow=True)
        if stop.rank_shift:
            options["shift"] = str(stop.rank_shift)
        return options


def _said_apart(stop: Stop, short: ShortStop | None) -> dict[str, str]:
    """What the short form has no room for."""
    options: dict[str, str] = {}
    first, last = stop.compass
    if short is None:
        options |= {} if first is None else {"from": write_key(first)}
        options |= {} if last is None else {"to": write_key(last)}
        options |= {"half": stop.half.value} if stop.half else {}
        options |= {} if stop.enclosed is None else {"enclosed": _yes_no(stop.enclosed)}
    if stop.half_word:
        options["half word"] = scalar(stop.half_word, flow=True)
    if stop.missing:
        options["missing keys"] = flow_list([write_key(key) for key in sorted(stop.missing)])
    if stop.box:
        options["box"] = scalar(stop.box, flow=True)
    if stop.borrowed:
        options["borrowed"] = scalar(stop.borrowed, flow=True)
    if stop.on_ventil is not None:
        options["on ventil"] = _yes_no(stop.on_ventil)
    if not stop.in_use:
        options["in use"] = "no"
    if stop.remark:
        options["remark"] = scalar(stop.remark, flow=True)
    return options


def _head(stop: Stop, setting: Setting) -> tuple[str, ShortStop | None]:
    """The short form as YAML with what it says; nothing where it would be read otherwise."""
    first, last = stop.compass
    wanted = ShortStop(
        name=stop.name,
        pitch=stop.pitch,
        ranks=stop.ranks,
        first=first,
        last=last,
        half=stop.half,
        enclosed=stop.enclosed,
    )
    text = short_form(wanted)
    try:
        read = settle_numeral(read_short_stop(text), setting, has_composition=bool(_composition(stop, setting)))
    except UnfitError:
        return "", None
    fixed = stop.pitch is not None or _needs_no_pitch(stop, setting)
    if read != wanted or not fixed or len(text) > LONGEST_KEY or _is_option(text):
        return "", None
    return scalar(text, flow=True), wanted


def short_form(stop: ShortStop) -> str:
    """The short form of a stop: ``Mixture IV 2``, ``Voix Céleste 8 (from C3)``."""
    parts = [stop.name]
    if stop.ranks:
        parts.append(write_ranks(stop.ranks))
    if stop.pitch is not None:
        parts.append(write_feet(stop.pitch))
    notes = []
    if stop.half:
        notes.append(Half(stop.half).value)
    if stop.first is not None:
        notes.append(f"from {write_key(stop.first)}")
    if stop.last is not None:
        notes.append(f"to {write_key(stop.last)}")
    if stop.enclosed is not None:
        notes.append("enclosed" if stop.enclosed else "unenclosed")
    if notes:
        parts.append(f"({', '.join(notes)})")
    return " ".join(parts)


def _is_option(text: str) -> bool:
    """Whether a short form would be taken for a key of its own."""
    return text.casefold() in ("stop", "name")


def _needs_no_pitch(stop: Stop, setting: Setting) -> bool:
    """Whether a stop without a pitch is read without one."""
    family = known_of(stop.name, None, stop.ranks, setting).family
    if stop.family is not family:
        family = stop.family
    return family in (Family.MIXTURE, Family.COMPOUND, Family.PERCUSSION)


def _apart(stop: Stop, setting: Setting) -> dict[str, str]:
    entries = {"name": scalar(stop.name, flow=True)}
    if stop.pitch is not None or not _needs_no_pitch(stop, setting):
        entries["pitch"] = write_pitch_apart(stop.pitch)
    if stop.ranks:
        entries["ranks"] = str(stop.ranks)
    return entries


def _plain(head: str, options: dict[str, str]) -> Iterator[str]:
    if head and not options:
        yield f"- {head}"
        return
    line = f"- {head}: {flow_mapping(options)}" if head else f"- {flow_mapping(options)}"
    if len(line) <= WIDTH:
        yield line
        return
    if head:
        yield f"- {head}:"
        yield from (f"    {key}: {value}" for key, value in options.items())
        return
    for number, (key, value) in enumerate(options.items()):
        yield f"{' ' if number else '-'} {key}: {value}"


def _with_rows(head: str, rows: list[tuple[str, str]], indent: str) -> Iterator[str]:
    if len(rows) == 1 and not rows[0][0]:
        yield f"{head} {rows[0][1]}"
        return
    yield head
    yield from (f"{indent}{key}: {value}" for key, value in rows)


def _composition(stop: Stop, setting: Setting) -> list[tuple[str, str]]:
    """The rows of a composition that must be written: key (none for one row from the bottom), ranks."""
    if not stop.composition:
        return []
    if stop.composition_assumed and stop.composition == _customary(stop, setting):
        return []
    pedal = setting.role is Role.PEDAL
    rows = [(write_key(part.key), _row(part.feet, pedal)) for part in stop.composition]
    return [("", rows[0][1])] if len(rows) == 1 and stop.composition[0].key == BOTTOM else rows


def _row(feet: tuple[Feet, ...], pedal: bool) -> str:
    """Ranks as intervals where intervals can say them, else as feet."""
    unison_ranks = [rank / 2 if pedal else rank for rank in feet]
    try:
        numbers = [ordinal(rank) for rank in unison_ranks]
        if len(numbers) > 1 and [feet_of_ordinal(number) for number in numbers] == unison_ranks:
            return ".".join(numbers)
    except (ValueError, KeyError):
        pass  # below the unison, or no degree of the scale
    return write_composition(feet)


def _customary(stop: Stop, setting: Setting) -> tuple[Break, ...]:
    if not (stop.ranks or stop.family in RANKED_FAMILIES[:2]):
        return ()
    return customary_composition(stop.kind, stop.family, stop.ranks, stop.pitch, setting.role)


def _assumed_when_read(stop: Stop, setting: Setting) -> bool:
    """What the reader will take for `composition_assumed` where the file says nothing of it."""
    return not _composition(stop, setting) and bool(_customary(stop, setting))


def _yes_no(flag: bool) -> str:
    return "yes" if flag else "no"
