"""The options of each paper, in the window's words."""

from __future__ import annotations

from app.papers_options import Field, Values
from app.translation import tr
from core.markings.house_style import BUILT_IN, read_style
from core.organ.model import AidKind, Organ
from core.practice.player import MOST_ASSISTANTS

_FEWEST = -1  # so many by hand as one motion takes


def sheet_fields(organ: Organ | None, pistons: str, assistants: int = 0) -> tuple[Field, ...]:
    """Of the registration sheet; `pistons`: how it begins (empty: without), with so many assistants."""
    return (
        Field(name="cues", words=tr("Show the &music at each change"), kind="check", value=False),
        Field(name="whole", words=tr("Add every stop of the &organ"), kind="check", value=False),
        Field(
            name="assistants",
            words=tr("Assistants at the console"),
            kind="number",
            value=assistants,
            span=(0, MOST_ASSISTANTS),
            least_words=tr("nobody"),
            tip=tr("Who draw stops and turn pages beside the player."),
        ),
        Field(
            name="pistons",
            words=tr("Pistons"),
            kind="choice",
            value=pistons,
            choices=(
                ("", tr("all by hand")),
                ("pistons", tr("generals and divisionals")),
                ("stepper", tr("a stepper")),
            ),
        ),
        *_piston_fields(organ),
    )


def _piston_fields(organ: Organ | None) -> tuple[Field, ...]:
    aids = organ.aids if organ is not None else ()
    generals = sum(aid.count or 0 for aid in aids if aid.kind is AidKind.GENERAL)
    steps = next((aid.count for aid in aids if aid.kind is AidKind.STEPPER), None)
    divisionals = ""
    if organ is not None:
        counts = [(aid.division, aid.count) for aid in aids if aid.kind is AidKind.DIVISIONAL and aid.division]
        divisionals = "; ".join(f"{organ.division(d).name}: 1-{count}" for d, count in counts if count)

    def has_pistons(values: Values) -> bool:
        return values.get("pistons") == "pistons"

    return (
        Field(
            name="generals",
            words=tr("Free generals"),
            kind="line",
            hint=f"1-{generals}" if generals else tr("for example 1-8"),
            tip=tr("The pistons that you may set; the house’s own stay as they are. 0 for none."),
            only_if=has_pistons,
        ),
        Field(
            name="divisionals",
            words=tr("Free divisionals"),
            kind="line",
            hint=divisionals or tr("for example Swell: 1-3"),
            tip=tr("Division by division, with a semicolon between."),
            only_if=has_pistons,
        ),
        Field(
            name="levels",
            words=tr("Free levels of the memory"),
            kind="line",
            hint=tr("one memory"),
            tip=tr("Where there are levels: those that are free, for example 5-8."),
            only_if=has_pistons,
        ),
        Field(
            name="steps",
            words=tr("Free steps"),
            kind="line",
            hint=f"1-{steps}" if steps else tr("from 1 on"),
            only_if=lambda values: values.get("pistons") == "stepper",
        ),
        Field(
            name="by_hand",
            words=tr("At most so many stops by hand"),
            kind="number",
            value=_FEWEST,
            span=(_FEWEST, 20),
            least_words=tr("one motion’s worth"),
            tip=tr("At a change while you play; 0 leaves all to the pistons."),
            only_if=lambda values: bool(values.get("pistons")),
        ),
    )


def report_fields() -> tuple[Field, ...]:
    """Of the proof report."""
    return (
        Field(name="cues", words=tr("Show the &music of each bar"), kind="check", value=False),
        Field(
            name="which",
            words=tr("What is listed"),
            kind="choice",
            value="",
            choices=(
                ("", tr("everything")),
                ("open", tr("what is open")),
                ("queries", tr("queries to the author")),
            ),
        ),
    )


def needs_fields(organs: int) -> tuple[Field, ...]:
    """Of the needs page, with so many organs open."""
    if not organs:
        return (Field(name="against", words=tr("Set against the open organs"), kind="check", value=False),)
    words = tr("Set against the open organs ({0})").format(organs)
    return (Field(name="against", words=words, kind="check", value=True),)


def differences_fields() -> tuple[Field, ...]:
    """Of the page of differences."""
    return (
        Field(
            name="other",
            words=tr("The other file is"),
            kind="choice",
            value="former",
            choices=(("former", tr("the former one")), ("later", tr("the later one"))),
        ),
    )


def style_choices() -> tuple[tuple[str, str], ...]:
    """The built-in house styles."""
    return tuple((name, tr(read_style(name).title)) for name in BUILT_IN)


def front_page_fields(language: str) -> tuple[Field, ...]:
    """Of the front page; the wording begins in the piece's language."""
    return (
        Field(
            name="style",
            words=tr("Wording"),
            kind="choice",
            value=language if language in BUILT_IN else "en",
            choices=style_choices(),
        ),
    )


def score_fields() -> tuple[Field, ...]:
    """Of the score on paper."""
    return (Field(name="findings", words=tr("Show the proof’s &remarks"), kind="check", value=False),)
