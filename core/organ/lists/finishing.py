"""Turns a stop as printed into a stop of the organ: true pitch, ranks or name's number, family, first key."""

from __future__ import annotations

from core.organ.ids import stop_slug, unused
from core.organ.lists.drafts import DivisionDraft, StopDraft
from core.organ.lists.knowing import look_up
from core.organ.lists.vocabulary import fold, pattern
from core.organ.mixtures import composition_from, read_ranks
from core.organ.model import Family, Feet, Half, Ranks, Stop
from core.organ.names import Match
from core.organ.pitch import true_feet
from core.organ.spelling import write_feet
from core.texts import say

_TIERCES = {Feet(2): Feet(8, 5), Feet(4): Feet(16, 5), Feet(1): Feet(4, 5)}
"""A Terz "aus 2 Fuß" is the tierce above it, by the custom of old lists."""
_COMPOUND = (Family.MIXTURE, Family.COMPOUND)


def finish_stop(
    draft: StopDraft,
    division: DivisionDraft,
    division_id: str,
    taken: set[str],
    language: str | None,
    tradition: str | None,
) -> Stop:
    """The stop of a draft; its doubts are left in the draft."""
    pedal = division.role == "pedal"
    ranks = draft.ranks or (read_ranks(draft.numeral) if draft.numeral else None)
    match = look_up(draft.name, pedal=pedal, pitch=draft.pitch, ranks=ranks, language=language, tradition=tradition)
    compound = match is not None and match.family in _COMPOUND
    _ranks_or_feet(draft, match, compound, pedal=pedal)
    name, ranks = _numeral(draft, match, compound)
    match = look_up(name, pedal=pedal, pitch=draft.pitch, ranks=ranks, language=language, tradition=tradition) or match
    if match and match.family in _COMPOUND and draft.numeral and ranks is None:
        name, ranks = draft.name, read_ranks(draft.numeral)
    if draft.summed and ranks is None and match and match.family in _COMPOUND:
        ranks = Ranks(2, 2)
    family = match.family if match else _unknown_family(draft, ranks)
    if family in (Family.FLUTE, Family.STRING, Family.PRINCIPAL) and _beats(draft):
        family = Family.CELESTE
    if ranks and ranks.low >= 2 and draft.pitch is None and family is Family.PRINCIPAL and draft.name:
        family = Family.MIXTURE  # a Doublette of two ranks, a Rauschquint by another name
    old_flute = _is_old_flute(draft, division, language)
    pitch = _pitch(draft, match, name, family, pedal, old_flute=old_flute)
    if draft.half is None and draft.first is not None and 59 <= draft.first <= 62 and family in _COMPOUND:
        draft.half = "treble"
    half = {"bass": Half.BASS, "treble": Half.TREBLE}.get(draft.half or "")
    feet = draft.ordinals
    return Stop(
        id=unused(f"{division_id}/{stop_slug(name, pitch, half)}", taken),
        name=name,
        pitch=pitch,
        family=family,
        ranks=ranks,
        composition=composition_from(feet, ranks=ranks) if feet and family in _COMPOUND else (),
        kind=match.kind.id if match else None,
        guess=match is None or match.guess,
        loudness=match.loudness if match else 5,
        compass=(draft.first, None),
        half=half,
        half_word=draft.half_word if half else "",
        enclosed=draft.enclosed,
        borrowed=draft.borrowed,
        on_ventil=draft.on_ventil,
        in_use=not draft.prepared,
        remark="; ".join(r for r in draft.remarks if r not in (draft.borrowed, draft.half_word)),
        lines=draft.lines,
    )


def _beats(draft: StopDraft) -> bool:
    """``Lamento 8' (Schwebung)``: a remark that the stop is tuned to beat with another."""
    return any(pattern("beating").search(fold(remark)) for remark in draft.remarks)


def _ranks_or_feet(draft: StopDraft, match: Match | None, compound: bool, *, pedal: bool) -> None:
    """``3 f.`` of a Cornet is three ranks, of a Flöte three feet; ``2 F.`` of a pedal Cornet is a reed's pitch."""
    if draft.rank_or_feet is None or draft.ranks is None or draft.pitch is not None:
        return
    reed = pedal and match is not None and match.kind.id in ("cornet", "pedal-cornet") and draft.rank_or_feet in (2, 4)
    if compound and not reed:
        return
    if reed:
        draft.pitch, draft.ranks = draft.rank_or_feet, None
        return
    if match is not None and match.family is not Family.CELESTE:
        draft.pitch, draft.ranks = draft.rank_or_feet, None


def _numeral(draft: StopDraft, match: Match | None, compound: bool) -> tuple[str, Ranks | None]:
    """Roman figures are ranks of a compound stop, else a part of the name."""
    if not draft.numeral:
        return draft.name, draft.ranks
    ranks = read_ranks(draft.numeral)
    celeste = match is not None and match.family is Family.CELESTE
    spread = ranks is not None and ranks.low != ranks.high
    if draft.ranks is not None or compound or celeste or spread or (match is None and draft.pitch is None):
        return draft.name, draft.ranks or ranks
    if ranks is not None and ranks.low >= 3:
        return draft.name, ranks
    return f"{draft.name} {draft.numeral}", draft.ranks


def _unknown_family(draft: StopDraft, ranks: Ranks | None) -> Family:
    draft.doubts.append((draft.lines[0], say("{stop} is not a known name; its family is a guess", stop=draft.name)))
    return Family.MIXTURE if ranks and ranks.low >= 2 and draft.pitch is None else Family.FLUTE


def _is_old_flute(draft: StopDraft, division: DivisionDraft, language: str | None) -> bool:
    """An English Flute without pitch after the Principal is of 4 ft (common practice, no source)."""
    if language != "en" or fold(draft.name) != "flute" or division.role == "pedal":
        return False
    before = division.stops[: division.stops.index(draft)]
    return any(fold(stop.name) == "principal" for stop in before)


def _pitch(
    draft: StopDraft, match: Match | None, name: str, family: Family, pedal: bool, *, old_flute: bool = False
) -> Feet | None:
    line = draft.lines[0]
    if family is Family.PERCUSSION:
        return draft.pitch
    if draft.pitch is not None:
        if family in _COMPOUND or draft.exact:
            return draft.pitch
        if match is not None and match.kind.id in ("tierce", "terz") and draft.pitch in _TIERCES:
            pitch = _TIERCES[draft.pitch]
            tierce = say(
                "{stop} {printed} read as {true}", stop=name, printed=write_feet(draft.pitch), true=write_feet(pitch)
            )
            draft.doubts.append((line, tierce))
            return pitch
        pitch, said = true_feet(draft.pitch, match.kind if match else None, name)
        if said is not None:
            draft.doubts.append((line, said))
        return pitch
    if family in _COMPOUND or match is None:
        return None
    if match.list_feet is not None:
        return match.list_feet
    usual = (match.pedal_feet if pedal else match.feet) or ()
    if not usual:
        return None
    if old_flute:
        usual = (Feet(4),)
    said = say("{stop}: no pitch printed, {feet} is customary", stop=name, feet=write_feet(usual[0]))
    draft.doubts.append((line, said))
    return usual[0]
