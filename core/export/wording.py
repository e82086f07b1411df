"""The language of a paper: English, unless it is made within `speaking`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from core.organ.model import Coupler, Organ
from core.organ.spelling import coupler_label, write_feet
from core.pistons.model import Control, ControlKind, Slot, SlotKind, control_label
from core.resolve.keyboards import named_role
from core.texts import Catalogue, Said, say

_catalogue: ContextVar[Catalogue] = ContextVar("catalogue", default=str)


@contextmanager
def speaking(catalogue: Catalogue) -> Iterator[None]:
    """What is made within is worded by this catalogue (of this thread of work alone)."""
    token = _catalogue.set(catalogue)
    try:
        yield
    finally:
        _catalogue.reset(token)


def language() -> str:
    """The code of the language in force, as HTML names it."""
    return getattr(_catalogue.get(), "language", "en")


def catalogue() -> Catalogue:
    """The catalogue in force."""
    return _catalogue.get()


def told(template: str, /, **values: object) -> str:
    """A template in the paper's language, filled."""
    return say(template, **values).translated(_catalogue.get())


def shown(said: Said) -> str:
    """A message in the paper's language."""
    return said.translated(_catalogue.get())


def bar(measure: str, beat: object = 1) -> str:
    """``bar 12`` or ``bar 12, beat 3``."""
    return told("bar {bar}", bar=measure) if beat == 1 else told("bar {bar}, beat {beat}", bar=measure, beat=beat)


def again(nth: int) -> str:
    """``2nd time``."""
    named = {2: "2nd time", 3: "3rd time"}.get(nth)
    return told(named) if named is not None else told("{number}th time", number=nth)


def role(name: str) -> str:
    """A role that a piece names."""
    return shown(named_role(name))


def coupler(organ: Organ, one: Coupler) -> str:
    """A coupler by its divisions."""
    if language() == "en":
        return coupler_label(organ, one)
    source, target = organ.division(one.source).name, organ.division(one.target).name
    if one.unison_off:
        return told("{division} Unison Off", division=source)
    label = told("{source} to {target}", source=source, target=target)
    return label if one.pitch == 8 else f"{label} {write_feet(one.pitch)}"


def control(organ: Organ, one: Control) -> str:
    """A control as an organist names it."""
    if one.kind is ControlKind.COUPLER:
        return coupler(organ, organ.couplers[int(one.id)])
    if one.kind is ControlKind.TREMULANT:
        return told("{name} Tremulant", name=organ.division(one.id).name) if one.id else told("Tremulant")
    return control_label(organ, one)


def slot(organ: Organ, one: Slot) -> str:
    """A piston as it is written in a part."""
    if one.kind is SlotKind.STEP:
        name = told("Step {number}", number=f"{one.number}" + (f".{one.inserted}" if one.inserted else ""))
    elif one.kind is SlotKind.GENERAL:
        name = told("Gen. {number}", number=one.number)
    else:
        name = f"{organ.division(one.division).name} {one.number}"
    return told("{name} (level {level})", name=name, level=one.level) if one.level is not None else name
