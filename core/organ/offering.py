"""How the name of a stop that is being typed may go on: from the stop knowledge, with the pitch that is usual there."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from unicodedata import combining, normalize

from core.knowledge.loader import load
from core.organ.completing import Known, Setting, known_of
from core.organ.kinds import StopKind, kinds
from core.organ.model import Family, Feet, Role
from core.organ.shorthand import ShortStop, read_short_stop, write_ranks
from core.organ.specification_stops import settle_numeral
from core.organ.spelling import write_feet
from core.organ.yaml_fields import UnfitError

_PITCH = re.compile(r"^(?P<name>.*?\D)\s+(?P<pitch>[\d⅐-⅞½⅓⅔¼¾][\d\s/.,⅐-⅞½⅓⅔¼¾]*)$")
_ODD_IN_A_NAME = re.compile(r"[\d()&=]|^[XVI]+[ab]?\b")
"""A spelling with a pitch or an explanation in it is for reading old lists, not for offering."""
_COMPOUND = (Family.MIXTURE, Family.COMPOUND)


@dataclass(frozen=True, slots=True)
class StopOffer:
    """One way to go on: the stop's short form, and the family it is of."""

    text: str
    family: Family


def setting_of(role: Role, language: str | None, tradition: str | None) -> Setting:
    """Where a stop is to stand."""
    return Setting(role, language, tradition)


def offer_stops(typed: str, setting: Setting, *, most: int = 7) -> tuple[StopOffer, ...]:
    """Stops whose names go on from what has been typed, the commonest first.

    Args:
        typed: the beginning of a name (of any of its words), perhaps with a pitch after it.
        setting: the division and tradition that decide the usual pitch (the pedal's unison is 16) and the language.
        most: how many at the most.
    """
    found = _PITCH.match(typed.strip())
    stem, pitch = (found["name"], found["pitch"].strip()) if found else (typed, "")
    wanted = folded(stem)
    if len(wanted) < 2:
        return ()
    ranked = sorted(_matches(wanted, setting.language), key=lambda match: match[0])
    offers: dict[str, StopOffer] = {}
    for _, name, kind in ranked[: most * 2]:
        _add(offers, _short(name, kind, setting, pitch), setting)
    if ranked and not pitch:
        _, name, kind = ranked[0]
        for feet in kind.pedal_feet if setting.role is Role.PEDAL else kind.feet:
            _add(offers, f"{name} {write_feet(feet)}", setting)
    return tuple(offer for offer in offers.values() if offer.text != typed.strip())[:most]


def _add(offers: dict[str, StopOffer], text: str, setting: Setting) -> None:
    told = told_of(text, setting)
    if told is not None and text not in offers:
        offers[text] = StopOffer(text, told[1].family)


def told_of(text: str, setting: Setting) -> tuple[ShortStop, Known] | None:
    """A short form as it is read, with what its name tells; None where it is none."""
    try:
        short = settle_numeral(read_short_stop(text), setting, has_composition=False)
    except UnfitError:
        return None
    return short, known_of(short.name, short.pitch, short.ranks, setting)


def _short(name: str, kind: StopKind, setting: Setting, pitch: str) -> str:
    if pitch:
        return f"{name} {pitch}"
    usual: Feet | None = kind.usual_feet(pedal=setting.role is Role.PEDAL)
    if kind.family in _COMPOUND:
        return f"{name} {write_ranks(kind.ranks)}" if kind.ranks else name
    return name if usual is None else f"{name} {write_feet(usual)}"


_Match = tuple[tuple[int, int, bool, bool, int, str], str, StopKind]


def _matches(wanted: str, language: str | None) -> list[_Match]:
    """One spelling of each kind that goes on from what is typed, with its rank."""
    best: dict[str, _Match] = {}
    usual = _usual(language)
    for text, spelling, tongue, kind, common in _index():
        if wanted not in text or not (text.startswith(wanted) or f" {wanted}" in text):
            continue
        is_later = not text.startswith(wanted)
        place = usual.get(text, len(usual))
        is_first = spelling in (kind.name, kind.languages.get(tongue, ("",))[0])
        near = (
            0 if text == wanted and (is_first or text in usual) else 1 if place < len(usual) else 3 if is_later else 2
        )
        rank = (near, place, language is not None and tongue != language, not is_first, -common, text)
        known = best.get(kind.id)
        if known is None or rank < known[0]:
            best[kind.id] = (rank, spelling, kind)
    return list(best.values())


@cache
def _usual(language: str | None) -> dict[str, int]:
    """The names that most organs of a language have, with their places in that order."""
    lists = load("common_stops")
    text = lists.get(language or "en", lists["en"])
    return {folded(name): number for number, name in enumerate(text.split(";"))}


@cache
def _index() -> tuple[tuple[str, str, str, StopKind, int], ...]:
    """Every spelling, folded, with its language and kind, and how common the kind is by its many spellings."""
    found = []
    for kind in kinds():
        common = sum(len(names) for names in kind.languages.values())
        for language, names in kind.languages.items():
            found += [
                (folded(name), name, language, kind, common)
                for name in names
                if len(folded(name)) > 2 and not _ODD_IN_A_NAME.search(name) and not name.isupper()
            ]
    return tuple(found)


def folded(text: str) -> str:
    """Without accents, capitals and signs, so that “recit” finds “Récit”."""
    plain = normalize("NFKD", text.casefold().replace("ø", "o").replace("ß", "ss"))
    letters = "".join(sign for sign in plain if not combining(sign))
    return " ".join(re.sub(r"[^\w]+", " ", letters).split())
