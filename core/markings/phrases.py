"""The wordings that one instruction may have in a house style, the preferred first; reading decides which serves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice, product

from core.markings.house_style import Style
from core.markings.model import Action, Instruction, StopRequest
from core.organ.model import Feet
from core.organ.spelling import write_feet

_MANY = 160
_FEW = 10
_ROMAN = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_WITH_STOPS = {
    Action.FULL: "full",
    Action.REDUCE: "reduce",
    Action.CRESCENDO: "crescendo",
}


def phrases(one: Instruction, style: Style, *, keep_division: bool = True) -> list[str]:
    """Wordings of an instruction, at most a few score of them.

    Args:
        one: the instruction.
        style: the house style.
        keep_division: False leaves the division out, where it still holds from what stands before.
    """
    cores = list(islice(_cores(one, style, keep_division), _MANY))
    said = _excepted(cores, one, style)
    if one.hand is not None and one.action is not Action.COUPLE:
        hands = style.words("hands", one.hand.value)
        said = _wrapped(said, style.words("wordings", "with-hand"), hand=hands)
    for other in one.alternatives:
        others = _others(one, other, style)
        said = _wrapped(said, style.words("wordings", "or"), other=others)
    if one.optional:
        said = _wrapped(said, style.words("wordings", "optional"))
    if one.passes is not None:
        key = " ".join(map(str, one.passes))
        said = _wrapped(said, style.words("wordings", "with-pass"), **{"pass": style.words("passes", key)})
    return list(dict.fromkeys(tidy(text) for text in islice(said, _MANY)))


def tidy(text: str) -> str:
    """One space between words, none before a comma or where a word was left out."""
    text = " ".join(text.replace("::", ":").split())
    for wrong, right in ((" ,", ","), (" :", ":"), (":,", ","), (",,", ","), ("( ", "("), (" )", ")")):
        text = text.replace(wrong, right)
    return text.strip(" ,:") if text.strip(" ,:") else text.strip()


def _others(one: Instruction, other: Instruction, style: Style) -> list[str]:
    """Wordings of what would do as well: what the two have in common need not be said again."""
    short = replace(other, hand=None) if other.hand is one.hand else other
    same = other.division == one.division
    return [
        *(phrases(short, style, keep_division=False)[:_FEW] if same else ()),
        *phrases(short, style)[:_FEW],
        *phrases(other, style)[:_FEW],
    ]


def _wrapped(said: Iterable[str], templates: Iterable[str], **words: Iterable[str]) -> list[str]:
    """Each wording in each template; the wordings vary slowest, so that the preferred come first."""
    choices = [[(name, word) for word in some] for name, some in words.items()]
    found = []
    for text, template, filled in product(said, tuple(templates), tuple(product(*choices))):
        found.append(template.format_map({"said": text, **dict(filled)}))
    return found[: _MANY * _FEW]


def _excepted(cores: list[str], one: Instruction, style: Style) -> list[str]:
    if not one.exceptions:
        return cores
    left_out = stop_lists(one.exceptions, style)
    return _wrapped(cores, style.words("wordings", "with-except"), **{"except": left_out})


def _cores(one: Instruction, style: Style, keep_division: bool) -> Iterator[str]:
    """The instruction without hand, passes, exceptions and the like."""
    if one.action in (Action.COUPLE, Action.UNCOUPLE):
        yield from _couplers(one, style)
        return
    names = _division_names(one.division, style) if keep_division else ("",)
    stops = stop_lists(one.stops, style) if one.stops else [""]
    for key in _keys(one):
        for template in style.words("wordings", key):
            for name, stop in product(names, stops):
                yield template.format_map({"division": name, "stops": stop, "number": one.number or ""})


def _division_names(role: str | None, style: Style) -> tuple[str, ...]:
    if role is None:
        return ("",)
    return style.words("divisions", role) or (role,)


def _keys(one: Instruction) -> list[str]:
    """The entries of a style's wordings that fit an instruction, the fittest first."""
    action, key = one.action, one.action.value
    if action is Action.BOX:
        return [f"box-{one.box}"]
    if one.up_to:
        return ["up-to"] if action is Action.DRAW else [f"{key}-up-to", key]
    if action is Action.FULL:
        return _full_keys(one)
    if action in _WITH_STOPS and one.stops:
        return [f"{key}-with", key]
    if action is Action.TAKE_OFF and not one.stops:
        return ["manuals-only"] if one.division == "pedal" else ["take-off-all"]
    if action is Action.PLAY:
        return ["play-any"] if one.division is None else ["play-pedal", "play"] if one.division == "pedal" else ["play"]
    if action is Action.CRESCENDO_PEDAL and one.to == "off":
        return ["crescendo-pedal-off"]
    if action is Action.CANCEL and one.division is not None:
        return ["cancel-division"]
    if action is Action.PISTON and one.division is None:
        return ["general", "piston"]
    return [key]


def _full_keys(one: Instruction) -> list[str]:
    where = "full" if one.division else "full-organ"
    if not one.stops:
        return [where]
    if any(stop.family == "plenum" and stop.name is None for stop in one.stops):
        return ["full-plenum", "full-plenum-with", f"{where}-with"]
    return [f"{where}-with", where]


def _couplers(one: Instruction, style: Style) -> Iterator[str]:
    said = list(_coupled(one, style))
    if one.action is Action.COUPLE:
        yield from said
        return
    if one.coupler is None:
        key = "uncouple-unnamed" if one.division is None else "uncouple-division"
        for template in style.words("wordings", key):
            for name in _division_names(one.division, style):
                yield template.format_map({"division": name})
    for template, coupler in product(style.words("wordings", "uncouple"), said):
        yield template.format_map({"coupler": coupler})


def _coupled(one: Instruction, style: Style) -> Iterator[str]:
    coupler = one.coupler
    if coupler is None:
        key = "couple-unnamed" if one.division is None else "couple-division"
        for template in style.words("wordings", key):
            for name in _division_names(one.division, style):
                yield template.format_map({"division": name})
        return
    pitch = "" if coupler.pitch == 8 else f"-{write_feet(coupler.pitch)}"
    kind = "couple-any" if coupler.source is None else "couple-self" if coupler.source == coupler.target else "couple"
    sources, targets = _coupler_names(coupler.source, style), _coupler_names(coupler.target, style)
    for template in style.words("wordings", kind + pitch):
        for source, target in product(sources, targets):
            yield template.format_map({"from": source, "to": target})


def _coupler_names(role: str | None, style: Style) -> tuple[str, ...]:
    if role is None:
        return ("",)
    return (*style.words("in_couplers", role), *_division_names(role, style))


def stop_lists(stops: tuple[StopRequest, ...], style: Style) -> list[str]:
    """Wordings of a list of stops: each stop in its first wording, its second …, joined as the style joins."""
    each = [stop_phrases(stop, style) for stop in stops]
    found = []
    for at in range(max(map(len, each))):
        words = [some[min(at, len(some) - 1)] for some in each]
        found.append(_joined(words, style.signs["list"], style.signs["last"]))
        found.append(_joined(words, style.signs["list"], style.signs["list"]))
        found.append(_joined(list(reversed(words)), style.signs["list"], style.signs["list"]))
    return list(dict.fromkeys(found))


def _joined(words: list[str], sign: str, last: str) -> str:
    return last.join([sign.join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def stop_phrases(stop: StopRequest, style: Style) -> list[str]:
    """Wordings of one stop request."""
    after = set(style.qualities_after)
    ranks = _rank_phrases(stop.ranks, style) if stop.ranks else [""]
    halves = list(style.words("halves", stop.half.value)) if stop.half else [""]
    pitched = _pitch_phrases(stop.pitches, style)
    found = []
    choices = [style.words("qualities", quality) or (quality,) for quality in stop.qualities]
    for noun, words, pitch, rank, half in product(_nouns(stop, style), product(*choices), pitched, ranks, halves):
        both = list(zip(stop.qualities, words, strict=True))
        first = " ".join(word for quality, word in both if quality not in after)
        last = " ".join(word for quality, word in both if quality in after)
        everything = " ".join(words)
        found.append(f"{first} {noun} {rank} {pitch} {half} {last}")
        found.append(f"{first} {noun} {half} {rank} {pitch} {last}")
        found.append(f"{first} {noun} {last} {pitch} {rank} {half}")
        found.append(f"{everything} {pitch} {noun} {rank} {half}")
        found.append(f"{noun} {rank} {pitch} {half} {everything}")
        found.append(f"{noun} {everything} {rank} {pitch} {half}")
        found.append(f"{everything} {noun} {rank} {pitch} {half}")
    return list(dict.fromkeys(" ".join(text.split()) for text in found))[: _FEW * 3]


def _rank_phrases(ranks: int, style: Style) -> list[str]:
    roman = _ROMAN[ranks] if ranks < len(_ROMAN) else str(ranks)
    return [one.format_map({"ranks": ranks, "roman": roman}) for one in style.words("wordings", "ranks")]


def _nouns(stop: StopRequest, style: Style) -> tuple[str, ...]:
    if stop.name is not None:
        if stop.name in style.tables["recipes"]:
            return style.words("recipes", stop.name)
        return (*style.words("stops", stop.name), stop.name)
    if stop.family is None:
        return ("",)
    return style.words("families", stop.family) or (stop.family,)


def _pitch_phrases(pitches: tuple[Feet, ...], style: Style) -> list[str]:
    if not pitches:
        return [""]
    plain = [write_feet(pitch) for pitch in pitches]
    styled = [style.signs["foot"].format_map({"feet": feet}) for feet in plain]
    marked = [f"{feet}'" for feet in plain]
    sign = style.signs["pitches"]
    return list(
        dict.fromkeys([sign.join(styled), sign.join(marked), " ".join(marked), " & ".join(marked), ".".join(plain)])
    )
