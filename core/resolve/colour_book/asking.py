"""Asks an organ for a colour as a marking would: the same resolver, keyboards and recipes answer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from core.markings.model import Action, Instruction, StopRequest
from core.organ.model import Division, Organ, Stop
from core.resolve.model import Because, Keyboards, Registration
from core.resolve.resolver import resolve

HERE = "here"
_LACKING = frozenset(("missing-stop", "missing-division"))


@dataclass(frozen=True, slots=True)
class Answer:
    """What an organ draws for a colour.

    Attributes:
        whole: every request is answered by what it asks for, none by a substitute or not at all.
    """

    stops: tuple[str, ...]
    couplers: tuple[int, ...]
    because: tuple[Because, ...]
    whole: bool


def draw_of(requests: Sequence[StopRequest], *, do: str = "draw", division: str | None = HERE) -> Instruction:
    """The instruction that asks for these stops."""
    action = Action.FULL if do == "full" else Action.DRAW
    return Instruction(action=action, division=division, stops=tuple(requests), up_to=do == "up-to")


def ask(
    organ: Organ,
    instructions: Sequence[Instruction],
    division: Division | None,
    *,
    language: str | None = None,
    before: tuple[str, ...] = (),
    pins: Mapping[str, tuple[str, ...]] | None = None,
) -> Answer:
    """What a marking of these instructions draws; `HERE` in them is the division given.

    Args:
        organ: the organ.
        instructions: the marking's.
        division: the division asked; None asks the whole organ.
        language: of the marking; decides whose usage holds.
        before: ids of the stops drawn before.
        pins: requests that mean one stop and no other.
    """
    resolution = resolve(
        tuple(instructions),
        organ,
        Registration(drawn=before),
        keyboards=Keyboards(answers={HERE: division.id} if division is not None else {}),
        language=language,
        pins=pins,
    )
    because = resolution.because
    lacking = any(f.rule in _LACKING for f in resolution.findings)
    return Answer(
        stops=resolution.registration.drawn,
        couplers=tuple(sorted(resolution.registration.couplers)),
        because=because,
        whole=not lacking
        and any(b.chosen for b in because)
        and all(b.chosen and not b.substitute for b in because if b.division is not None),
    )


def adds_each(because: Iterable[Because]) -> bool:
    """Whether every request brings a stop that no other brings."""
    seen: set[str] = set()
    for one in because:
        if not set(one.chosen) - seen:
            return False
        seen |= set(one.chosen)
    return True


def stops_of(organ: Organ, ids: Iterable[str]) -> list[Stop]:
    """The stops of these ids."""
    return [organ.stop(one) for one in ids]
