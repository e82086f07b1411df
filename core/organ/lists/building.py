"""Builds the organ from what was gathered."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from core.organ.ids import slug, unused
from core.organ.lists.aids import count_of
from core.organ.lists.boxes import apply_note, box_pedals, tidy
from core.organ.lists.drafts import AidDraft, CouplerDraft, DivisionDraft, StopDraft
from core.organ.lists.finishing import finish_stop
from core.organ.lists.joining import Ends, join_coupler, join_tremulant, turned
from core.organ.lists.keyboards import settle_keyboards
from core.organ.lists.language import guess_language, guess_tradition
from core.organ.lists.lending import with_lenders
from core.organ.lists.pedals import pedal_without_heading
from core.organ.lists.remarks import is_half
from core.organ.lists.siblings import compare_siblings
from core.organ.lists.state import Gathered, Scope
from core.organ.lists.vocabulary import fold, short_words
from core.organ.model import Aid, AidKind, Coupler, Division, Organ, Role, Tremulant
from core.texts import say

_COUNTED_AIDS = frozenset(("general", "divisional", "fixed", "stepper", "reversible", "ventil", "box-pedal"))


def build(gathered: Gathered, text: str, name: str) -> tuple[Organ, set[int]]:
    """The organ, and the lines that something in it came from."""
    divisions = gathered.divisions
    _merge_empty(gathered)
    divisions = gathered.divisions
    language = guess_language(text, divisions)
    tradition = guess_tradition(language, divisions, text)
    pedal_without_heading(gathered)
    _letters(divisions)
    _named_sources(divisions)
    compare_siblings(divisions)
    _write_out(divisions, language)
    _roles(divisions)
    cited: set[int] = set()
    for note in gathered.notes:
        for at in apply_note(note, divisions):
            divisions[at].lines = _with(divisions[at].lines, note.piece.lines)
    box_pedals(gathered.aids, divisions)
    _recits(divisions, gathered.aids)
    _pedal_for_couplers(gathered)
    assumed_keys, assumed = settle_keyboards(divisions, tradition)
    _compasses(gathered.compasses, divisions)
    ids: set[str] = set()
    names = [unused(slug(d.name), ids) for d in divisions]
    made = [
        _division(d, key, by_custom, language, tradition, gathered)
        for d, key, by_custom in zip(divisions, names, assumed_keys, strict=True)
    ]
    made = with_lenders(made, divisions)
    ends = Ends(divisions, names)
    organ = Organ(
        name=name,
        divisions=tuple(made),
        couplers=_couplers(gathered, ends),
        tremulants=_tremulants(gathered, ends),
        aids=_aids(gathered, names),
        language=language,
        tradition=tradition,
        assumed=tuple(assumed),
    )
    cited |= _cited(organ)
    return organ, cited


def _with(lines: tuple[int, ...], more: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(sorted({*lines, *more}))


def _merge_empty(gathered: Gathered) -> None:
    """A heading without stops says something of a division that has some: its compass, its box."""
    divisions = gathered.divisions
    keep: list[int] = []
    moved: dict[int, int | None] = {}
    for at, division in enumerate(divisions):
        if division.stops or (division.role == "pedal" and not any(d.stops and d.role == "pedal" for d in divisions)):
            keep.append(at)
            continue
        twin = next((o for o, d in enumerate(divisions) if d.stops and _same(d, division)), None)
        moved[at] = twin
        if twin is not None:
            other = divisions[twin]
            other.compass = other.compass or division.compass
            other.keyboard = other.keyboard or division.keyboard
            if division.enclosed is not None and not division.by_name:
                other.enclosed = division.enclosed
            other.lines = _with(other.lines, division.lines)
        elif division.role in (None, "manual-1") and division.compass is not None:
            gathered.compasses.append(Scope(whose="manuals", compass=division.compass, lines=division.lines))
    place = {old: new for new, old in enumerate(keep)}

    def at_last(within: int | None) -> int | None:
        if within is None:
            return None
        return place.get(within, place.get(moved.get(within) or -1))

    gathered.divisions = [divisions[at] for at in keep]
    gathered.couplers = [replace(c, within=at_last(c.within)) for c in gathered.couplers]
    gathered.tremulants = [replace(t, within=at_last(t.within)) for t in gathered.tremulants]
    gathered.aids = [replace(a, within=at_last(a.within)) for a in gathered.aids]
    gathered.notes = [replace(n, within=at_last(n.within)) for n in gathered.notes]
    scopes = []
    for scope in gathered.compasses:
        whose = at_last(scope.whose) if isinstance(scope.whose, int) else scope.whose
        if whose is not None:
            scopes.append(replace(scope, whose=whose))
    gathered.compasses = scopes


def _same(one: DivisionDraft, other: DivisionDraft) -> bool:
    if other.role is None:
        return other.keyboard is not None and one.keyboard == other.keyboard
    return one.role == other.role


def _named_sources(divisions: list[DivisionDraft]) -> None:
    """``Octave 4 (Principal)``: a remark that is another stop's name tells whose pipes it has."""
    stops = [stop for division in divisions for stop in division.stops]
    names = {fold(stop.name) for stop in stops}
    found = [
        (stop, remark)
        for stop in stops
        for remark in stop.remarks[:1]
        if stop.borrowed is None and fold(remark) in names and fold(remark) != fold(stop.name) and not is_half(remark)
    ]
    told_kinds = any(fold(remark) == fold(stop.name) for stop in stops for remark in stop.remarks[:1])
    for stop, remark in found if len(found) >= 3 and not told_kinds else ():  # "Principal 8 (Principal)": the kind
        stop.borrowed = remark


def _letters(divisions: list[DivisionDraft]) -> None:
    """``Trompet 8 B``, ``Cornet D``: halves, where the list has no other letters behind its stops."""
    stops = [stop for division in divisions for stop in division.stops if stop.code]
    codes = {stop.code for stop in stops}
    halves = codes <= {"B", "D", "T", "S"} and (codes & {"D", "T"} or codes >= {"B", "S"})
    if halves and len(stops) >= 3:
        for division in divisions:
            for stop in division.stops:
                _letter_of_name(stop)
    if halves:
        for stop in stops:
            stop.half_word = stop.half_word if stop.half else stop.code
            stop.half = stop.half or ("bass" if stop.code == "B" else "treble")
            stop.remarks = [remark for remark in stop.remarks if remark != stop.code]


def _letter_of_name(stop: StopDraft) -> None:
    """``Flutta S.``, ``Ottavino s``: where halves have letters, one at a name's end is such a letter too."""
    found = re.fullmatch(r"(?P<name>.{3,}?)\s+(?P<letter>[BSDTbsdt])\.?", stop.name)
    if found and stop.half is None and not stop.code:
        stop.name, stop.half_word = found["name"], found["letter"]
        stop.half = "bass" if found["letter"] in "Bb" else "treble"


def _write_out(divisions: list[DivisionDraft], language: str | None) -> None:
    """An abbreviated heading (``BW``) means what it means in the list's language."""
    for division in divisions:
        for word in division.shorts:
            meant = next((one for one in short_words().get(word, ()) if one.language == language), None)
            if meant is not None:
                division.name, division.role, division.language = meant.name, meant.role, meant.language
                division.recit, division.weak = meant.recit, meant.weak
                if division.enclosed is None or division.by_name:
                    division.enclosed, division.by_name = (True, True) if meant.enclosed else (None, False)


def _roles(divisions: list[DivisionDraft]) -> None:
    """A role for what has none, and none twice where a keyboard tells them apart."""
    manuals = [d for d in divisions if d.role != "pedal"]
    if len([d for d in divisions if d.role is None]) and not any(d.role == "pedal" for d in divisions):
        last = divisions[-1]
        low = [s for s in last.stops if s.pitch is not None and s.pitch >= 16]
        if len(divisions) > 1 and last.role is None and last.keyboard is None and len(low) * 2 >= len(last.stops):
            last.role = "pedal"
    for number, division in enumerate(manuals, 1):
        if division.role is None:
            division.role = f"manual-{min(division.keyboard or number, 5)}"
    counts = Counter(d.role for d in manuals)
    for division in manuals:
        if division.weak and counts[division.role] > 1 and division.keyboard:
            division.role = f"manual-{min(division.keyboard, 5)}"


def _recits(divisions: list[DivisionDraft], aids: list[AidDraft]) -> None:
    """A plain Récit is in a box where the list names an expression pedal, else the source is silent."""
    if any(aid.kind == "box-pedal" and "expressi" in fold(aid.text) for aid in aids):
        for division in divisions:
            if division.recit and division.enclosed is None:
                division.enclosed = True


def _pedal_for_couplers(gathered: Gathered) -> None:
    """A pedal that only has couplers is a division without stops."""
    if any(d.role == "pedal" for d in gathered.divisions):
        return
    ends = Ends(gathered.divisions, [])
    from core.organ.lists.couplers import is_pedal

    lines = sorted(
        {
            n
            for c in gathered.couplers
            if c.target in ("pedal",) or any(e is not None and is_pedal(e) for e in (c.source, c.target))
            for n in c.lines
        }
    )
    if lines and ends.divisions:
        gathered.divisions.append(DivisionDraft(name="Pedal", role="pedal", keyboard=None, lines=tuple(lines)))


def _compasses(scopes: list[Scope], divisions: list[DivisionDraft]) -> None:
    for scope in scopes:
        for at, division in enumerate(divisions):
            if _in_scope(scope.whose, at, division) and (division.compass is None or scope.whose not in ("manuals",)):
                division.compass = division.compass if scope.whose == "manuals" and division.compass else scope.compass
                division.lines = _with(division.lines, scope.lines)


def _in_scope(whose: str | int | None, at: int, division: DivisionDraft) -> bool:
    if isinstance(whose, int):
        return whose == at
    if whose == "pedal":
        return division.role == "pedal"
    if whose == "manuals":
        return division.role != "pedal"
    from core.organ.lists.vocabulary import division_words

    meanings = division_words().get(str(whose).removeprefix("word:"), ())
    return any(one.role == division.role for one in meanings)


def _division(
    draft: DivisionDraft,
    key: str,
    by_custom: bool,
    language: str | None,
    tradition: str | None,
    gathered: Gathered,
) -> Division:
    taken: set[str] = set()
    if draft.count is not None and draft.stops and draft.count != len(draft.stops):
        said = say("the heading says {said} stops, {found} are listed", said=draft.count, found=len(draft.stops))
        gathered.doubts.append((draft.lines[0] if draft.lines else 1, said))
    for stop in draft.stops:
        tidy(stop, draft)
        stop.first = draft.first if stop.first is None else stop.first
    stops = tuple(finish_stop(stop, draft, key, taken, language, tradition) for stop in draft.stops)
    gathered.doubts.extend(doubt for stop in draft.stops for doubt in stop.doubts)
    for stop in draft.stops:
        if stop.prepared:
            gathered.doubts.append(
                (stop.lines[0], say("{stop} is said to be prepared for or no pipes", stop=stop.name))
            )
    compass = draft.compass
    pedal = draft.role == "pedal"
    return Division(
        id=key,
        name=draft.name,
        role=Role(draft.role or "manual-1"),
        keyboard="pedal" if pedal else (f"manual-{draft.keyboard}" if draft.keyboard else None),
        keyboard_assumed=by_custom,
        stops=stops,
        enclosed=draft.enclosed,
        compass=(compass.low, compass.high) if compass else None,
        missing=compass.missing if compass else frozenset(),
        remark=draft.remark,
        lines=draft.lines,
    )


def _couplers(gathered: Gathered, ends: Ends) -> tuple[Coupler, ...]:
    gathered.couplers = [one for draft in gathered.couplers for one in _spelt_out(draft, gathered)]
    swap = turned(gathered.couplers, ends)
    made: dict[tuple[object, ...], Coupler] = {}
    for draft in gathered.couplers:
        one = (
            replace(draft, source=draft.target, target=draft.source)
            if swap and draft.slashed and _receiver_first(draft)
            else draft
        )
        coupler = join_coupler(one, ends)
        if coupler is None:
            continue
        key = (coupler.source, coupler.target, coupler.pitch, coupler.half, coupler.unison_off)
        known = made.get(key)
        made[key] = coupler if known is None else replace(known, lines=_with(known.lines, coupler.lines))
    return tuple(made.values())


def _receiver_first(draft: CouplerDraft) -> bool:
    """In a list that puts the receiver first, a pair of numbers does so where the lower comes first."""
    if not isinstance(draft.source, int):
        return True
    return isinstance(draft.target, int) and draft.source < draft.target


def _spelt_out(draft: CouplerDraft, gathered: Gathered) -> list[CouplerDraft]:
    """``Normalkoppeln`` as the couplers that they are."""
    if draft.source not in ("all", "each"):
        return [draft]
    numbers = sorted({d.keyboard for d in gathered.divisions if d.role != "pedal" and d.keyboard}, reverse=True)
    if draft.source == "each":
        many = numbers if len(numbers) == draft.count else numbers[-1:]
        return [replace(draft, source=number, target="pedal") for number in reversed(many)]
    pairs = [(high, low) for high in numbers for low in numbers if low < high]
    made = [replace(draft, source=high, target=low) for high, low in pairs]
    if any(d.role == "pedal" for d in gathered.divisions):
        made += [replace(draft, source=number, target="pedal") for number in reversed(numbers)]
    said = say("the usual couplers are taken to be those of each manual to the lower ones and to the pedal")
    gathered.doubts.append((draft.lines[0], said))
    return made


def _tremulants(gathered: Gathered, ends: Ends) -> tuple[Tremulant, ...]:
    found = [tremulant for draft in gathered.tremulants for tremulant in join_tremulant(draft, ends)]
    made: dict[tuple[object, ...], Tremulant] = {(t.division, t.lines, t.name): t for t in found}
    return tuple(made.values())


def _aids(gathered: Gathered, names: list[str]) -> tuple[Aid, ...]:
    return tuple(
        Aid(
            kind=AidKind(draft.kind),
            text=draft.text,
            division=names[draft.within] if draft.within is not None else None,
            count=count_of(draft.text) if draft.kind in _COUNTED_AIDS else None,
            lines=draft.lines,
        )
        for draft in gathered.aids
    )


def _cited(organ: Organ) -> set[int]:
    things: list[tuple[int, ...]] = [d.lines for d in organ.divisions]
    things += [s.lines for d in organ.divisions for s in d.stops]
    things += [c.lines for c in organ.couplers]
    things += [t.lines for t in organ.tremulants]
    things += [a.lines for a in organ.aids]
    return {line for lines in things for line in lines}
