"""Changes to a specification's text: only the lines that are meant change, comments and layout stay."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from core.errors import EditError, OrganError
from core.organ.changes import (
    AddDivision,
    AddPart,
    AddStop,
    ChangeDivision,
    ChangeOrgan,
    ChangePart,
    ChangeStop,
    Entries,
    MoveDivision,
    MoveStop,
    RemoveDivision,
    RemovePart,
    RemoveStop,
    SpecChange,
)
from core.organ.changing_short import ShortForm, has_own_composition, parts_of
from core.organ.completing import Setting
from core.organ.following import followed
from core.organ.mending import mend_references
from core.organ.model import Organ
from core.organ.part_names import role_of_name
from core.organ.reordering import carried, first_of_list, reorder
from core.organ.specification import read_specification
from core.organ.splicing import (
    Splice,
    apply,
    column,
    insert_item,
    newline_of,
    remove_entry,
    remove_item,
    set_entry,
    with_options,
)
from core.organ.yaml_nodes import Mapping, Node, Scalar, Sequence, plain_key, read_tree
from core.organ.yaml_text import flow_mapping, scalar


def change_specification(text: str, change: SpecChange) -> str:
    """The text with one change made. Raises EditError where it does not fit; nothing else in it changes."""
    try:
        organ = read_specification(text, "specification")
        root = read_tree(text, "specification")
    except OrganError as error:
        raise EditError(f"the specification cannot be changed, since it cannot be read: {error}") from None
    assert isinstance(root, Mapping)
    if isinstance(change, ChangeStop | ChangeDivision | ChangeOrgan) and len(change.entries) > 1:
        try:
            return _change(text, root, organ, change)
        except _OneAtATimeError:
            return _one_by_one(text, organ, change)
    return _change(text, root, organ, change)


class _OneAtATimeError(EditError):
    """Several entries of one thing cannot be spliced in at once."""


def _change(text: str, root: Mapping, organ: Organ, change: SpecChange) -> str:
    made = mend_references(organ, root, _Changer(text, root, organ).make(change), change)
    try:
        read_specification(made, "specification")
    except OrganError as error:
        if not error.problems:
            raise EditError(f"this change would spoil the specification: {error}") from None
        raise EditError(error.problems[0].problem, remedy=error.problems[0].remedy) from None
    return made


def _one_by_one(text: str, organ: Organ, change: ChangeStop | ChangeDivision | ChangeOrgan) -> str:
    """The text with several entries changed, one after the other; the id may change on the way."""
    for entry in change.entries:
        step = replace(change, entries=(entry,))
        made = change_specification(text, step)
        after = read_specification(made, "specification")
        ids = followed(organ, after, step)
        if isinstance(change, ChangeStop):
            change = replace(change, stop=ids[change.stop] or change.stop)
        elif isinstance(change, ChangeDivision):
            change = replace(change, division=ids[change.division] or change.division)
        text, organ = made, after
    return text


class _Changer:
    def __init__(self, text: str, root: Mapping, organ: Organ) -> None:
        self.text = text
        self.root = root
        self.organ = organ

    def make(self, change: SpecChange) -> str:
        makers: dict[type[SpecChange], Callable[[Any], list[Splice]]] = {
            AddStop: self._add_stop,
            RemoveStop: self._remove_stop,
            ChangeStop: self._change_stop,
            ChangeDivision: self._change_division,
            ChangeOrgan: self._change_organ,
            AddPart: self._add_part,
            RemovePart: self._remove_part,
            ChangePart: self._change_part,
            AddDivision: self._add_division,
            RemoveDivision: self._remove_division,
            MoveDivision: self._move_division,
        }
        if isinstance(change, MoveStop):
            return self._move_stop(change)
        return apply(self.text, makers[type(change)](change))

    # ---------------------------------------------------------------- places
    def _division_place(self, division_id: str) -> tuple[int, Mapping]:
        for number, division in enumerate(self.organ.divisions):
            if division.id == division_id:
                divisions = self.root.get("divisions")
                assert isinstance(divisions, Sequence)
                node = divisions.items[number]
                assert isinstance(node, Mapping)
                return number, node
        raise EditError(f"the organ has no division {division_id}")

    def _stops_of(self, division_id: str) -> tuple[Mapping, Scalar | None, Node | None]:
        """A division's mapping, and the key and node of its list of stops."""
        _, node = self._division_place(division_id)
        short = node.get("name") is None
        if short and not isinstance(node.entries[0][1], Mapping):
            key, value = node.entries[0]
            return node, key, value
        inner = node
        if short and isinstance(node.entries[0][1], Mapping):
            inner = node.entries[0][1]
        for key, value in inner.entries:
            if plain_key(key.text) == "stops":
                return inner, key, value
        return inner, None, None

    def _stop_place(self, stop_id: str) -> tuple[Scalar, Sequence, int, Setting]:
        try:
            division = self.organ.division_of(stop_id)
        except KeyError:
            raise EditError(f"the organ has no stop {stop_id}") from None
        _, key, stops = self._stops_of(division.id)
        assert key is not None
        assert isinstance(stops, Sequence)
        index = [stop.id for stop in division.stops].index(stop_id)
        return key, stops, index, Setting(division.role, self.organ.language, self.organ.tradition)

    # ---------------------------------------------------------------- stops
    def _add_stop(self, change: AddStop) -> list[Splice]:
        entry = scalar(change.stop, flow=True)
        if change.options:
            entry += f": {flow_mapping({key: _entry(value) for key, value in change.options})}"
        return self._insert(change.division, change.after, entry, last=True)

    def _insert(self, division_id: str, after: str | None, entry: str, *, last: bool) -> list[Splice]:
        mapping, key, stops = self._stops_of(division_id)
        ids = [stop.id for stop in self.organ.division(division_id).stops]
        if after is not None and after not in ids:
            raise EditError(f"the division {division_id} has no stop {after}")
        if key is None:
            return [set_entry(self.text, mapping, "stops", f"[{entry}]")]
        if not isinstance(stops, Sequence):
            at = self.text.index(":", key.end) + 1
            return [Splice(at, at, f" [{entry}]")]
        if not stops.items and not mapping.flow:
            return first_of_list(self.text, key, stops, entry)
        index = ids.index(after) + 1 if after is not None else len(ids) if last else 0
        return [insert_item(self.text, key, stops, index, entry)]

    def _remove_stop(self, change: RemoveStop) -> list[Splice]:
        key, stops, index, _ = self._stop_place(change.stop)
        return remove_item(self.text, key, stops, index)

    def _move_stop(self, change: MoveStop) -> str:
        if change.after == change.stop:
            raise EditError("a stop cannot be moved behind itself")
        key, stops, index, _ = self._stop_place(change.stop)
        ids = [stop.id for stop in self.organ.division(change.division).stops]
        if change.stop in ids:  # within its division
            order = [number for number in range(len(ids)) if number != index]
            at = ids.index(change.after) if change.after in ids else -1
            order.insert(order.index(at) + 1 if at >= 0 else 0, index)
            return apply(self.text, [reorder(self.text, stops, order)]) if order != sorted(order) else self.text
        entry = carried(self.text, stops.items[index], stops, self._hyphen_column(change.division))
        put = self._insert(change.division, change.after, entry, last=False)
        taken = remove_item(self.text, key, stops, index)
        return apply(self.text, taken + put)

    def _hyphen_column(self, division_id: str) -> int | None:
        """The column of the hyphens in a division's list of stops; None where a stop is put into brackets."""
        mapping, key, stops = self._stops_of(division_id)
        if key is None or not isinstance(stops, Sequence) or mapping.flow:
            return None
        if not stops.items:
            return column(self.text, key.start) + 2
        return None if stops.flow else column(self.text, self.text.rfind("-", 0, stops.items[0].start))

    def _change_stop(self, change: ChangeStop) -> list[Splice]:
        _, stops, index, setting = self._stop_place(change.stop)
        node = stops.items[index]
        head, options = parts_of(node)
        splices: list[Splice] = []
        short = ShortForm(head, setting, has_composition=has_own_composition(node)) if head else None
        rest: dict[str, str | None] = {}
        for key, value in change.entries:
            if key == "name" and not value:
                raise EditError("a stop cannot be without a name")
            there = options is not None and options.get(key) is not None
            if short is None or there or not short.set(key, value):
                rest[key] = value
        if short is not None and head is not None and short.changed:
            splices.append(Splice(head.start, head.end, short.scalar(flow=stops.flow or not isinstance(node, Scalar))))
        return splices + self._set_options(node, head, options, rest)

    def _set_options(
        self, node: Node, head: Scalar | None, options: Mapping | None, rest: dict[str, str | None]
    ) -> list[Splice]:
        written = {key: _entry(value) for key, value in rest.items() if value is not None}
        if options is not None:
            gone = [key for key, value in rest.items() if value is None]
            return self._set_entries(options, written, gone, node)
        if not written:
            return []
        if isinstance(node, Scalar):
            return [Splice(node.end, node.end, f": {flow_mapping(written)}")]
        assert isinstance(node, Mapping)
        key, value = node.entries[0]
        if isinstance(value, Scalar) and value.is_nothing:
            at = self.text.index(":", key.end) + 1
            return [Splice(at, at, f" {flow_mapping(written)}")]
        first, *others = written.items()
        if others:
            raise _OneAtATimeError("change one entry of this stop at a time")
        return with_options(self.text, value, *first)

    def _set_entries(
        self, mapping: Mapping, written: dict[str, str], gone: list[str], whole: Node, *, early: bool = False
    ) -> list[Splice]:
        keys = [plain_key(key.text) for key, _ in mapping.entries]
        going = [keys.index(key) for key in gone if key in keys]
        if going and len(going) == len(keys) and not written and isinstance(whole, Mapping) and whole is not mapping:
            head = whole.entries[0][0]
            return [Splice(head.end, mapping.end, "")]
        if len(going) > 1:
            raise _OneAtATimeError("take away one entry at a time")
        new = [key for key in written if key not in keys]
        if len(new) > 1 and not mapping.flow:
            raise _OneAtATimeError("add one entry at a time")
        splices = [set_entry(self.text, mapping, key, value, early=early) for key, value in written.items()]
        return splices + [remove_entry(self.text, mapping, index) for index in going]

    # ---------------------------------------------------------------- divisions and the whole
    def _change_division(self, change: ChangeDivision) -> list[Splice]:
        _, node = self._division_place(change.division)
        entries = self._with_role(change)
        written = {key: _entry(value) for key, value in entries if value is not None}
        gone = [key for key, value in entries if value is None]
        if node.get("name") is not None:
            return self._set_entries(node, written, gone, node, early=True)
        head, value = node.entries[0]
        splices = []
        if "name" in written:
            splices.append(Splice(head.start, head.end, written.pop("name")))
        if isinstance(value, Mapping):
            return splices + self._set_entries(value, written, gone, node)
        if not written:
            return splices
        name = splices.pop().text if splices else self.text[head.start : head.end]
        joint = ", " if node.flow else newline_of(self.text) + " " * column(self.text, head.start)
        parts = [f"name: {name}", *(f"{key}: {entry}" for key, entry in written.items()), "stops"]
        return [Splice(head.start, head.end, joint.join(parts))]

    def _with_role(self, change: ChangeDivision) -> Entries:
        """The entries, and the role where a new name tells none."""
        told = dict(change.entries)
        role = self.organ.division(change.division).role
        name = told.get("name")
        if name is None or "role" in told or self._states_role(change) or role_of_name(name):
            return change.entries
        return (("role", role.value), *change.entries)

    def _states_role(self, change: ChangeDivision) -> bool:
        _, node = self._division_place(change.division)
        inner = node if node.get("name") is not None else node.entries[0][1]
        return isinstance(inner, Mapping) and inner.get("role") is not None

    def _divisions(self) -> tuple[Scalar, Sequence]:
        for key, value in self.root.entries:
            if plain_key(key.text) == "divisions" and isinstance(value, Sequence):
                return key, value
        raise EditError("the organ has no divisions")

    def _division_number(self, division_id: str | None) -> int:
        ids = [division.id for division in self.organ.divisions]
        if division_id not in ids:
            raise EditError(f"the organ has no division {division_id}")
        return ids.index(division_id)

    def _add_division(self, change: AddDivision) -> list[Splice]:
        key, divisions = self._divisions()
        index = len(divisions.items) if change.after is None else self._division_number(change.after) + 1
        entries = {"name": _entry(change.name), **{name: _entry(value) for name, value in change.entries}}
        if divisions.flow:
            return [insert_item(self.text, key, divisions, index, flow_mapping({**entries, "stops": "[]"}))]
        indent = " " * (column(self.text, self.text.rfind("-", 0, divisions.items[0].start)) + 2)
        lines = [f"{name}: {value}" for name, value in entries.items()] + ["stops: []"]
        joint = f"{newline_of(self.text)}{indent}"
        return [insert_item(self.text, key, divisions, index, joint.join(lines))]

    def _remove_division(self, change: RemoveDivision) -> list[Splice]:
        index = self._division_number(change.division)
        if len(self.organ.divisions) == 1:
            raise EditError("an organ has at least one division", remedy="Add another one first.")
        return remove_item(self.text, *self._divisions(), index)

    def _move_division(self, change: MoveDivision) -> list[Splice]:
        index = self._division_number(change.division)
        after = self._division_number(change.after) if change.after is not None else -1
        _, divisions = self._divisions()
        order = [number for number in range(len(divisions.items)) if number != index]
        order.insert(order.index(after) + 1 if after in order else 0, index)
        return [reorder(self.text, divisions, order)] if after != index else []

    def _change_part(self, change: ChangePart) -> list[Splice]:
        value = self.root.get(change.section)
        if not isinstance(value, Sequence) or not 0 <= change.index < len(value.items):
            raise EditError(f"there is no entry {change.index + 1} under {change.section}")
        node = value.items[change.index]
        return [Splice(node.start, node.end, change.entry)]

    def _change_organ(self, change: ChangeOrgan) -> list[Splice]:
        written = {key: _entry(value) for key, value in change.entries if value is not None}
        gone = [key for key, value in change.entries if value is None]
        return self._set_entries(self.root, written, gone, self.root, early=True)

    def _add_part(self, change: AddPart) -> list[Splice]:
        for key, value in self.root.entries:
            if plain_key(key.text) != change.section:
                continue
            if isinstance(value, Sequence):
                return [insert_item(self.text, key, value, len(value.items), change.entry)]
            at = self.text.index(":", key.end) + 1
            return [Splice(at, at, f" [{change.entry}]")]
        return [set_entry(self.text, self.root, change.section, f"[{change.entry}]")]

    def _remove_part(self, change: RemovePart) -> list[Splice]:
        for key, value in self.root.entries:
            in_it = isinstance(value, Sequence) and 0 <= change.index < len(value.items)
            if plain_key(key.text) == change.section and isinstance(value, Sequence) and in_it:
                return remove_item(self.text, key, value, change.index)
        raise EditError(f"there is no entry {change.index + 1} under {change.section}")


def _entry(value: str) -> str:
    """A new entry as YAML; yes and no stay bare, as the format writes them."""
    return value if value in ("yes", "no") else scalar(value, flow=True)
