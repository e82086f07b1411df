"""The short form of a stop being changed: ``Oboe 8 (from C3)`` as long as it has room for what is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from core.errors import EditError
from core.organ.completing import Setting
from core.organ.model import Half
from core.organ.shorthand import read_key, read_pitch_apart, read_short_stop
from core.organ.specification_stops import is_breaks, read_ranks_apart, settle_numeral
from core.organ.writing_stops import short_form
from core.organ.yaml_fields import UnfitError, read_choice, read_flag
from core.organ.yaml_nodes import Mapping, Node, Scalar
from core.organ.yaml_text import scalar


class ShortForm:
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
            raise EditError(unfit.problem, remedy=unfit.remedy) from None
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


def parts_of(node: Node) -> tuple[Scalar | None, Mapping | None]:
    """The scalar of a stop's short form (None where it is written out) and the mapping of its options."""
    if isinstance(node, Scalar):
        return node, None
    assert isinstance(node, Mapping)
    stop = node.get("stop")
    if isinstance(stop, Scalar) or node.get("name") is not None:
        return (stop if isinstance(stop, Scalar) else None), node
    key, value = node.entries[0]
    return key, value if isinstance(value, Mapping) and not is_breaks(value) else None


def has_own_composition(node: Node) -> bool:
    """Whether a stop states its composition."""
    if not isinstance(node, Mapping):
        return False
    if node.get("stop") is not None or node.get("name") is not None:
        return node.get("composition") is not None
    value = node.entries[0][1]
    if isinstance(value, Mapping) and not is_breaks(value):
        return value.get("composition") is not None
    return not (isinstance(value, Scalar) and value.is_nothing)
