"""Words of an organist for what a specification says: families, loudness, keyboards, kinds of aid."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from app.organ_rows import asked_words
from core.errors import StopwrightError
from core.organ.completing import Known, Setting
from core.organ.model import AidKind, Family, Organ, Role
from core.organ.offering import told_of
from core.organ.shorthand import ShortStop, write_ranks
from core.organ.spelling import write_feet

Choices = list[tuple[str, str]]


def tr(words: str) -> str:
    """Words in the window's language."""
    return QCoreApplication.translate("Specification", words)


_FAMILIES = {
    Family.PRINCIPAL: "principal",
    Family.FLUTE: "flute",
    Family.STRING: "string",
    Family.CELESTE: "celeste",
    Family.REED: "reed",
    Family.MUTATION: "mutation",
    Family.MIXTURE: "mixture",
    Family.COMPOUND: "compound with a third (Cornet, Sesquialtera)",
    Family.PERCUSSION: "percussion",
}
_LOUDNESS = (
    "barely heard", "very soft", "soft", "gentle", "middling", "clear", "full", "loud", "very loud", "above all else",
)  # fmt: skip
_AIDS = {
    AidKind.GENERAL: "General pistons",
    AidKind.DIVISIONAL: "Pistons of a division",
    AidKind.STEPPER: "Stepper",
    AidKind.REVERSIBLE: "Reversible",
    AidKind.FIXED: "Fixed combination",
    AidKind.VENTIL: "Ventil",
    AidKind.CRESCENDO: "Crescendo pedal",
    AidKind.BOX: "Swell pedal",
    AidKind.CANCEL: "Cancel",
    AidKind.TUTTI: "Tutti",
    AidKind.OTHER: "Something else",
}
TREMULANT = "tremulant"
_FRACTIONS = {" 1/2": "½", " 1/3": "⅓", " 2/3": "⅔", " 1/5": "⅕", " 2/5": "⅖", " 3/5": "⅗", " 4/5": "⅘", " 1/7": "⅐"}


def family_word(family: Family) -> str:
    """``flute``."""
    return tr(_FAMILIES[family])


def loudness_word(loudness: int) -> str:
    """``4, gentle``."""
    return f"{loudness}, {tr(_LOUDNESS[loudness - 1])}"


def families(by_name: Family) -> Choices:
    """The families to choose from; that which the name tells needs no entry."""
    return [_by_name(family is by_name, family.value, family_word(family)) for family in Family]


def loudnesses(by_name: int) -> Choices:
    """How loud a stop can be, softest first; what the name tells needs no entry."""
    return [_by_name(number == by_name, str(number), loudness_word(number)) for number in range(1, 11)]


def _by_name(is_so: bool, value: str, words: str) -> tuple[str, str]:
    return ("", tr("{0} (as its name tells)").format(words)) if is_so else (value, words)


def roles() -> Choices:
    """What a division can be."""
    return [(role.value, asked_words(role.value)) for role in Role]


def keyboards() -> Choices:
    """From which keyboard a division is played."""
    manuals = [(f"manual {number}", tr("manual {0}").format(number)) for number in range(1, 6)]
    lowest, *others = manuals
    return [
        (lowest[0], tr("manual 1 (the lowest)")),
        *others,
        ("pedal", tr("pedal")),
        ("none", tr("none of its own (it floats)")),
    ]


def aid_kinds() -> Choices:
    """The kinds of playing aid, tremulants among them."""
    kinds = [(kind.value, tr(words)) for kind, words in _AIDS.items()]
    return [kinds[0], kinds[1], (TREMULANT, tr("Tremulant")), *kinds[2:]]


def divisions(organ: Organ, none: str = "") -> Choices:
    """The organ's divisions by name; with `none` a first line for none of them."""
    first = [("", none)] if none else []
    return [*first, *((division.id, division.name) for division in organ.divisions)]


def setting_in(organ: Organ, division_id: str) -> Setting:
    """What decides the meaning of a name in a division."""
    return Setting(organ.division(division_id).role, organ.language, organ.tradition)


def reading_words(text: str, setting: Setting) -> str:
    """How a stop that is being typed is understood; empty where it is no stop yet."""
    told = told_of(text, setting)
    if told is None or len(text.strip()) < 2:
        return ""
    return _reading(*told)


def _reading(short: ShortStop, known: Known) -> str:
    if not known.known:
        return tr("“{0}” is not a name known here; it is taken for a principal").format(short.name)
    size = [write_ranks(short.ranks)] if short.ranks else []
    pitch = short.pitch if short.pitch is not None else known.list_pitch
    size += [f"{set_fractions(write_feet(pitch))} ft"] if pitch is not None else []
    words = ", ".join([*size, family_word(known.family), tr(_LOUDNESS[known.loudness - 1])])
    return tr("{0} (a guess by its name)").format(words) if known.guess else words


def fault_words(error: StopwrightError) -> str:
    """What is wrong and what to write instead, without what concerns the file alone."""
    remedy = error.remedy or ""
    if "Did you mean" in remedy:
        remedy = remedy[: remedy.index("?") + 1]
    problem = error.problem[:1].upper() + error.problem[1:]
    text = set_fractions(f"{problem.rstrip('.')}. {remedy}".strip())
    return text if text.endswith((".", "?", "!")) else f"{text}."


def set_fractions(text: str) -> str:
    """A text with the fractions of its pitches set as one sign: ``2⅔``."""
    for plain, sign in _FRACTIONS.items():
        text = text.replace(plain, sign)
    return text
