"""What a piston plan is made of: controls, slots that are free, combinations, and what is done at each change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from core.organ.model import Organ
from core.organ.spelling import coupler_label, stop_label
from core.position import Position
from core.resolve.model import Registration
from core.score.model import MarkingId
from core.texts import Said


class ControlKind(StrEnum):
    """What a combination can set (no piston moves a box)."""

    STOP = "stop"
    COUPLER = "coupler"
    TREMULANT = "tremulant"


class Control(NamedTuple):
    """One knob or tablet: a stop by id, a coupler by index, a tremulant by division id ("": the whole organ's)."""

    kind: ControlKind
    id: str


Drawn = frozenset[Control]


def controls_of(registration: Registration) -> Drawn:
    """Everything that is on in a registration, as controls."""
    return frozenset(
        [Control(ControlKind.STOP, stop) for stop in registration.drawn]
        + [Control(ControlKind.COUPLER, str(index)) for index in registration.couplers]
        + [Control(ControlKind.TREMULANT, division or "") for division in registration.tremulants]
    )


def control_label(organ: Organ, control: Control) -> str:
    """A control as an organist names it: ``Swell: Oboe 8``, ``Swell to Great``, ``Swell Tremulant``."""
    if control.kind is ControlKind.COUPLER:
        return coupler_label(organ, organ.couplers[int(control.id)])
    if control.kind is ControlKind.TREMULANT:
        return f"{organ.division(control.id).name} Tremulant" if control.id else "Tremulant"
    return f"{organ.division_of(control.id).name}: {stop_label(organ.stop(control.id))}"


def division_of(organ: Organ, control: Control) -> str | None:
    """The division a stop stands in; None for what no divisional piston sets."""
    return organ.division_of(control.id).id if control.kind is ControlKind.STOP else None


class SlotKind(StrEnum):
    """Where a combination can be kept."""

    GENERAL = "general"
    DIVISIONAL = "divisional"
    STEP = "step"


class Slot(NamedTuple):
    """A piston that a combination is set on; `inserted` counts steps put in behind a numbered one later."""

    kind: SlotKind
    number: int
    division: str = ""
    level: int | None = None
    inserted: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Free:
    """The slots that a player may set; the house's own stay as they are.

    Attributes:
        generals: numbers of the free general pistons.
        divisionals: division id to numbers of its free pistons.
        levels: memory levels in which they are free, in the order to fill them; () where there is one memory.
        steps: first and last step of the stepper that are free; None: plan for pistons.
        assumed: what nobody said, in words.
    """

    generals: tuple[int, ...] = ()
    divisionals: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    levels: tuple[int, ...] = ()
    steps: tuple[int, int] | None = None
    assumed: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One change of a programme.

    Attributes:
        piece: index of the piece in the programme.
        want: what must be on after it.
        by_hand: how many controls hands can move in the time; None: as many as it takes.
        opens: it is made before the music (of a piece or movement) begins.
    """

    piece: int
    at: Position
    marking: MarkingId | None
    text: str
    staff: int | None
    want: Drawn
    by_hand: int | None
    opens: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Combination:
    """What is set on a slot."""

    slot: Slot
    sets: Drawn


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What is done at one change: pistons pressed, then controls moved by hand.

    Attributes:
        possible: False where no piston was left and the time is too short for hands.
    """

    demand: Demand
    press: tuple[Slot, ...] = ()
    draw: tuple[Control, ...] = ()
    retire: tuple[Control, ...] = ()
    possible: bool = True

    @property
    def moves(self) -> int:
        """Controls moved by hand."""
        return len(self.draw) + len(self.retire)


@dataclass(frozen=True, slots=True, kw_only=True)
class PistonPlan:
    """The whole plan.

    Attributes:
        optimal: proved to need the fewest combinations; False where the time ran out.
        explained: how it was chosen and what was assumed, in sentences.
    """

    titles: tuple[str, ...]
    free: Free
    combinations: tuple[Combination, ...]
    uses: tuple[Use, ...]
    optimal: bool
    explained: tuple[Said, ...]

    @property
    def impossible(self) -> tuple[Use, ...]:
        """Changes for which nothing was found."""
        return tuple(u for u in self.uses if not u.possible)


def slot_label(organ: Organ, slot: Slot) -> str:
    """A slot as it is written in a part: ``Gen. 3``, ``Swell 2``, ``Step 5``; with its level where there are levels."""
    if slot.kind is SlotKind.STEP:
        name = f"Step {slot.number}" + (f".{slot.inserted}" if slot.inserted else "")
    elif slot.kind is SlotKind.GENERAL:
        name = f"Gen. {slot.number}"
    else:
        name = f"{organ.division(slot.division).name} {slot.number}"
    return f"{name} (level {slot.level})" if slot.level is not None else name
