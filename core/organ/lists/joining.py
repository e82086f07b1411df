"""Finds which divisions a coupler or a tremulant speaks of."""

from __future__ import annotations

from dataclasses import dataclass

from core.organ.lists.drafts import CouplerDraft, DivisionDraft, TremulantDraft
from core.organ.lists.vocabulary import division_words, short_words
from core.organ.model import Coupler, Feet, Half, Tremulant


@dataclass(frozen=True, slots=True)
class Ends:
    """The divisions of an organ with their ids, and the id of the pedal."""

    divisions: list[DivisionDraft]
    ids: list[str]

    def of(self, word: str | int | None, within: int | None) -> list[int]:
        """Indices of the divisions that a reference means, best first."""
        if word is None:
            return [within] if within is not None else []
        if isinstance(word, int):
            return [at for at, d in enumerate(self.divisions) if d.keyboard == word and d.role != "pedal"]
        if word in ("pedal", "main", "upper", "only"):
            return self._custom(word)
        return self._named(word.removeprefix("word:"))

    def _custom(self, word: str) -> list[int]:
        manuals = sorted(
            (at for at, d in enumerate(self.divisions) if d.role != "pedal"),
            key=lambda at: self.divisions[at].keyboard or 99,
        )
        great = [at for at in manuals if self.divisions[at].role == "great"]
        main = great or manuals
        if word == "pedal":
            return [at for at, d in enumerate(self.divisions) if d.role == "pedal"]
        if word == "main":
            return main[:1]
        if word == "only":
            return manuals if len(manuals) == 1 else []
        return [at for at in manuals if at not in main[:1]][:1]

    def _named(self, word: str) -> list[int]:
        exact = [at for at, d in enumerate(self.divisions) if word.removesuffix(" organ") == d.name.casefold()]
        if exact:
            return exact
        meanings = (*division_words().get(word, ()), *short_words().get(word, ()))
        if meanings and meanings[0].exact:
            return []
        found = [
            at
            for one in meanings
            for at, d in enumerate(self.divisions)
            if d.role == one.role and (not d.language or d.language == one.language)
        ]
        found += [at for one in meanings for at, d in enumerate(self.divisions) if d.role == one.role]
        if not found:  # "Choir to Pedal" of an organ whose one such division is called Positive
            other = {"choir": "positive", "positive": "choir"}
            roles = {other[one.role] for one in meanings if one.role in other}
            found = [at for at, d in enumerate(self.divisions) if d.role in roles]
            found = found if len(found) == 1 else []
        return list(dict.fromkeys(found))


def join_coupler(draft: CouplerDraft, ends: Ends) -> Coupler | None:
    """The coupler, the pedal always the receiver; None where an end is not on this organ."""
    within = draft.within
    target_word = draft.target
    sources = ends.of(draft.source, within)
    if draft.manuals and not sources:
        # one manual: a "Koppel ins Manual" can only hang the pedal to it
        sources, target_word = ends.of("main", None), "pedal"
    if target_word == "place":
        pedal_place = within is not None and ends.divisions[within].role == "pedal"
        targets = ends.of("pedal", None) if pedal_place or within is None else [within]
    else:
        targets = ends.of(target_word, within)
    if not sources or not targets:
        return None
    source, target = sources[0], targets[0]
    manuals = [at for at, division in enumerate(ends.divisions) if division.role != "pedal"]
    if draft.source is None and draft.target is None and ends.divisions[source].role == "pedal" and len(manuals) == 1:
        source = target = manuals[0]  # an octave coupler below the pedal of a one-manual organ is the manual's
    if source == target and draft.source != draft.target:
        source = next((at for at in sources if at != target), source)
        target = next((at for at in targets if at != source), target)
    if ends.divisions[source].role == "pedal" and ends.divisions[target].role != "pedal":
        source, target = target, source
    if source == target and draft.pitch == 8 and not draft.unison_off:
        return None
    return Coupler(
        source=ends.ids[source],
        target=ends.ids[target],
        pitch=Feet(draft.pitch),
        half=Half(draft.half) if draft.half else None,
        permanent=draft.permanent,
        unison_off=draft.unison_off,
        text=draft.text,
        lines=draft.lines,
    )


def turned(drafts: list[CouplerDraft], ends: Ends) -> bool:
    """Whether a list puts the receiver first: a slashed coupler with the pedal in front tells."""
    votes = 0
    greats = [_to_great(draft, ends) for draft in drafts if draft.slashed and not isinstance(draft.source, int)]
    for draft in drafts:
        if draft.slashed and not isinstance(draft.source, int):
            first, second = ends.of(draft.source, None), ends.of(draft.target, None)
            if first and second:
                votes += (ends.divisions[first[0]].role == "pedal") - (ends.divisions[second[0]].role == "pedal")
        elif draft.slashed:
            second = ends.of(draft.target, None)
            votes -= bool(second) and ends.divisions[second[0]].role == "pedal"
    if votes == 0 and -1 in greats and 1 not in greats:
        return True  # only "HW-BW" and the like: the main keyboard receives
    return votes > 0


def _to_great(draft: CouplerDraft, ends: Ends) -> int:
    """1 for a coupler to the Great as printed, -1 for one from it to another manual, else 0."""
    first, second = ends.of(draft.source, None), ends.of(draft.target, None)
    if not first or not second or "pedal" in (ends.divisions[first[0]].role, ends.divisions[second[0]].role):
        return 0
    return (ends.divisions[second[0]].role == "great") - (ends.divisions[first[0]].role == "great")


def join_tremulant(draft: TremulantDraft, ends: Ends) -> list[Tremulant]:
    """The tremulants of a draft: of the divisions named, of its own, or of the whole organ."""
    named = [found[0] for word in draft.named if (found := ends.of(word, None))]
    within = draft.within
    if within is not None and ends.divisions[within].role == "pedal":
        within = None  # a tremulant below the couplers at a list's end; the pedal's own is named
    places: list[int | None] = [*dict.fromkeys(named)] or [within]
    return [
        Tremulant(
            division=None if at is None else ends.ids[at],
            name=draft.text[:60] or "Tremulant",
            lines=draft.lines,
        )
        for at in places
    ]
