"""The state of one marking while its instructions are worked off, and which division each is for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from core.findings import Finding, Level
from core.markings.model import Instruction, StopRequest
from core.organ.model import Division, Half, Organ
from core.position import Position
from core.resolve.candidates import Choice, Desk
from core.resolve.keyboards import named_role, propose_keyboards
from core.resolve.model import Because, Keyboards, Registration, Sure
from core.score.model import MarkingId
from core.texts import Said, say


@dataclass(slots=True, kw_only=True)
class Work:
    """One marking at work: what is on, and what has been said so far. Lives only inside `resolve`."""

    organ: Organ
    keyboards: Keyboards
    tradition: str | None
    language: str | None
    staff_division: str | None
    pins: Mapping[str, tuple[str, ...]]
    registration: Registration
    text: str = ""
    marking: MarkingId | None = None
    at: Position | None = None
    staff: int | None = None
    because: list[Because] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    told: set[str] = field(default_factory=set)
    current: str | None = None
    all_coupled: bool = False
    drawn_here: set[str] = field(default_factory=set)

    def desk(
        self,
        division: Division,
        *,
        half: Half | None = None,
        adding: bool = False,
        companions: tuple[StopRequest, ...] = (),
    ) -> Desk:
        """The player's view of one division."""
        return Desk(
            organ=self.organ,
            division=division,
            tradition=self.tradition,
            language=self.language,
            half=half,
            adding=adding,
            companions=companions,
            drawn=frozenset(self.registration.drawn),
            text=self.text,
        )

    def find(
        self,
        rule: str,
        level: Level,
        message: Said,
        why: Said,
        *,
        division: str | None = None,
        cause: str = "",
    ) -> None:
        """Note something a person should look at; the same thing once."""
        if any(f.rule == rule and str(f.message) == str(message) for f in self.findings):
            return
        self.findings.append(
            Finding(
                rule=rule,
                level=level,
                message=message,
                why=why,
                at=self.at,
                staff=self.staff,
                marking=self.marking,
                division=division,
                cause=cause,
            )
        )

    def say(
        self,
        request: str,
        division: str | None,
        chosen: Iterable[str],
        why: Said,
        *,
        alternatives: Iterable[str] = (),
        substitute: bool = False,
        sure: Sure = Sure.STATED,
        octaves: int = 0,
    ) -> None:
        """Note what answers a request and why."""
        self.because.append(
            Because(
                request=request,
                division=division,
                chosen=tuple(dict.fromkeys(chosen)),
                alternatives=tuple(dict.fromkeys(alternatives)),
                substitute=substitute,
                why=why,
                sure=sure,
                octaves=octaves,
            )
        )

    def drawn_in(self, division: str) -> list[str]:
        """Ids of the stops on in a division, in the order drawn."""
        return [s for s in self.registration.drawn if self.organ.division_of(s).id == division]


def answer_of(work: Work, role: str) -> tuple[Division | None, bool]:
    """The division that answers a role or number, and whether it only stands in."""
    answers = work.keyboards
    if role not in answers.answers and role not in answers.missing:
        answers = propose_keyboards([role], work.organ, language=work.language)
    found = answers.answers.get(role)
    if found is None:
        return None, False
    return work.organ.division(found), role in answers.substitutes


def tell_missing_division(work: Work, role: str, stand_in: Division | None) -> None:
    """A finding that the organ has no such division, once a marking."""
    if role in work.told:
        return
    work.told.add(role)
    name = named_role(role)
    if stand_in is None:
        work.find(
            "missing-division",
            Level.ERROR,
            say("{organ} has no {role}", organ=work.organ.name, role=name),
            say("nothing on this organ answers it, so nothing is drawn"),
            cause=f"division:{role}",
        )
        return
    message, why = stand_in_words(role, stand_in.name)
    work.find("missing-division", Level.WARNING, message, why, division=stand_in.id, cause=f"division:{role}")


def stand_in_words(role: str, division: str) -> tuple[Said, Said]:
    """That a division only stands in for one that the organ lacks, and what it means."""
    message = say(
        "there is no {role} on this organ; the {division} comes nearest", role=named_role(role), division=division
    )
    return message, say("another division has another colour and strength; choose another in the table of keyboards")


def half_of(instruction: Instruction, request: StopRequest) -> Half | None:
    """The half of divided stops that a request is for: its own, else that of the hand named."""
    if request.half is not None:
        return request.half
    if instruction.hand is None:
        return None
    return {"right": Half.TREBLE, "left": Half.BASS}.get(instruction.hand.value)


def worst(choices: Sequence[Choice]) -> int:
    """How well a division answers several requests: as well as the worst of them."""
    return max((c.quality for c in choices), default=0)
