"""Tells registration from what is not ours, and finds the other readings of what is ambiguous."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from core.markings.language import has
from core.markings.model import Action, Instruction, ReadingKind, StopRequest
from core.markings.other_texts import ASKING, is_another_thing
from core.markings.state import State
from core.markings.tokens import PITCHES, Token

_STRONG_KINDS = """stop compact_stop family plenum plenum_of recipe full full_plenum initials coupler couple coupled
    uncoupled pedal_coupler manual_coupler manual_uncoupler classical_coupler octave unison_off tremulant box box_of
    box_moving crescendo_pedal piston general cancel two_manuals manuals_only feet_only solo solo_end prominent
    crescendo excepted reduce prepare prepared title_hand title_after half_before division roman"""
_STRONG = frozenset(_STRONG_KINDS.split())
_FOREIGN = frozenset({"lyric", "title", "other", "simile"})
_MIXERS = frozenset({"tempo", "expression"})


_LEAST = 0.51
_ORDINARY = frozenset({"expression", "tempo", "other", "filler", "title", "lyric"})
_COMMON_WORDS = {
    "choir": 0.6,
    "great": 0.6,
    "swell": 0.6,
    "solo": 0.55,
    "pedal": 0.9,
    "echo": 0.55,
    "eco": 0.4,
    "full": 0.6,
    "positive": 0.6,
    "tutti": 0.6,
    "chorus": 0.3,
}


def judge(state: State) -> ReadingKind:
    """Whether the text is registration, something else, or both."""
    tokens = state.tokens
    if not state.drafts:
        kept = [t.value for t in tokens if t.kind == "same_as"]
        if kept and ("registration" in kept or any(t.kind in ("heading", "stops_word") for t in tokens)):
            return ReadingKind.REGISTRATION
        if any(t.kind == "boxless" for t in state.unread) and not any(
            w.startswith("e") for t in tokens for w in t.words
        ):
            return ReadingKind.REGISTRATION  # ohne Schweller; but senza espressione
        strong = [t for t in tokens if t.kind in ("stop", "family", "tremulant", "coupler", "box_of") and not t.guessed]
        unknown = [t for t in tokens if t.kind == "word"]
        if not strong or len(unknown) >= len(strong):
            return ReadingKind.OTHER
        if any(t.kind in _FOREIGN for t in tokens):
            return ReadingKind.OTHER
        return ReadingKind.REGISTRATION if state.unread else ReadingKind.OTHER
    if _is_prose(state, tokens):
        return ReadingKind.OTHER
    mixed = any(t.kind in _MIXERS for t in tokens) or (
        bool(tokens) and has(tokens[0], "tempo") and _sets_tempo(state, tokens[0])
    )
    return ReadingKind.MIXED if mixed else ReadingKind.REGISTRATION


def _sets_tempo(state: State, first: Token) -> bool:
    """``Langsam. II. Man.``: a word for "slowly" at the head that moves no box and no stops."""
    moving = (Action.BOX, Action.CRESCENDO, Action.REDUCE)
    return first.kind == "gradually" and not any(d.action in moving for d in state.drafts)


def _is_prose(state: State, tokens: list[Token]) -> bool:
    """Whether the words around make the trade's words mean something else: a title, a lyric, a direction."""
    if _is_heading(tokens) or is_another_thing(state):
        return True
    if tokens[0].kind == "family" and len(tokens) == 1 and has(tokens[0], "tempo"):
        return True  # "string." alone: stringendo
    kinds = [t.kind for t in tokens]
    foreign = sum(kind in _FOREIGN for kind in kinds) + (_bare_labels(tokens) if "label" in kinds else 0)
    missed = {id(t) for t in state.unread}
    unknown = sum(t.kind == "word" or id(t) in missed for t in tokens)
    if (unknown or foreign) and _only_initials(tokens):
        return True
    if "lyric" in kinds and ASKING.isdisjoint(kinds):
        return True  # "Flûtes et musettes, chantez"
    against = 1.6 * foreign + 0.8 * unknown + 0.1 * kinds.count("filler")
    if "word" in kinds:
        against += 0.4 * _genitives(state, tokens)
    return not _outweighs(state, tokens, against) or (kinds.count("num") > 2 and _is_metre(tokens))


def _outweighs(state: State, tokens: list[Token], against: float) -> bool:
    """Whether what speaks for registration is more than what speaks against it, and enough."""
    weight = 0.0
    for token in tokens:
        weight += _weight(state, token)
        if weight > against and weight >= _LEAST:
            return True
    return False


def _is_heading(tokens: list[Token]) -> bool:
    """A movement's number and tempo ("II. Adagio"), a recitative ("Récit.")."""
    if len(tokens) > 1 and tokens[0].kind not in ("roman", "sign"):
        return False
    words = [t for t in tokens if t.kind != "sign"]
    if (
        words
        and words[0].kind == "roman"
        and all(t.kind in ("tempo", "expression", "title", "other", "filler", "word", "and") for t in words[1:])
    ):
        return len(words) > 1
    return len(words) == len(tokens) == 1 and (
        words[0].words == ("recitativo",) or (words[0].words == ("recit",) and words[0].dot)
    )


def _genitives(state: State, tokens: list[Token]) -> int:
    """Unknown words that tell whose a thing is: ``Mixture of Metres``, ``Récit du Chevalier``."""
    joined = ("of", "at", "filler")
    return sum(
        after.kind == "word" and before.kind in joined and (after.lower or state.language == "en" or _one_name(tokens))
        for before, after in itertools.pairwise(tokens)
    )


def _one_name(tokens: list[Token]) -> bool:
    """Nothing but a division, and words around it that say nothing."""
    return {t.kind for t in tokens} <= {"division", "of", "at", "filler", "word"}


def _bare_labels(tokens: list[Token]) -> int:
    """Words like "verse" that no number or colon follows: "Solo verse" is no registration of verses."""
    after = [*(t.value if t.kind == "sign" else t.kind for t in tokens[1:]), ""]
    labels = [k for k, t in enumerate(tokens) if t.kind == "label"]
    return sum(after[k] not in (":", "num", "ordinal", "roman", ",") for k in labels)


def _only_initials(tokens: list[Token]) -> bool:
    """``G. F. Surname``: nothing but initials speaks for registration."""
    strong = [t for t in tokens if t.kind in _STRONG or t.kind == "num"]
    return bool(strong) and all(
        t.kind in ("division", "initials", "solo") and all(len(w) <= 2 for w in t.words) for t in strong
    )


def _is_metre(tokens: list[Token]) -> bool:
    """A hymn's metre (8.8.8.8): pitches are not named twice running."""
    numbers = [t for t in tokens if t.kind == "num"]
    rest = [t for t in tokens if t.kind not in ("num", "sign") and not _is_letter(t)]
    return len(numbers) >= 3 and not rest and len({t.pitch for t in numbers}) < len(numbers)


def _is_letter(token: Token) -> bool:
    """``8.7.8.7 D``: a letter that is a division's initial elsewhere."""
    return token.kind == "division" and not token.dot and len(token.words[0]) == 1


_WEIGHTS = {"stops_word": 0.6, "manual_word": 0.8, "pitch_word": 0.8}
_HELPERS = frozenset({"add", "take_off", "prepare", "without", "hand", "box_state", "with"})


def _weight(state: State, token: Token) -> float:
    """How much a token speaks for registration."""
    kind = token.kind
    if kind in _WEIGHTS:
        return _WEIGHTS[kind]
    special = _WEIGHED.get(kind)
    if special is not None:
        return 0.0 if token.guessed else special(state, token)
    if kind not in _STRONG:
        return 0.3 if kind in _HELPERS and any(t.kind in _STRONG or t.kind == "num" for t in state.tokens) else 0.0
    return 0.0 if token.guessed else _plain_weight(token)


def _plain_weight(token: Token) -> float:
    if token.kind == "solo_end":  # nothing else ends a solo, whatever the capitals
        return 1.0
    if token.kind == "manuals_only":
        return 1.0
    weight = _COMMON_WORDS.get(token.words[0] if token.words else "", 1.0)
    return weight / 2 if token.lower and weight < 1 else weight


def _quality_weight(state: State, token: Token) -> float:
    printed = state.text[token.start : token.end].lower()
    if token.value == "solo" or "regist" in printed or "farben" in printed or "dunkel" in printed:
        return 0.6
    return 0.2 if any(t.kind in _STRONG for t in state.tokens) else 0.0


def _stop_weight(state: State, token: Token) -> float:
    """A stop's name weighs less in small letters, and little where it is a word of expression too."""
    if not token.senses.kinds.isdisjoint(_ORDINARY):
        return 0.2
    return 0.6 if token.lower else 1.0


def _family_weight(state: State, token: Token) -> float:
    """A family's word that is a title too (Batalla) weighs as a stop's name that is a common word."""
    return 0.2 if "title" in token.senses.kinds else _plain_weight(token)


def _box_state_weight(state: State, token: Token) -> float:
    """``Ouvrez peu à peu`` alone still asks for a box to be moved."""
    alone = all(t.kind in ("box_state", "gradually", "sign", "filler") for t in state.tokens)
    return 0.6 if alone else 0.3 if any(t.kind in _STRONG or t.kind == "num" for t in state.tokens) else 0.0


def _recipe_weight(state: State, token: Token) -> float:
    return 0.0 if token.value == "chorus" else _plain_weight(token)


def _division_weight(state: State, token: Token) -> float:
    """An abbreviation is surer than a common word; a lone letter and "Récit." (a recitative) are not sure."""
    text = state.text[token.start : token.end]
    if len(text.rstrip(".")) == 1 and not token.dot:
        return 0.7
    if token.words == ("recit",) and token.dot:
        return 0.5
    if token.dot and token.words in (("gt",), ("sw",)):
        return 2.0  # Gt. at bar 24: nothing but the organ's
    common = bool(token.words) and token.words[0] in _COMMON_WORDS
    return 1.6 if not common and (token.dot or len(text) <= 4) else _plain_weight(token)


def _roman_weight(state: State, token: Token) -> float:
    """A Roman numeral is a manual, but not after a word of something else (Tono VIII, Violin II), nor a lone V."""
    place = state.tokens.index(token)
    before = state.tokens[place - 1] if place else None
    if before is not None and (
        before.kind in ("word", "other", "title", "lyric", "stops_word")
        or (before.kind == "stop" and not before.senses.kinds.isdisjoint(_ORDINARY))
    ):
        return 0.0
    if before is not None and before.kind == "stop":
        return 0.2
    return 0.0 if len(state.tokens) == 1 and int(token.value) > 4 else 1.0


def _number_weight(state: State, token: Token) -> float:
    """Feet speak for registration; bare numbers only beside other pitches, never in a count of something else."""
    place = state.tokens.index(token)
    kinds = {t.kind for t in state.tokens}
    if not token.foot and "dynamic" in kinds and kinds <= {"num", "sign", "dynamic"}:
        return 0.0
    before = state.tokens[place - 1] if place else None
    if (
        not token.foot
        and all(t.kind in ("num", "sign") for t in state.tokens)
        and sum(t.kind == "num" for t in state.tokens) == 1
    ):
        return 0.0 if not any(t.value in "+−-" for t in state.tokens if t.kind == "sign") else 0.8
    if (
        before is not None
        and (before.kind in ("dynamic", "number_sign", "other", "title", "lyric") or has(before, "number_sign"))
        and not token.foot
    ):
        return 0.0
    if token.foot:
        beside = state.tokens[max(0, place - 1) : place + 2]
        return 0.0 if any(t.kind == "num" and t.pitch not in PITCHES for t in beside if t is not token) else 1.5
    around = state.tokens[max(0, place - 2) : place + 3]
    if any(
        t.kind in ("other", "title", "lyric", "tempo", "number_sign") or (t.kind == "num" and t.pitch not in PITCHES)
        for t in around
    ):
        return 0.0
    if before is not None and before.kind == "stop" and token.pitch in (4, 8, 16, 32):
        return 0.8
    return (
        0.8
        if token.pitch in (8, 16, 32)
        else 0.3
        if token.pitch in (4, 2) and len(state.tokens) > 1 and _has_unison(state)
        else 0.0
    )


def _has_unison(state: State) -> bool:
    return any(t.kind in _STRONG or (t.kind == "num" and (t.foot or t.pitch in (8, 16))) for t in state.tokens)


_WEIGHED: dict[str, Callable[[State, Token], float]] = {
    "num": _number_weight,
    "quality": _quality_weight,
    "stop": _stop_weight,
    "family": _family_weight,
    "recipe": _recipe_weight,
    "division": _division_weight,
    "roman": _roman_weight,
    "box_state": _box_state_weight,
}


def readings_beside(state: State, instructions: tuple[Instruction, ...]) -> tuple[tuple[Instruction, ...], ...]:
    """The other readings that are as good, where the text leaves it open."""
    also: list[tuple[Instruction, ...]] = []
    for reason in state.ambiguous:
        if reason == "piston-or-pitch":
            also.append(tuple(_as_pitch(i) if i.action is Action.PISTON else i for i in instructions))
        elif reason == "cresc-ped":
            also.append((Instruction(action=Action.CRESCENDO, division="pedal", span=instructions[0].span),))
            also.append(())
        else:
            also.append(())
    for token in state.tokens:
        if token.kind != "division" or len(token.senses) == 1:
            continue
        roles = {s.value for s in token.senses if s.kind == "division" and s.language in ("de", "nl")}
        if roles == {"oberwerk", "brustwerk"}:
            other = next(iter(roles - {token.value}))
            also.append(tuple(replace(i, division=other) if i.division == token.value else i for i in instructions))
            break
    return tuple(also)


def _as_pitch(instruction: Instruction) -> Instruction:
    request = StopRequest(pitches=(Fraction(instruction.number or 0),), span=instruction.span)
    return replace(instruction, action=Action.DRAW, number=None, stops=(request,))
