"""What a remark at a stop means: halves, first keys, borrowing, boxes, what is only prepared for."""

from __future__ import annotations

import re

from core.organ.lists.drafts import StopDraft
from core.organ.lists.keys import BOTTOM, first_key
from core.organ.lists.lines import Piece
from core.organ.lists.vocabulary import division_words, fold, pattern, short_words, words

_BOTH = re.compile(
    r"^(?:b\s?[./+]\s?[dt]|bass?e?\s?[/+&]\s?(?:dis[ck]\w*|treble|dessus|tr)|b\s?(?:und|and|et|en|\+)\s?[dt]|bass[io]?\s?(?:/|e|\+|y)\s?soprani?o?|(?:m\.?\s?i\.?|bajos)\s?(?:y|/|\+)\s?(?:m\.?\s?d\.?|tiples)|bas\s?/\s?dis[ck]\w*|b/d|basse?\s?/\s?(?:haute?|dessus))\.?$"
)
_NOTE_RANGE = re.compile(r"^(?:c\d{1,2}|[a-h](?:\d|'{1,3}|is|#)?)\s*[-–]\s*(?:[a-g]\S{0,4})?$", re.IGNORECASE)
_MATERIAL = re.compile(
    r"(?:stopped |open |spotted )?(?:metal|wood|tin|zinc|holz|zinn|metall|hout|metaal|bois|etain|legno|stagno)"
)
_FRENCH_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7}
_TREBLE_WITHIN = re.compile(r"^(?P<before>\S{4,}) (?P<half>sopr?\.) (?P<after>\S{4,})$", re.IGNORECASE)
_HALF_AT_END = re.compile(r"^(?P<name>.+?)[\s,]+(?P<half>\S+(?:\s\S+)?)$")


def apply_remark(draft: StopDraft, text: str, *, name: bool = False) -> bool:
    """Take from a remark (or with `name` from the end of the stop's own name) what it says; was anything taken?"""
    if name:
        return _from_name(draft)
    folded = fold(text).strip(" .,;:")
    if not folded:
        return False
    draft.remarks.append(text)
    return (
        _half(draft, folded, text)
        or _first_key(draft, text, folded)
        or _prepared(draft, folded)
        or _box(draft, folded)
        or _borrowed(draft, text, folded)
    )


def is_said_of_stops(text: str) -> bool:
    """Whether words behind a pitch are a remark: prepared for, borrowed, extended, a first key."""
    folded = fold(text)
    return (
        bool(
            re.match(
                r"(?:prep|from|ext|aus|uit|fra|transm|emprunt|borrow|duplex|derived|digital|electronic|ab|vanaf|t\.?c)\b",
                folded,
            )
        )
        and len(folded.split()) <= 5
    )


def is_half(text: str) -> bool:
    """Whether a word names a half of a divided stop, or both."""
    folded = fold(text).strip(" .,;:()")
    return bool(_BOTH.match(folded)) or folded in words("half", "bass") or folded in words("half", "treble")


def is_half_label(piece: Piece) -> bool:
    """Whether a cell heads the stops of a half: ``Mano izquierda:``, ``Tiples``."""
    folded = fold(piece.text).strip(" :.")
    return len(folded) > 3 and (folded in words("half", "bass") or folded in words("half", "treble"))


def _half(draft: StopDraft, folded: str, text: str) -> bool:
    plain = folded.replace("(", "").replace(")", "")
    if "dubbel" in plain or "doppelt" in plain or "double" in plain:
        return False  # "disk. dubbeld": two pipes a key in the treble
    if _BOTH.match(plain):
        draft.both_halves = True
        return True
    bare = plain.replace(".", "").strip()
    for half in ("bass", "treble"):
        if bare in words("half", half) or plain in words("half", half):
            draft.half, draft.half_word = half, text.strip(" ,;:()") if bare != "bass" else ""
            return True
    return False


def _first_key(draft: StopDraft, text: str, folded: str) -> bool:
    """``tenor C``, ``C13``, ``from c1``, ``ab c'``, ``vanaf c``."""
    key = None
    if re.search(r"(?:from|no\.?) \d+$", folded):
        return False
    french = re.match(r"(?:du |au |depuis le |a partir du )?(\d)(?:e|eme|d|nd|er)? (do|ut|fa|sol|la)\b", folded)
    if french:
        step = {"do": 0, "ut": 0, "fa": 5, "sol": 7, "la": 9}[french[2]]
        draft.first = BOTTOM + 12 * (int(french[1]) - 1) + step
        return True
    alone = re.fullmatch(r"(?:(?:ut|do|re|mi|fa|sol|la|si)\s?#?\d|[a-g]\d|[a-g]'{1,2})", folded)
    if alone and text.strip(" .()")[0].isupper() and len(folded) == 2:  # "(C2)": the French count from C1
        draft.first = BOTTOM + 12 * (int(folded[1]) - 1) + _FRENCH_STEPS.get(folded[0].upper(), 0)
        return True
    if alone and (key := first_key(text.strip(" .()"))) is not None and key > BOTTOM:
        draft.first = key
        return True
    if re.fullmatch(
        r"(?:from |to )?(?:t\.?\s?c\.?|ten(?:or|\.)? ?[a-g]|c\d{2}|(?:middle|mid\.?) c#?|fiddle g)", folded
    ):
        key = first_key(re.sub(r"^(?:from|to)\s", "", folded))
    else:
        found = re.match(
            r"(?:ab|af|vanaf|from|depuis|dès|fra|fr\.?|dal|da|desde|fran|od|von|a partir d[eu']|à partir d[eu'’])"
            r"\s*(?<=[\s'’])(?:d[ou]\s+)?(\S+)",
            text.strip(),
            re.IGNORECASE,
        )
        french = re.match(r"(?:depuis|des|a partir)\b", folded) and found and re.fullmatch(r"[C-G][2-4]", found[1])
        if french and found:
            key = BOTTOM + 12 * (int(found[1][1]) - 1) + _FRENCH_STEPS[found[1][0]]  # C1 is the lowest
        elif found and len(found[1]) <= 6:
            key = first_key(found[1])
    if key is None:
        return False
    draft.first = key
    return True


def _prepared(draft: StopDraft, folded: str) -> bool:
    if pattern("prepared").search(folded):
        draft.prepared = True
        return True
    return False


def _box(draft: StopDraft, folded: str) -> bool:
    if folded in words("unenclosed") or folded in ("outside", "unenclosed"):
        draft.enclosed = False
        return True
    if folded in words("enclosed") or re.match(r"(?:enclosed|in(?: the)? \w+ ?box|im schwell)", folded):
        draft.enclosed = True
        return True
    return False


def _borrowed(draft: StopDraft, text: str, folded: str) -> bool:
    first = re.split(r"[\s,.]+", folded)[0]
    whole = folded.replace(".", "")
    names_division = (
        whole in division_words() or whole in short_words() or whole.removesuffix(" organ") in division_words()
    )
    led = first in short_words() and len(first) > 1 and 2 <= len(folded.split()) <= 3  # "(Sw Fagott)"
    if (names_division and len(whole) > 1) or led:
        draft.borrowed = text.strip()
        return True
    if first in words("borrowed") or (
        pattern("borrowed").search(folded)
        and re.search(
            r"\bpartly|\bext|trans|emprunt|borrow|\bunit|duplex|\bfrom\b|\d\s*[-–]\s*\d+ (?:from|aus|uit)",
            folded,
        )
    ):
        draft.borrowed = text.strip()
        return True
    return False


def _from_commas(draft: StopDraft) -> None:
    """``clarabella, tenor C``: what stands behind a comma in a name may be a remark."""
    parts = [part.strip() for part in draft.name.split(",")]
    while len(parts) > 1 and _MATERIAL.fullmatch(fold(parts[-1]).strip(".")):
        draft.remarks.append(parts.pop())
        draft.name = ", ".join(parts)
    if len(parts) > 1 and fold(parts[-1]) in ("bass", "treble", "basse", "dessus"):
        apply_remark(draft, parts.pop())
        draft.name = ", ".join(parts)
    while len(parts) > 1 and re.match(
        r"(?:to |from |ab |vanaf |depuis )?(?:cc|gg|ff|tenor|ten\.?|t\.?c\.?|mid\w*|[a-g]\d?'*|gamut)\b",
        fold(parts[-1]),
    ):
        if not apply_remark(draft, parts[-1]):
            return
        parts.pop()
        draft.name = ", ".join(parts)


def _from_name(draft: StopDraft) -> bool:
    """A half at the end of the name, or a division before it in quotation marks."""
    quoted = re.match(r"[\"“„”«](?P<what>[^\"“”„»]+)[\"”“»]\s*(?P<rest>.+)", draft.name)
    if quoted:
        draft.borrowed = quoted["what"]
        return True
    _from_commas(draft)
    within = _TREBLE_WITHIN.match(draft.name)
    if within and draft.half is None:
        draft.name, draft.half, draft.half_word = f"{within['before']} {within['after']}", "treble", within["half"]
        return True
    found = _HALF_AT_END.match(draft.name)
    while found:
        half = fold(found["half"]).strip("().,")
        if _BOTH.match(half):
            draft.both_halves = True
        elif (
            half in words("half", "bass")
            and (len(half) > 4 or "." in found["half"] or len(half) == 1)
            and half != "basse"
        ):
            draft.half = "bass"
        elif half in words("half", "treble") and half not in ("t",):
            draft.half = "treble"
        elif " " in found["half"]:
            found = re.match(r"^(?P<name>.+?)[\s,]+(?P<half>\S+)$", draft.name)
            if found is None or found["half"] == "":
                return False
            half = fold(found["half"]).strip("().,")
            if not (_BOTH.match(half) or half in words("half", "treble") or half in ("b", "bassi", "bajos", "bajo")):
                return False
            continue
        else:
            return False
        draft.name = found["name"].strip(" ,")
        draft.half_word = found["half"].strip("(),") if draft.half else ""
        return True
    return False
