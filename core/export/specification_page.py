"""An organ's specification as organ booklets print it: divisions in columns, couplers, aids, notes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator

from core.export.paper import Column, Flow, Group, Paper, Row, Run, Runs, plain, row
from core.export.printed import roman, set_compass, set_composition, set_coupler, set_key, set_pitch
from core.export.specification_stops import StopNotes
from core.organ.model import Aid, AidKind, Coupler, Division, Key, Organ, Role, is_enclosed
from core.organ.summary import silences
from core.texts import Said, say

Catalogue = Callable[[str], str]
Keys = tuple[tuple[Key, Key], frozenset[Key]]

_STOP_COLUMNS = (Column(), Column(share=0, right=True))
_COLUMNS_FROM = 34  # so many stops, and three columns stand better than two
_LONG_NAME = 25
_FEET_AT_END = re.compile(r"\s(?:16|8|4)$")
_TREMULANT_WORDS = 3  # more is a sentence about several
_NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven")
_AID_GROUPS = (
    {
        AidKind.GENERAL: say("Combinations"),
        AidKind.DIVISIONAL: say("Combinations"),
        AidKind.STEPPER: say("Combinations"),
        AidKind.CANCEL: say("Combinations"),
    },
    {
        AidKind.REVERSIBLE: say("Reversibles"),
        AidKind.FIXED: say("Fixed combinations"),
        AidKind.TUTTI: say("Fixed combinations"),
        AidKind.VENTIL: say("Ventils"),
    },
    {AidKind.BOX: say("Pedals"), AidKind.CRESCENDO: say("Pedals")},
    {AidKind.OTHER: say("Other accessories")},
)


def specification_page(organ: Organ, *, large: bool = False, catalogue: Catalogue = str) -> Paper:
    """The page.

    Args:
        organ: what is printed.
        large: in large print.
        catalogue: gives a template in the reader's language; English without one.
    """
    page = _Page(organ, catalogue)
    divisions = tuple(page.division(division) for division in organ.divisions)
    columns = _columns(organ, large=large)
    aids = tuple(page.aids())
    after = tuple(group for group in (page.couplers(across=1 if aids else columns), *aids) if group.rows)
    notes = tuple(group for group in page.notes() if group.rows)
    flows = [Flow(groups=divisions, columns=columns)] if divisions else []
    flows += [Flow(groups=after, columns=min(columns, max(1, len(after))))] if after else []
    flows += [Flow(groups=notes, columns=1 if large else 2)] if notes else []
    return Paper(title=organ.name, under=page.under(), flows=tuple(flows), large=large)


def _columns(organ: Organ, *, large: bool) -> int:
    stops = [stop for division in organ.divisions for stop in division.stops]
    if len(organ.divisions) < 2:
        return 1 if len(stops) < 12 else 2
    is_wide = sum(len(stop.name) > _LONG_NAME for stop in stops) * 4 > len(stops)
    return 2 if large or is_wide or (len(stops) < _COLUMNS_FROM and len(organ.divisions) != 3) else 3


class _Page:
    """Makes the groups of one organ's page."""

    def __init__(self, organ: Organ, catalogue: Catalogue) -> None:
        self.organ = organ
        self.catalogue = catalogue
        self.stop_notes = StopNotes(self.say)
        self.has_box = any(is_enclosed(d, s) for d in organ.divisions for s in d.stops)
        self.common = {pedal: _common(organ, pedal=pedal) for pedal in (False, True)}

    def say(self, template: str, /, **values: object) -> str:
        """A template in the reader's language, filled."""
        return Said(template, tuple(sorted(values.items()))).translated(self.catalogue)

    # the head

    def under(self) -> tuple[str, ...]:
        """The lines under the organ's name."""
        organ = self.organ
        lines = [organ.place, organ.builder]
        if organ.invented and "invented" not in f"{organ.place} {organ.builder}":
            lines.append(self.say("An invented organ"))
        return tuple(line for line in (*lines, organ.remark, self._count(), self._compasses()) if line)

    def _count(self) -> str:
        manuals = {d.keyboard for d in self.organ.manuals if d.keyboard} or {d.id for d in self.organ.manuals}
        stops = sum(len(division.stops) for division in self.organ.divisions)
        number = _NUMBERS[len(manuals)] if len(manuals) < len(_NUMBERS) else str(len(manuals))
        keyboards = self.say("{number} manual" if len(manuals) == 1 else "{number} manuals", number=self.say(number))
        if self.organ.pedal is not None:
            keyboards = self.say("{manuals} and pedal", manuals=keyboards)
        return f"{keyboards} · " + self.say("{count} stop" if stops == 1 else "{count} stops", count=stops)

    def _compasses(self) -> str:
        manual, pedal = self.common[False], self.common[True]
        parts = []
        if manual:
            parts.append(self.say("manuals {compass}", compass=self._keys(manual)))
        if pedal:
            parts.append(self.say("pedal {compass}", compass=self._keys(pedal)))
        return self.say("Compass: {parts}", parts="; ".join(parts)) if parts else ""

    def _keys(self, keys: Keys) -> str:
        """A compass with its number of notes, and which are wanting."""
        (low, high), missing = keys
        count = high - low + 1 - len(missing)
        text = self.say("{compass} ({keys} notes)", compass=set_compass(low, high), keys=count)
        names = ", ".join(set_key(key) for key in sorted(missing))
        return self.say("{compass}, without {keys}", compass=text, keys=names) if names else text

    # divisions

    def division(self, division: Division) -> Group:
        """A division with its stops and tremulants."""
        rows = [Row(cells=(self.stop_notes.name(division, stop), plain(set_pitch(stop)))) for stop in division.stops]
        for tremulant in self.organ.tremulants:
            if tremulant.division == division.id:
                name = tremulant.name if len(tremulant.name.split()) <= _TREMULANT_WORDS else self.say("Tremulant")
                rows.append(Row(cells=((Run(name, italic=True),), ())))
        note = " · ".join(self._division_note(division))
        return Group(heading=division.name, note=note, rows=tuple(rows), columns=_STOP_COLUMNS)

    def _division_note(self, division: Division) -> Iterator[str]:
        keyboard = division.keyboard or ""
        if keyboard.startswith("manual-"):
            assumed = "*" if division.keyboard_assumed else ""
            yield self.say("Manual {number}", number=roman(int(keyboard.removeprefix("manual-")))) + assumed
        elif division.role is not Role.PEDAL:
            yield self.say("floating") if division.also_on else self.say("keyboard not stated")
        if division.also_on:
            others = ", ".join(self._keyboard(keyboard) for keyboard in division.also_on)
            yield self.say("also from {keyboards}", keyboards=others)
        if division.enclosed:
            yield self.say("enclosed")
        elif division.enclosed is False and self.has_box and division.role is not Role.PEDAL:
            yield self.say("unenclosed")
        if division.compass and (division.compass, division.missing) != self.common[division.role is Role.PEDAL]:
            yield self._keys((division.compass, division.missing))
        if division.remark:
            yield division.remark

    def _keyboard(self, keyboard: str) -> str:
        number = keyboard.removeprefix("manual-")
        return self.say("Manual {number}", number=roman(int(number))) if number.isdigit() else self.say("Pedal")

    # couplers and aids

    def couplers(self, across: int) -> Group:
        """The couplers, and tremulants of the whole organ, so many side by side."""
        texts = [self._coupler(coupler) for coupler in self.organ.couplers]
        texts += [tremulant.name for tremulant in self.organ.tremulants if tremulant.division is None]
        deep = -(-len(texts) // across)
        rows = tuple(row(*(texts[at::deep] + [""] * across)[:across]) for at in range(deep))
        return Group(heading=self.say("Couplers"), rows=rows, columns=(Column(),) * across)

    def _coupler(self, coupler: Coupler) -> str:
        text = coupler.text.strip()
        if not text:
            return set_coupler(self.organ, coupler).translated(self.catalogue)
        half = (
            f" ({self.say(coupler.half.value)})" if coupler.half and coupler.half.value not in text.casefold() else ""
        )
        return text + half + (f" ({self.say('permanent')})" if coupler.permanent else "")

    def aids(self) -> Iterator[Group]:
        """The playing aids by kind."""
        for headings in _AID_GROUPS:
            found = [aid for aid in self.organ.aids if aid.kind in headings]
            if found:
                names = dict.fromkeys(headings[aid.kind].translated(self.catalogue) for aid in found)
                yield Group(heading=", ".join(names), rows=tuple(Row(cells=(self._aid(aid),)) for aid in found))

    def _aid(self, aid: Aid) -> Runs:
        moves = f": {aid.moves}" if aid.moves and aid.moves.casefold() != aid.text.casefold() else ""
        reach = ", ".join(self.say(reach.value) for reach in aid.reach)
        return (
            Run(aid.text[:1].upper() + aid.text[1:] + moves),
            *((Run(f" ({reach})", italic=True),) if reach else ()),
        )

    # notes

    def notes(self) -> Iterator[Group]:
        """Footnotes, compositions, how keys and pitches are written, what is assumed or not said."""
        yield Group(rows=self.stop_notes.rows(), columns=(Column(share=0, right=True), Column()), small=True)
        yield Group(heading=self.say("Compound stops"), rows=tuple(self._compositions()), small=True)
        assumed = list(dict.fromkeys(said.translated(self.catalogue) for said in self.organ.assumed))
        if any(division.keyboard_assumed for division in self.organ.divisions):
            assumed.append(self.say("* the keyboard by custom, not by the source"))
        yield Group(heading=self.say("Assumed"), rows=_sentences(assumed), small=True)
        yield Group(heading=self.say("Not stated"), rows=_sentences(self._not_stated()), small=True)
        yield Group(rows=(Row(cells=((Run(self._legend(), italic=True),),)),), small=True)

    def _compositions(self) -> Iterator[Row]:
        for division in self.organ.divisions:
            pedal = division.role is Role.PEDAL
            for stop in division.stops:
                if stop.composition and not stop.composition_assumed:
                    first, *others = stop.composition
                    text = set_composition(first.feet, pedal=pedal)
                    for part in others:
                        text += f"; {set_key(part.key)} {set_composition(part.feet, pedal=pedal)}"
                    where = f"{division.name}: {stop.name} {set_pitch(stop)}".rstrip()
                    yield Row(cells=((Run(where, italic=True), Run(f"  {text}")),))

    def _not_stated(self) -> Iterator[str]:
        """What the summary says is silent, but not again what stands under what is assumed."""
        assumed = {d.name for d in self.organ.divisions if d.keyboard_assumed}
        for text in silences(self.organ):
            if not any(text.startswith(f"{name}: which keyboard") for name in assumed):
                yield text

    def _legend(self) -> str:
        return self.say(
            "Pitches in feet: 8′ sounds as it is written. Keys: C is the lowest C of the keyboards, c¹ middle C."
        )


def _sentences(texts: Iterable[str]) -> tuple[Row, ...]:
    return tuple(row(text[:1].upper() + text[1:]) for text in texts)


def _common(organ: Organ, *, pedal: bool) -> Keys | None:
    """The compass that most of the manuals, or the pedal, state, with the keys it lacks."""
    stated = [(d.compass, d.missing) for d in organ.divisions if (d.role is Role.PEDAL) is pedal and d.compass]
    return Counter(stated).most_common(1)[0][0] if stated else None
