"""Changes to a specification's text: only the lines that are meant change, comments and layout stay."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from core.errors import EditError, OrganError
from core.organ.changes import (
    AddPart,
    AddStop,
    ChangeDivision,
    ChangeOrgan,
    ChangeStop,
    MoveStop,
    RemovePart,
    RemoveStop,
    SpecChange,
)
from core.organ.completing import Setting
from core.organ.model import Half, Organ
from core.organ.shorthand import (
    read_key,
    read_pitch_apart,
    read_short_stop,
)
from core.organ.specification import read_specification
from core.organ.specification_stops import is_breaks, read_ranks_apart, settle_numeral
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
from core.organ.writing_stops import short_form
from core.organ.yaml_fields import UnfitError, read_choice, read_flag
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
    made = _Changer(text, root, organ).make(change)
    try:
        read_specification(made, "specification")
    except OrganError as error:
        problem = error.problems[0] if error.problems else error
        raise EditError(f"this change would spoil the specification: {problem}") from None
    return made


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
        index = ids.index(after) + 1 if after is not None else len(ids) if last else 0
        return [insert_item(self.text, key, stops, index, entry)]

    def _remove_stop(self, change: RemoveStop) -> list[Splice]:
        key, stops, index, _ = self._stop_place(change.stop)
        return remove_item(self.text, key, stops, index)

    def _move_stop(self, change: MoveStop) -> str:
        if change.after == change.stop:
            raise EditError("a stop cannot be moved behind itself")
        key, stops, index, _ = self._stop_place(change.stop)
        node = stops.items[index]
        raw = self.text[node.start : node.end]
        if "\n" in raw:
            raise EditError("a stop written over several lines is moved by hand, in the file itself")
        put = self._insert(change.division, change.after, raw, last=False)
        taken = remove_item(self.text, key, stops, index)
        return apply(self.text, _apart(self.text, taken, put))

    def _change_stop(self, change: ChangeStop) -> list[Splice]:
        _, stops, index, setting = self._stop_place(change.stop)
        node = stops.items[index]
        head, options = _parts(node)
        splices: list[Splice] = []
        short = _Short(head, setting, has_composition=_has_composition(node)) if head else None
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
            raise EditError("change one entry of this stop at a time")
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
            raise EditError("take away one entry at a time")
        new = [key for key in written if key not in keys]
        if len(new) > 1 and not mapping.flow:
            raise EditError("add one entry at a time")
        splices = [set_entry(self.text, mapping, key, value, early=early) for key, value in written.items()]
        return splices + [remove_entry(self.text, mapping, index) for index in going]

    # ---------------------------------------------------------------- divisions and the whole
    def _change_division(self, change: ChangeDivision) -> list[Splice]:
        _, node = self._division_place(change.division)
        written = {key: _entry(value) for key, value in change.entries if value is not None}
        gone = [key for key, value in change.entries if value is None]
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


def _apart(text: str, taken: list[Splice], put: list[Splice]) -> list[Splice]:
    """Both halves of a move, the new place first where both are the same character."""
    if any(a.start < b.start < a.end for a in taken for b in put):
        raise EditError("the stop stands there already")
    return taken + put


class _Short:
    """A stop's short form being changed."""

    def __init__(self, head: Scalar, setting: Setting, *, has_composition: bool) -> None:
        self.setting = setting
        self.has_composition = has_composition
        self.stop = settle_numeral(read_short_stop(head.text), setting, has_composition=has_composition)
        self.changed = False

    def set(self, key: str, value: str | None) -> bool:
        """Take a change in, if the short form has room for it."""
        if key not in _READERS:
            return False
        field, reader = _READERS[key]
        try:
            told: dict[str, Any] = {field: None if value is None else reader(value)}
            wanted = replace(self.stop, **told)
            again = settle_numeral(
                read_short_stop(short_form(wanted)), self.setting, has_composition=self.has_composition
            )
        except UnfitError as unfit:
            raise EditError(f"{unfit.problem}. {unfit.remedy}") from None
        if again != wanted:
            return False
        self.stop, self.changed = wanted, True
        return True

    def scalar(self, *, flow: bool) -> str:
        """The short form as YAML."""
        return scalar(short_form(self.stop), flow=flow)


_READERS: dict[str, tuple[str, Callable[[str], Any]]] = {
    "name": ("name", str),
    "pitch": ("pitch", read_pitch_apart),
    "ranks": ("ranks", read_ranks_apart),
    "half": ("half", lambda text: read_choice(text, Half)),
    "from": ("first", read_key),
    "to": ("last", read_key),
    "enclosed": ("enclosed", read_flag),
}


def _parts(node: Node) -> tuple[Scalar | None, Mapping | None]:
    """The scalar of a stop's short form (None where it is written out) and the mapping of its options."""
    if isinstance(node, Scalar):
        return node, None
    assert isinstance(node, Mapping)
    stop = node.get("stop")
    if isinstance(stop, Scalar) or node.get("name") is not None:
        return (stop if isinstance(stop, Scalar) else None), node
    key, value = node.entries[0]
    return key, value if isinstance(value, Mapping) and not is_breaks(value) else None


def _has_composition(node: Node) -> bool:
    if not isinstance(node, Mapping):
        return False
    if node.get("stop") is not None or node.get("name") is not None:
        return node.get("composition") is not None
    value = node.entries[0][1]
    if isinstance(value, Mapping) and not is_breaks(value):
        return value.get("composition") is not None
    return not (isinstance(value, Scalar) and value.is_nothing)
