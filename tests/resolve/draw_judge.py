"""Judges an answer of `draw` against a worked case: stops, couplers, reasons (see the head of cases.yaml)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from core.cli.draw import answer, answer_to_json
from core.organ.model import Organ
from core.organ.normal import key_of
from core.organ.reading import load_organ
from core.resolve.before import registration_of

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Case:
    organ: str
    raw: dict[str, Any]

    @property
    def name(self) -> str:
        return f"{self.organ}: {self.raw['m']}"

    @property
    def drawn(self) -> list[str]:
        given = self.raw.get("drawn") or []
        return [given] if isinstance(given, str) else list(given)


@cache
def document() -> dict[str, Any]:
    first, more = (
        yaml.safe_load((HERE / name).read_text(encoding="utf-8")) for name in ("cases.yaml", "more_cases.yaml")
    )
    found: dict[str, Any] = {**first, **more, "organs": {**first["organs"], **more["organs"]}}
    return found


@cache
def organ(key: str) -> Organ:
    return load_organ(HERE / document()["organs"][key]["file"])


def cases() -> list[Case]:
    return [Case(key, raw) for key in document()["organs"] for raw in document().get(key) or []]


def judge(case: Case) -> list[str]:
    """What is wrong with the program's answer; nothing if it is right."""
    here = organ(case.organ)
    found = answer_to_json(here, answer(here, case.raw["m"], case.drawn))
    base = {k: v for k, v in case.raw.items() if k != "either"}
    plain = {k: v for k, v in base.items() if k not in ("need", "may", "never")}
    answers = [base, *({**plain, **other} for other in case.raw.get("either") or [])]
    return min((_against(here, case, want, found) for want in answers), key=len)


def _ids(here: Organ, division: str, text: str) -> set[str]:
    """A stop of a case, as the program reads what was drawn before; both halves where it names neither."""
    return set(registration_of(here, [f"{division}: {text}"]).drawn)


def _against(here: Organ, case: Case, want: dict[str, Any], found: dict[str, Any]) -> list[str]:
    on = {i for d, stops in found["drawn"].items() for s in stops for i in _ids(here, d, s)}
    before = set(registration_of(here, case.drawn).drawn)
    need, may, never = (want.get(k) or {} for k in ("need", "may", "never"))
    named = {_division(here, case, d) for d in (*need, *may)}
    wrong, allowed = [], set()
    for division, wanted in need.items():
        for item in wanted:
            ways = [_ids(here, division, t) for t in (item if isinstance(item, list) else [item])]
            allowed |= set().union(*ways)
            if not any(way <= on for way in ways):
                wrong.append(f"{division} lacks {item}")
    allowed |= {i for d, stops in may.items() for s in stops for i in _ids(here, d, s)}
    barred = {i for d, stops in never.items() for s in stops for i in _ids(here, d, s)}
    wrong += [f"must never draw {i}" for i in sorted(on & barred)]
    for stop in sorted(on - allowed - barred):
        if here.division_of(stop).id in named or stop not in before:
            wrong.append(f"draws {stop} besides")
    wrong += [f"{i} went off" for i in sorted(before - on) if here.division_of(i).id not in named]
    return wrong + _rest(here, case, want, found, on - before)


def _rest(here: Organ, case: Case, want: dict[str, Any], found: dict[str, Any], new: set[str]) -> list[str]:
    wrong = []
    told = {
        i
        for b in found["because"]
        for stop in b["chosen"]
        for i in (_ids(here, b["division"], stop) if b["why"] else ())
    }
    wrong += [f"no reason for {i}" for i in sorted(new - told)]
    couplers = {_coupler(c.removesuffix(" (Unison Off)")) for c in found["couplers"]}
    needed = {_wanted_coupler(here, case, c) for c in want.get("couplers") or []}
    wrong += [f"coupler {c} is not on" for c in sorted(needed - couplers)]
    spare = want.get("may_couplers") or []
    if spare != "any":
        free = {_wanted_coupler(here, case, c) for c in spare}
        wrong += [f"coupler {c} is on" for c in sorted(couplers - needed - free)]
    trems = want.get("tremulants") or []
    on = [None if t is None else _division(here, case, t) for t in found["tremulants"]]
    if trems == "any" and not on:
        wrong.append("no tremulant")
    elif trems != "any":
        wrong += [f"tremulant of {t} is not on" for t in trems if _division(here, case, t) not in on and None not in on]
        if not trems and on and not want.get("may_tremulants"):
            wrong.append("a tremulant is on")
    return wrong + _words(want, found)


def _words(want: dict[str, Any], found: dict[str, Any]) -> list[str]:
    substitute = any(b["substitute"] for b in found["because"])
    wrong = []
    if want.get("sub") is True and not substitute and not found["findings"]:
        wrong.append("does not say that this is a substitute")
    if want.get("sub") is False and substitute:
        wrong.append("calls a substitute what was asked for")
    kind = want.get("finding")
    if kind and not substitute and not any(f["rule"] == kind for f in found["findings"]):
        wrong.append(f"no finding {kind}")
    return wrong


def _division(here: Organ, case: Case, name: str) -> str:
    """The id of a division that a case or an answer names."""
    by_name = {key_of(d.name): d.id for d in here.divisions}
    role = (document()["organs"][case.organ]["divisions"].get(name) or {}).get("role")
    by_role = {d.role.value: d.id for d in here.divisions}
    return by_name.get(key_of(name)) or by_role[role]


def _coupler(label: str) -> str:
    return key_of(label)


def _wanted_coupler(here: Organ, case: Case, text: str) -> str:
    path, _, pitch = text.partition("@")
    source, target = path.split(">")
    source_name, target_name = (here.division(_division(here, case, end)).name for end in (source, target))
    return key_of(f"{source_name} to {target_name} {pitch}")
