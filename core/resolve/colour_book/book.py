"""The whole colour book of an organ."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from core.organ.model import Organ
from core.resolve.colour_book.accompanying import Accompanists
from core.resolve.colour_book.customs import ANY, customs, is_custom_of, sections
from core.resolve.colour_book.gaps import gaps
from core.resolve.colour_book.making import made
from core.resolve.colour_book.model import Book, Colour
from core.resolve.colour_book.solos import pairs, solos
from core.texts import Said


def colour_book(organ: Organ, *, tradition: str | None = None) -> Book:
    """Every customary colour that an organ has, and those it has not.

    Args:
        organ: the organ.
        tradition: only customs of this tradition and everybody's; None: of all.
    """
    wanted = [one for one in customs() if is_custom_of(one.traditions, tradition)]
    accompanists = Accompanists(organ)
    found = list(pairs(organ))
    found += (colour for custom in wanted for colour in made(organ, custom, accompanists))
    found += (one for one in solos(organ, accompanists) if is_custom_of(one.traditions, tradition))
    lacking = tuple(gaps(organ, wanted, found))
    return Book(organ=organ, colours=tuple(_in_order(organ, _merged(found, organ.tradition))), gaps=lacking)


def _merged(found: Iterable[Colour], own: str | None) -> Iterator[Colour]:
    """Colours of a section that are the same stops are one: the own tradition's name first, the others beside it."""
    groups: dict[object, list[Colour]] = {}
    for one in found:
        key = (one.section, one.division, frozenset(one.stops), one.couplers, one.tremulant, one.box)
        groups.setdefault(key, []).append(one)
    for group in groups.values():
        first, *others = sorted(group, key=lambda c: _strangeness(c.traditions, own))
        names: tuple[Said, ...] = (*first.also, *(n for c in others for n in (c.name, *c.also)))
        sounds = (*first.sounds, *(s for c in others for s in c.sounds))
        traditions = (*first.traditions, *(t for c in others for t in c.traditions))
        also = tuple({str(n): n for n in names if str(n) != str(first.name)}.values())
        yield replace(
            first, also=also, sounds=tuple(dict.fromkeys(sounds)), traditions=tuple(dict.fromkeys(traditions))
        )


def _strangeness(traditions: Sequence[str], own: str | None) -> int:
    """0 for a custom of the organ's own tradition, 1 for everybody's, 2 for another's."""
    if own in traditions:
        return 0
    return 1 if ANY in traditions or own is None else 2


def _in_order(organ: Organ, found: Iterable[Colour]) -> list[Colour]:
    """By section; within one as the data has them, what the organ's own tradition knows first."""
    order = {section: number for number, (section, _) in enumerate(sections())}
    return sorted(found, key=lambda c: (order[c.section], _strangeness(c.traditions, organ.tradition) > 1))
