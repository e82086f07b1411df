"""After a change: couplers, aids and borrowed stops that named what has another name now are written anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from core.errors import EditError, OrganError
from core.organ.changes import AddPart, ChangeDivision, ChangeOrgan, ChangePart, ChangeStop, RemovePart, SpecChange
from core.organ.following import followed
from core.organ.model import Division, Organ, Stop
from core.organ.shorthand import ShortCoupler, read_short_coupler
from core.organ.specification import read_despite_faults, read_specification
from core.organ.specification_parts import WHOLE_ORGAN, division_meant
from core.organ.specification_stops import find_owner, is_breaks, label_of
from core.organ.spelling import write_feet
from core.organ.splicing import Splice, apply, remove_item
from core.organ.yaml_fields import UnfitError
from core.organ.yaml_nodes import Mapping, Node, Scalar, Sequence, plain_key, read_tree
from core.organ.yaml_text import flow_mapping, scalar

_SECTIONS = ("couplers", "tremulants", "aids")


def mend_references(before: Organ, root: Mapping, text: str, change: SpecChange) -> str:
    """The changed text with its references to divisions and stops leading where they led before.

    Args:
        before: the organ as it was.
        root: the tree of the text as it was.
        text: the text after the change, perhaps with references that lead nowhere.
        change: what was changed.

    Raises:
        EditError: a stop was taken out from whose pipes another one speaks.
    """
    if not _may_rename(change):
        return text
    new_root = read_tree(text, "specification")
    if not isinstance(new_root, Mapping):
        return text
    try:
        after: Organ | None = read_specification(text, "specification")
    except OrganError:
        after = read_despite_faults(new_root)
    if after is None:
        return text
    ids = followed(before, after, change)
    if not ids:
        return text
    mender = _Mender(text, before, after, ids)
    return apply(text, mender.loans(root, new_root) + mender.parts(new_root))


_NAMING = ("name", "pitch", "half", "id", "role", "keyboard")


def _may_rename(change: SpecChange) -> bool:
    """Whether a change can give anything another name or place."""
    match change:
        case ChangeStop(entries=entries) | ChangeDivision(entries=entries):
            return any(key in _NAMING for key, _ in entries)
        case AddPart() | RemovePart() | ChangePart() | ChangeOrgan():
            return False
    return True


@dataclass(frozen=True, slots=True)
class _Mender:
    text: str
    before: Organ
    after: Organ
    ids: dict[str, str | None]

    # ---------------------------------------------------------------- divisions named by couplers and aids
    def parts(self, root: Mapping) -> list[Splice]:
        """What is to be written anew among couplers, tremulants and aids; those of a division that is gone go too."""
        found: list[Splice] = []
        for key, value in root.entries:
            if plain_key(key.text) not in _SECTIONS or not isinstance(value, Sequence):
                continue
            gone = [index for index, node in enumerate(value.items) if self._is_gone(node)]
            if gone and len(gone) == len(value.items):
                found += self._all_gone(key, value)
                continue
            found += self._without(key, value, gone)
            for index, node in enumerate(value.items):
                if index not in gone:
                    found += self._part(node, flow=value.flow)
        return found

    def _all_gone(self, key: Scalar, value: Sequence) -> list[Splice]:
        if value.flow:
            return [Splice(value.start, value.end, "[]")]
        lines = [remove_item(self.text, key, value, index)[0] for index in range(len(value.items))]
        at = self.text.index(":", key.end) + 1
        return [Splice(at, at, " []"), *lines]

    def _without(self, key: Scalar, value: Sequence, gone: list[int]) -> list[Splice]:
        if not gone or not value.flow:
            return [splice for index in gone for splice in remove_item(self.text, key, value, index)]
        kept = [node for index, node in enumerate(value.items) if index not in gone]
        listed = ", ".join(self.text[node.start : node.end] for node in kept)
        return [Splice(value.start, value.end, f"[{listed}]")]

    def _is_gone(self, node: Node) -> bool:
        return any(self._new_of(name) is None for name in _names(node) if self._old_of(name) is not None)

    def _old_of(self, name: str) -> Division | None:
        meant = division_meant(name, self.before.divisions)
        return next((one for one in self.before.divisions if one.id == meant), None)

    def _new_of(self, name: str) -> Division | None:
        old = self._old_of(name)
        new = self.ids.get(old.id) if old is not None else None
        return self.after.division(new) if new is not None else None

    def _renamed(self, name: str) -> str:
        """How a division is named now that was named so."""
        old, new = self._old_of(name), self._new_of(name)
        if old is None or new is None:
            return name
        is_by_name = name.strip().casefold() == old.name.strip().casefold() and old.name != new.name
        if not is_by_name and division_meant(name, self.after.divisions) == new.id:
            return name
        return new.name if division_meant(new.name, self.after.divisions) == new.id else new.id

    def _part(self, node: Node, *, flow: bool) -> list[Splice]:
        if isinstance(node, Mapping):
            found: list[Splice] = []
            for key, value in node.entries:
                if isinstance(value, Scalar) and plain_key(key.text) in ("from", "to", "division"):
                    found += self._again(value, self._renamed(value.text))
                elif isinstance(value, Scalar) and plain_key(key.text) == "coupler":
                    found += self._coupler(value, flow=True)
            return found
        if not isinstance(node, Scalar):
            return []
        if any(True for _ in _coupler_names(node.text)):
            return self._coupler(node, flow=flow)
        return self._again(node, self._renamed(node.text))

    def _again(self, node: Scalar, name: str) -> list[Splice]:
        return [] if name == node.text else [Splice(node.start, node.end, scalar(name, flow=True))]

    def _coupler(self, node: Scalar, *, flow: bool) -> list[Splice]:
        short = read_short_coupler(node.text)
        source, target = self._renamed(short.source), self._renamed(short.target)
        if (source, target) == (short.source, short.target):
            return []
        entry = coupler_entry(
            ShortCoupler(
                source=source,
                target=target,
                pitch=short.pitch,
                half=short.half,
                permanent=short.permanent,
                unison_off=short.unison_off,
            )
        )
        return [Splice(node.start, node.end, entry)]

    # ---------------------------------------------------------------- pipes that several stops share
    def loans(self, old_root: Mapping, root: Mapping) -> list[Splice]:
        """What is to be written anew under “pipes of”. Raises EditError where those pipes are gone."""
        wanted = dict(_loans(self.before, old_root))
        found: list[Splice] = []
        places = dict(_loans(self.after, root))
        for old_id, old_node in wanted.items():
            new_id = self.ids.get(old_id)
            if new_id is None or new_id not in places:
                continue
            owner = find_owner(old_node.text, self.before.division_of(old_id), self.before.divisions)
            new_owner = self.ids.get(owner.id) if owner is not None else None
            if owner is not None and new_owner is None:
                raise EditError(
                    f"{label_of(self.before.stop(old_id))} ({self.before.division_of(old_id).name}) speaks from the"
                    f" pipes of {label_of(owner)}",
                    remedy="Take that one out first, or say that it has pipes of its own.",
                )
            if new_owner is not None:
                found += self._again(places[new_id], self._loan(places[new_id].text, new_id, new_owner))
        return found

    def _loan(self, text: str, stop_id: str, owner_id: str) -> str:
        owner, own = self.after.stop(owner_id), self.after.division_of(stop_id)
        for form in (text, *loan_forms(owner, self.after.division_of(owner_id))):
            meant = find_owner(form, own, self.after.divisions)
            if meant is not None and meant.id == owner_id:
                return form
        return owner_id


def loan_forms(owner: Stop, division: Division) -> tuple[str, str, str]:
    """How a stop is named by another one that speaks from its pipes."""
    label = label_of(owner)
    return (label, f"{division.name}: {label}", owner.id)


def coupler_entry(coupler: ShortCoupler) -> str:
    """A coupler as the format writes it: short where the short form is read as just that."""
    pitch = "" if coupler.pitch == 8 else f" {write_feet(coupler.pitch)}"
    half = f" {coupler.half.value}" if coupler.half else ""
    text = f"{coupler.source} to {coupler.target}{pitch}{half}{' (permanent)' if coupler.permanent else ''}"
    if coupler.unison_off:
        text = f"{coupler.source} unison off"
    elif coupler.source == coupler.target and not half and not coupler.permanent:
        text = f"{coupler.source} {'sub octave' if coupler.pitch == 16 else 'octave'}"
    try:
        if read_short_coupler(text) == coupler:
            return scalar(text, flow=True)
    except UnfitError:
        pass  # written out below
    entries = {"from": scalar(coupler.source, flow=True), "to": scalar(coupler.target, flow=True)}
    entries |= {"pitch": write_feet(coupler.pitch)} if coupler.pitch != 8 else {}
    entries |= {"half": coupler.half.value} if coupler.half else {}
    entries |= {"permanent": "yes"} if coupler.permanent else {}
    entries |= {"unison off": "yes"} if coupler.unison_off else {}
    return flow_mapping(entries)


def _coupler_names(text: str) -> Iterator[str]:
    try:
        short = read_short_coupler(text)
    except UnfitError:
        return
    yield short.source
    yield short.target


def _names(node: Node) -> Iterator[str]:
    """The divisions that a coupler, tremulant or aid names."""
    if isinstance(node, Scalar):
        if node.text.strip().casefold() != WHOLE_ORGAN:
            yield from _coupler_names(node.text)
            yield node.text
    elif isinstance(node, Mapping):
        for key, value in node.entries:
            if isinstance(value, Scalar) and plain_key(key.text) in ("from", "to", "division"):
                yield value.text
            elif isinstance(value, Scalar) and plain_key(key.text) == "coupler":
                yield from _coupler_names(value.text)


def _loans(organ: Organ, root: Mapping) -> Iterator[tuple[str, Scalar]]:
    """The stops that say whose pipes they speak from, with the node where they say it."""
    divisions = root.get("divisions")
    if not isinstance(divisions, Sequence) or len(divisions.items) != len(organ.divisions):
        return
    for division, node in zip(organ.divisions, divisions.items, strict=True):
        stops = stop_nodes(node)
        if len(stops) != len(division.stops):
            continue
        for stop, stop_node in zip(division.stops, stops, strict=True):
            loan = _option(stop_node, "pipes of")
            if loan is not None:
                yield stop.id, loan


def stop_nodes(node: Node) -> list[Node]:
    """The nodes of a division's stops, however the division is written."""
    if not isinstance(node, Mapping) or not node.entries:
        return []
    value: Node | None = node.get("stops")
    if node.get("name") is None:
        value = node.entries[0][1]
        if isinstance(value, Mapping):
            value = value.get("stops")
    return value.items if isinstance(value, Sequence) else []


def _option(node: Node, key: str) -> Scalar | None:
    """An entry of a stop, wherever it is written."""
    if not isinstance(node, Mapping):
        return None
    value = node.get(key)
    if value is None and len(node.entries) == 1:
        inner = node.entries[0][1]
        value = inner.get(key) if isinstance(inner, Mapping) and not is_breaks(inner) else None
    return value if isinstance(value, Scalar) and not value.is_nothing else None
