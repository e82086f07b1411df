"""The couplers, tremulants and aids of a specification."""

from __future__ import annotations

from core.organ.ids import UNNAMED, slug
from core.organ.model import Aid, AidKind, Coupler, Division, Half, Reach, Role, Tremulant
from core.organ.part_names import aid_text
from core.organ.shorthand import ShortCoupler, read_pitch, read_short_coupler
from core.organ.yaml_fields import Fields, UnfitError, nearest, read_choice, shown
from core.organ.yaml_nodes import Mapping, Node, Problems, Scalar, Sequence

_COUPLER = (
    "coupler", "from", "to", "pitch", "half", "permanent", "unison off", "text",
)  # fmt: skip
_TREMULANT = ("division", "name")
_AID = ("kind", "text", "division", "count", "moves", "reach")
WHOLE_ORGAN = "whole organ"


class PartReader:
    """Reads what joins, shakes and sets the divisions; what is wrong goes to `problems`."""

    def __init__(self, problems: Problems, divisions: tuple[Division, ...]) -> None:
        self.problems = problems
        self.divisions = divisions

    def _find_division(self, text: str, line: int, where: str) -> str | None:
        meant = division_meant(text, self.divisions)
        if meant is not None:
            return meant
        names = [one.name for one in self.divisions]
        near = nearest(text, names)
        remedy = f"Did you mean “{near}”?" if near else f"The divisions are: {', '.join(names) or 'none'}"
        self.problems.add(line, where, f"{shown(text)} is no division of this organ", remedy)
        return None

    # ---------------------------------------------------------------- couplers, tremulants, aids
    def coupler(self, node: Node, where: str) -> Coupler | None:
        """A coupler, short or written out."""
        if isinstance(node, Sequence):
            self.problems.add(node.line, where, "a coupler is wanted here", "Write - Swell to Great")
            return None
        if isinstance(node, Scalar):
            short = self._short(node.text, node.line, where)
            return self._make_coupler(short, node.line, where, node.text) if short else None
        fields = Fields(node, where, self.problems, _COUPLER)
        if fields.has("coupler"):
            short = self._short(fields.text("coupler"), fields.line("coupler"), fields.place("coupler"))
        else:
            for key in ("from", "to"):
                if not fields.has(key):
                    fields.problem(key, f"the coupler does not say {key} where", f"Write {key}: Swell")
            short = ShortCoupler(source=fields.text("from"), target=fields.text("to"))
        if short is None or not (short.source and short.target):
            return None
        told = ShortCoupler(
            source=short.source,
            target=short.target,
            pitch=fields.read("pitch", read_pitch, short.pitch),
            half=fields.choice("half", Half, short.half),
            permanent=fields.flag("permanent", short.permanent),
            unison_off=fields.flag("unison off", short.unison_off),
        )
        text = fields.text("text") if fields.has("text") else fields.text("coupler")
        return self._make_coupler(told, node.line, where, text)

    def _short(self, text: str, line: int, where: str) -> ShortCoupler | None:
        try:
            return read_short_coupler(text)
        except UnfitError as unfit:
            self.problems.add(line, where, unfit.problem, unfit.remedy)
            return None

    def _make_coupler(self, short: ShortCoupler, line: int, where: str, text: str = "") -> Coupler | None:
        source = self._find_division(short.source, line, f"{where}.from")
        target = self._find_division(short.target, line, f"{where}.to")
        if source is None or target is None:
            return None
        if source == target and short.pitch == 8 and not short.unison_off:
            problem = "this coupler joins a division to itself at the unison"
            self.problems.add(line, where, problem, "Write the pitch, 16 or 4, or unison off")
            return None
        return Coupler(
            source=source,
            target=target,
            pitch=short.pitch,
            half=short.half,
            permanent=short.permanent,
            unison_off=short.unison_off,
            text=text,
            lines=(line,),
        )

    def tremulant(self, node: Node, where: str) -> Tremulant | None:
        """A tremulant: its division, or the whole organ."""
        if isinstance(node, Scalar):
            return self._make_tremulant(node.text, "Tremulant", node.line, where)
        if isinstance(node, Mapping):
            fields = Fields(node, where, self.problems, _TREMULANT)
            division = fields.text("division", WHOLE_ORGAN)
            return self._make_tremulant(division, fields.text("name", "Tremulant"), node.line, where)
        self.problems.add(node.line, where, "a division is wanted here", f"Write - Swell, or - {WHOLE_ORGAN}")
        return None

    def _make_tremulant(self, text: str, name: str, line: int, where: str) -> Tremulant | None:
        if text.strip().casefold() == WHOLE_ORGAN:
            return Tremulant(division=None, name=name, lines=(line,))
        division = self._find_division(text, line, where)
        return Tremulant(division=division, name=name, lines=(line,)) if division else None

    def aid(self, node: Node, where: str) -> Aid | None:
        """A playing aid."""
        if isinstance(node, Scalar):
            return Aid(kind=AidKind.OTHER, text=node.text, lines=(node.line,))
        if isinstance(node, Sequence):
            self.problems.add(node.line, where, "an aid is wanted here", "Write - {kind: general, count: 8}")
            return None
        fields = Fields(node, where, self.problems, _AID)
        if not fields.has("kind"):
            kinds = ", ".join(kind.value for kind in AidKind)
            fields.problem("kind", "the aid does not say what it is", f"Write kind: and one of {kinds}")
        kind = fields.choice("kind", AidKind, AidKind.OTHER)
        division = None
        if fields.has("division"):
            division = self._find_division(fields.text("division"), fields.line("division"), fields.place("division"))
        count = fields.number("count", 1, 999, 0) or None
        name = next((d.name for d in self.divisions if d.id == division), "")
        return Aid(
            kind=kind,
            text=fields.text("text") or aid_text(kind, count, name),
            division=division,
            count=count,
            moves=fields.text("moves"),
            reach=self._reach(fields),
            lines=(node.line,),
        )

    def _reach(self, fields: Fields) -> tuple[Reach, ...]:
        found = []
        for text, line in fields.words("reach"):
            try:
                found.append(read_choice(text, Reach))
            except UnfitError as unfit:
                self.problems.add(line, fields.place("reach"), unfit.problem, unfit.remedy)
        return tuple(found)


def division_meant(text: str, divisions: tuple[Division, ...]) -> str | None:
    """The id of the division that a text names, by its id, its name, its role or its keyboard."""
    wanted = text.strip().casefold()
    if any(one.id == text for one in divisions):
        return text
    for names_of in (_ids_of, _names_of, _other_names_of):
        for one in divisions:
            if wanted in names_of(one):
                return one.id
    plain = slug(wanted)
    for one in divisions:
        if plain in (one.id, slug(one.name)) and plain != UNNAMED:
            return one.id
    return Role.PEDAL.value if wanted == Role.PEDAL.value else None


def _ids_of(division: Division) -> tuple[str, ...]:
    return (division.id.casefold(),)


def _names_of(division: Division) -> tuple[str, ...]:
    return (division.name.strip().casefold(),)


def _other_names_of(division: Division) -> tuple[str, ...]:
    return (division.role.value, division.keyboard or "")
