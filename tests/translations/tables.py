"""Where the texts stand that cannot be followed in the sources: knowledge in YAML, enumerations, what is put together.

Each entry of `ELSEWHERE` names an expression of the sources and what it can be; the test fails where one is no longer
met.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import Any

from app.actions import ACTIONS, keys_page
from core.compare.needs import _AIDS
from core.knowledge.loader import load
from core.markings.house_style import BUILT_IN, read_style
from core.markings.meanings import groups, meanings
from core.markings.user_words import known_words
from core.organ.beginning import beginnings
from core.organ.model import Family, Half, Reach, Role
from core.resolve.keyboards import NAMES
from core.score import attributes, directions, lengths, reading, timeline

_HANDS = ("right", "left")
_BOXES = ("open", "half", "closed", "opening", "closing")
Words = Callable[[], Iterable[str]]


def _under(data: Any, *keys: str) -> Iterator[str]:
    """All words that stand under one of the keys, however deep."""
    if isinstance(data, dict):
        for key, value in data.items():
            if key in keys:
                yield from [value] if isinstance(value, str) else filter(None, value if isinstance(value, list) else [])
            yield from _under(value, *keys)
    elif isinstance(data, list):
        yield from chain.from_iterable(_under(one, *keys) for one in data)


def _colours() -> Iterator[str]:
    data = load("colours")
    yield from _under(data, "name", "named", "why", "caution", "also", "title")


def _colour_names() -> Iterator[str]:
    yield from _under(load("colours"), "name", "named")


def _keyboards() -> Iterator[str]:
    data = load("keyboards")
    yield from data["why"].values()
    yield from (one["custom"] for one in data["numbers"].values())


def _halves() -> list[str]:
    return [half.value for half in Half]


def _reaches() -> list[str]:
    return [reach.value for reach in Reach]


def _families() -> Iterator[str]:
    for family in [*(f.value for f in Family), "foundation"]:
        yield family.capitalize() + "s"


def _asked_families() -> Iterator[str]:
    yield from (f"{family.value}s" for family in Family)
    yield from ("foundations", "plenum", "full", "ft", "stops")


def _requests() -> list[str]:
    return ["cancel", *(f"box {state}" for state in _BOXES)]


def _keys() -> Iterator[str]:
    named = {key for action in ACTIONS for key in action.keys}
    for keys, _ in keys_page():
        for key in keys.split(" or "):
            if key not in named and "+" not in key:
                yield key


def _tips() -> list[str]:
    return [what for _, what in keys_page()]


def _styles() -> list[str]:
    return [read_style(name).title for name in BUILT_IN]


def _troubles() -> Iterator[str]:
    """What reading a score repairs; `trouble` is given them."""
    for module in (attributes, directions, lengths, reading, timeline):
        for name, value in vars(module).items():
            if isinstance(value, str) and "{bar}" in value and name.strip("_").isupper():
                yield value


def _traditions() -> list[str]:
    return [one.words for one in beginnings()]


NO_WORDS = frozenset({"division", "try", "{stop} {pitch}"})
"""Met in tables of words, but never shown."""

ELSEWHERE: dict[str, Words] = {
    "app/actions.py: key": _keys,
    "app/colours_rows.py: titles": lambda: [one["title"] for one in load("colours")["sections"]],
    "app/colours_words.py: tradition": _traditions,
    "app/doing.py: what": _tips,
    "app/lane.py: box": list,
    "app/sentences.py: box": list,
    "app/marking_card.py: because.request": _requests,
    "app/trial_words.py: because.request": _requests,
    "app/organ_rows.py: asked.capitalize()": lambda: [role.value.capitalize() for role in Role if "-" not in role],
    "app/organ_rows.py: one.value": _reaches,
    "app/organ_rows.py: coupler.half.value": _halves,
    "app/organ_rows.py: stop.half.value": _halves,
    "app/organ_rows.py: request.family.capitalize() + 's'": _families,
    "app/paste_reading.py: stop.half.value": _halves,
    "app/style_choice.py: read_style(name).title": _styles,
    "app/papers_fields.py: read_style(name).title": _styles,
    "core/compare/needs.py: quality": list,  # as in core/resolve/candidates.py
    "core/compare/needs.py: request.family": lambda: [family.value for family in Family],
    "app/papers_made.py: stage": list,  # analysis says them
    "app/compare_organs.py: row.asked": list,  # names of roles
    "app/spec_division_card.py: one.words": _traditions,
    "app/spec_new.py: one.words": _traditions,
    "app/teach_card.py: one.words": lambda: [one.words for one in meanings()],
    "app/teach_card.py: words": lambda: groups().values(),
    "app/teach_card.py: name": lambda: ["English", "French", "German", "Italian", "Spanish", "Dutch", "Latin"],
    "app/window.py: spec.title": lambda: [one.title for one in ACTIONS],
    "app/window.py: spec.tip": lambda: [one.tip for one in ACTIONS],
    "core/checks/assigning.py: hand": lambda: _HANDS,
    "core/checks/changing.py: hand": lambda: _HANDS,
    "core/checks/idle.py: state": lambda: _BOXES,
    "core/checks/reach.py: hand": lambda: _HANDS,
    "core/compare/questions.py: stop.family.value": lambda: [family.value for family in Family],
    "core/markings/explaining.py: value": lambda: _BOXES,
    "core/practice/ways.py: maker.who.value": lambda: _HANDS,
    "core/resolve/aids.py: state": lambda: _BOXES,
    "core/resolve/candidates.py: quality": lambda: sorted(known_words()["quality"]),
    "core/resolve/candidates.py: request.half.value": _halves,
    "core/resolve/candidates.py: family": _asked_families,
    "core/resolve/keyboards.py: NAMES.get(role, role)": lambda: NAMES.values(),
    "core/export/needs_page.py: one.asked": lambda: NAMES.values(),
    "core/export/needs_page.py: name": lambda: ("Manual keys", "Pedal keys", "full"),
    "core/export/needs_page.py: need.what": lambda: _AIDS.values(),
    "core/export/sheet.py: state": lambda: _BOXES,
    "core/export/sheet.py: asked": list,  # words of the score
    "core/export/specification_stops.py: stop.half.value": _halves,
    "core/export/printed.py: coupler.half.value": _halves,
    "core/export/specification_page.py: str(len(manuals))": list,
    "core/export/specification_page.py: reach.value": _reaches,
    "core/export/specification_page.py: coupler.half.value": _halves,
    "core/organ/names.py: rule['why']": lambda: _under(load("stops/homonyms"), "why"),
    "core/organ/specification.py: text": list,  # what the file itself says
    "core/resolve/choosing.py: why.template": list,  # another message with other values
    "core/resolve/choosing.py: found.why": lambda: _under(load("recipes"), "why"),
    "core/resolve/colour_book/accompanying.py: offer.support.name": _colour_names,
    "core/resolve/colour_book/accompanying.py: offer.half.value": _halves,
    "core/resolve/colour_book/customs.py: ladder['name']": _colours,
    "core/resolve/colour_book/customs.py: ladder['why']": list,
    "core/resolve/colour_book/gaps.py: custom.name.template": list,
    "core/resolve/colour_book/gaps.py: custom.named": list,
    "core/resolve/colour_book/making.py: custom.name.template": list,
    "core/resolve/colour_book/making.py: custom.caution": list,
    "core/resolve/colour_book/solos.py: custom.named": list,
    "core/resolve/colour_book/solos.py: company.name": list,
    "core/resolve/colour_book/solos.py: company.why": list,
    "core/resolve/colour_book/solos.py: manner.why": list,
    "core/resolve/keyboards.py: template": _keyboards,
    "core/resolve/keyboards.py: numbers_data['custom']": list,
    "core/score/gathering.py: kind": _troubles,
    "core/texts.py: between.join((f'{{{name}}}' for name in values))": list,
}
