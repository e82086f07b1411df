"""Which parts are the organ's, and why: told, by sound, by name, by group, else by their staves."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from core.errors import ScoreError
from core.score.quantities import read_int
from core.score.tree import BarElement, Tree
from core.score.words import ScoreWords, folded, score_words
from core.texts import Said, say

Element = etree._Element


@dataclass(frozen=True, slots=True, kw_only=True)
class PartHeader:
    """What the list of parts and a part's first attributes say of it.

    Attributes:
        names: every name it bears: part name, its display form, abbreviation, instrument names.
        clefs: sign of the first clef of each staff ("G", "F", "C"; "" where there is none).
        ossia: staves that show another version or cues, nobody's to play.
        listed: its place in the list of parts, from 0.
        clef_octaves: octave change of the first clef of each staff (-1: an 8 below it).
        octaves: lowest and highest octave number on the lowest staff, looked at only where the clef leaves
            it open whether it is the pedal's.
    """

    id: str
    index: int
    name: str
    names: tuple[str, ...]
    sounds: tuple[str, ...]
    programs: tuple[int, ...]
    groups: tuple[str, ...]
    staves: int
    clefs: tuple[str, ...]
    ossia: frozenset[int]
    listed: int
    clef_octaves: tuple[int, ...]
    octaves: tuple[int, int] | None


def read_headers(tree: Tree) -> tuple[PartHeader, ...]:
    """The header of every part, in the order of the parts."""
    listed: dict[str, tuple[int, Element, tuple[str, ...]]] = {}
    for place, (scored, groups) in enumerate(_listed_parts(tree.root)):
        listed.setdefault(scored.get("id") or "", (place, scored, groups))
    headers = []
    for index, (part_id, bars) in enumerate(zip(tree.part_ids, tree.parts, strict=True)):
        place, scored, groups = listed.get(part_id, (index, etree.Element("score-part"), ()))
        headers.append(_header(part_id, (index, place), scored, groups, bars))
    return tuple(headers)


def _listed_parts(root: Element) -> list[tuple[Element, tuple[str, ...]]]:
    part_list = root.find("part-list")
    open_groups: dict[str, str] = {}
    found = []
    for child in part_list if part_list is not None else ():
        if child.tag == "part-group":
            number = child.get("number") or "1"
            if child.get("type") == "stop":
                open_groups.pop(number, None)
            else:
                open_groups[number] = _text(child.find("group-name"))
        elif child.tag == "score-part":
            found.append((child, tuple(name for name in open_groups.values() if name)))
    return found


def _header(
    part_id: str, places: tuple[int, int], scored: Element, groups: tuple[str, ...], bars: tuple[BarElement, ...]
) -> PartHeader:
    name = _text(scored.find("part-name"))
    display = "".join(e.text or "" for e in scored.iterfind("part-name-display/display-text"))
    instruments = [_text(e) for e in scored.iterfind("score-instrument/instrument-name")]
    short = _text(scored.find("part-abbreviation"))
    names = tuple(dict.fromkeys(n for n in (name, display.strip(), short, *instruments) if n))
    staves, clefs, clef_octaves, ossia = _staves(bars)
    return PartHeader(
        id=part_id,
        index=places[0],
        listed=places[1],
        name=name or display.strip() or (instruments[0] if instruments else "") or part_id,
        names=names,
        sounds=tuple(_text(e) for e in scored.iterfind("score-instrument/instrument-sound")),
        programs=tuple(read_int(e.text, 0) for e in scored.iterfind("midi-instrument/midi-program")),
        groups=groups,
        staves=staves,
        clefs=clefs,
        clef_octaves=clef_octaves,
        ossia=ossia,
        octaves=_octaves(bars, staves, clefs),
    )


def _staves(
    bars: tuple[BarElement, ...],
) -> tuple[int, tuple[str, ...], tuple[int, ...], frozenset[int]]:
    """Number of staves (the most there ever are), first clefs, their octaves, and staves of another version."""
    count = 1
    clefs: dict[int, tuple[str, int]] = {}
    ossia = set()
    for bar in bars:
        for attributes in bar.element.iterchildren("attributes"):
            count = max(count, min(read_int(attributes.findtext("staves"), 1), 64))
            for clef in attributes.iterchildren("clef"):
                octave = read_int(clef.findtext("clef-octave-change"), 0)
                clefs.setdefault(read_int(clef.get("number"), 1), (_text(clef.find("sign")), octave))
            for details in attributes.iterchildren("staff-details"):
                if _text(details.find("staff-type")) in ("ossia", "cue", "alternate"):
                    ossia.add(read_int(details.get("number"), 1))
    first = [clefs.get(staff, ("", 0)) for staff in range(1, count + 1)]
    return count, tuple(sign for sign, _ in first), tuple(octave for _, octave in first), frozenset(ossia)


def _octaves(bars: tuple[BarElement, ...], staves: int, clefs: tuple[str, ...]) -> tuple[int, int] | None:
    """Lowest and highest octave number on the lowest of three or more staves without a bass clef."""
    if staves < 3 or clefs[-1] == "F":
        return None
    seen = [
        read_int(note.findtext("pitch/octave"), 4)
        for bar in bars
        for note in bar.element.iterchildren("note")
        if note.findtext("staff") == str(staves) and note.find("pitch") is not None
    ]
    return (min(seen), max(seen)) if seen else None


def _text(element: Element | None) -> str:
    return " ".join((element.text or "").split()) if element is not None else ""


# -- whose part is it ---------------------------------------------------------------------------------------


def find_organ(
    headers: tuple[PartHeader, ...], told: str | None, path: str | None
) -> tuple[dict[int, Said], dict[int, Said]]:
    """Why each organ part is the organ's, and why each other part is not, by index.

    Raises:
        ScoreError: no part bears the name that was told.
    """
    words = score_words()
    if told is not None:
        chosen = _told(headers, told, path)
        organ = {h.index: say("it was named as the organ's part") for h in chosen}
    else:
        organ = _by_evidence(headers, words)
        if not organ:
            organ = _by_look(headers, words)
    others = {
        h.index: say("another part was named") if told is not None else _why_not(h, words)
        for h in headers
        if h.index not in organ
    }
    return organ, others


def _told(headers: tuple[PartHeader, ...], told: str, path: str | None) -> list[PartHeader]:
    chosen = []
    for name in (n.strip() for n in ([told] if _named(headers, told) else told.split(","))):
        found = _named(headers, name)
        if not found:
            listing = ", ".join(f"{h.id} ({h.name})" for h in headers)
            raise ScoreError(
                f"there is no part {name!r}; the parts are {listing}",
                path=path,
                remedy="Name one of them by its id or name",
            )
        chosen += found
    return chosen


def _named(headers: tuple[PartHeader, ...], name: str) -> list[PartHeader]:
    exact = [h for h in headers if h.id == name]
    if exact:
        return exact
    wanted = folded(name)
    return [h for h in headers if wanted in (folded(h.id), *(folded(n) for n in h.names))]


def _by_evidence(headers: tuple[PartHeader, ...], words: ScoreWords) -> dict[int, Said]:
    organ: dict[int, Said] = {}
    for header in headers:
        why = _evidence(header, words)
        if why is not None:
            organ[header.index] = why
    keyboard_names = {
        h.index: h.name
        for h in headers
        if h.index not in organ and any(_plays_organ_staff(name, words) for name in h.names)
    }
    has_pedal = any(words.is_named("pedal", name) for h in headers for name in h.names)
    if organ or (has_pedal and len(keyboard_names) > 1):
        for index, name in keyboard_names.items():
            if _beside(index, {*organ, *keyboard_names}):
                organ[index] = say("its name, {name}, names a keyboard or hand of the organ", name=name)
    if not organ and has_pedal and all(_is_keyboard_name(h, words) for h in headers):
        organ = {h.index: say("all parts bear names of an organ's keyboards") for h in headers}
    return dict(sorted(organ.items()))


def _is_keyboard_name(header: PartHeader, words: ScoreWords) -> bool:
    return any(_plays_organ_staff(n, words) or words.is_named("division", n) for n in header.names)


def _beside(index: int, others: set[int]) -> bool:
    return index - 1 in others or index + 1 in others


def _evidence(header: PartHeader, words: ScoreWords) -> Said | None:
    for sound in header.sounds:
        if sound.startswith(words.organ_sounds):
            return say("its instrument sound is {sound}", sound=sound)
    foreign_sound = any(s and not s.startswith("keyboard.") for s in header.sounds)
    for name in header.names:
        if words.is_named("organ", name) and not foreign_sound:
            return say("its name, {name}, says organ", name=name)
    for group in header.groups:
        if words.is_named("organ", group) and not words.is_named("other", header.name):
            return say("it stands in the group {group}", group=group)
    named_other = any(words.is_named("other", name) for name in header.names)
    if not header.sounds and not named_other and words.organ_programs.intersection(header.programs):
        return say("its playback program is an organ's")
    return None


def _plays_organ_staff(name: str, words: ScoreWords) -> bool:
    return any(words.is_named(kind, name) for kind in ("pedal", "right", "left", "manuals"))


def _by_look(headers: tuple[PartHeader, ...], words: ScoreWords) -> dict[int, Said]:
    """A guess where nothing names an organ: staves of a keyboard whose name says nothing else."""
    open_ones = [h for h in headers if not _is_other(h, words)]
    for header in open_ones:
        if header.staves >= 3:
            return {header.index: say("a guess: it has {count} staves and no other name", count=header.staves)}
    for header in open_ones:
        if header.staves == 2:
            return {header.index: say("a guess: it has a keyboard's two staves and no other name")}
    if open_ones and len(headers) == 1:
        return {0: say("a guess: it is the only part and has no other name")}
    return {}


def _is_other(header: PartHeader, words: ScoreWords) -> bool:
    sounds = any(s and not s.startswith(words.organ_sounds) for s in header.sounds)
    return sounds or any(words.is_named("other", name) for name in header.names)


def _why_not(header: PartHeader, words: ScoreWords) -> Said:
    for sound in header.sounds:
        if sound and not sound.startswith(words.organ_sounds):
            return say("its instrument sound is {sound}", sound=sound)
    for name in header.names:
        if words.is_named("other", name):
            return say("its name, {name}, says another instrument or voice", name=name)
    return say("nothing says that it is the organ's")
