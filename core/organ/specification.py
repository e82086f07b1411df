"""A specification file (format 1) to an organ. The format is described in docs/specification-format.md."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import TypeVar

from core.errors import OrganError
from core.organ.completing import Setting, customary_keyboards, enclosed_by_name
from core.organ.ids import slug, unused
from core.organ.model import Division, Key, Organ, Role
from core.organ.part_names import known_names, role_of_name
from core.organ.shorthand import read_compass, read_key
from core.organ.specification_parts import PartReader
from core.organ.specification_stops import StopReader
from core.organ.yaml_fields import Fields, UnfitError, nearest, read_flag, shown, suggestion
from core.organ.yaml_nodes import Mapping, Node, Problems, Scalar, plain_key, read_tree
from core.texts import Said

T = TypeVar("T")

VERSION = "1"
TRADITIONS = (
    "english", "american", "french-symphonic", "french-classical", "german-baroque", "german-romantic",
    "dutch", "italian", "spanish",
)  # fmt: skip
_ORGAN = (
    "specification", "name", "place", "builder", "language", "tradition", "invented", "remark", "compass",
    "couplers carry on", "divisions", "couplers", "tremulants", "aids", "assumed",
)  # fmt: skip
_DIVISION = (
    "name", "id", "role", "keyboard", "keyboard assumed", "enclosed", "box", "compass", "missing keys",
    "also on", "remark", "stops",
)  # fmt: skip
NOT_KNOWN = "not known"
_LATELY = 8


def read_specification(text: str, path: object) -> Organ:
    """The organ of a specification's text. Raises OrganError with all its faults at once."""
    try:
        return _organ_of(text)
    except OrganError:
        return _read(text, path)  # again, so that the faults name the file


@lru_cache(maxsize=_LATELY)
def _organ_of(text: str) -> Organ:
    """The organ of a text; texts read lately are not read again, since every change begins and ends with reading."""
    return _read(text, "")


def _read(text: str, path: object) -> Organ:
    problems = Problems()
    root = read_tree(text, path)
    organ = None
    if not isinstance(root, Mapping):
        problems.add(root.line, "file", "this is no specification", "Begin it with the line  specification: 1")
    else:
        organ = _Reader(root, problems).organ()
    problems.raise_if_any(path)
    assert organ is not None
    return organ


def read_despite_faults(root: Mapping) -> Organ | None:
    """The organ of a tree as far as it can be read; what is wrong in it is left out and not told."""
    return _Reader(root, Problems()).organ()


class _Reader:
    """Reads one file's tree; what is wrong goes to `problems`."""

    def __init__(self, root: Mapping, problems: Problems) -> None:
        self.problems = problems
        version = root.get("specification")
        self.fits = isinstance(version, Scalar) and version.text == VERSION
        self.fields = Fields(root, "", problems if self.fits else Problems(), _ORGAN)
        self.version = version

    def organ(self) -> Organ | None:
        """The organ, as far as it can be read."""
        if not self.fits:
            self._refuse_version()
            return None
        fields = self.fields
        if not fields.text("name").strip():
            fields.problem("name", "the organ has no name", "Write name: St Mary, Anytown")
        language = fields.text("language") or None
        if language and not re.fullmatch(r"[a-z]{2,3}", language):
            fields.problem("language", f"{shown(language)} is no language", "Write two letters: en, fr, de, nl, it")
        tradition = fields.read("tradition", _read_tradition, None)
        divisions = self._read_divisions(language, tradition)
        parts = PartReader(self.problems, divisions)
        return Organ(
            name=fields.text("name"),
            divisions=divisions,
            couplers=self._each("couplers", "- Swell to Great", parts.coupler),
            tremulants=self._each("tremulants", "- Swell", parts.tremulant),
            aids=self._each("aids", "- {kind: general, count: 8, reach: thumb}", parts.aid),
            place=fields.text("place"),
            builder=fields.text("builder"),
            language=language,
            tradition=tradition,
            couplers_carry_on=fields.flag("couplers carry on", None),
            invented=fields.flag("invented", False),
            remark=fields.text("remark"),
            assumed=tuple(Said(text) for text, _ in fields.words("assumed")),
        )

    def _refuse_version(self) -> None:
        first = "Begin the file with the line  specification: 1"
        version = self.version
        if not isinstance(version, Scalar):
            self.problems.add(1, "specification", "the file does not say which format it has", first)
            return
        problem = f"format {shown(version.text)} is not known to this program, which reads format {VERSION}"
        newer = version.text.isascii() and version.text.isdigit() and int(version.text[:9]) > int(VERSION)
        remedy = "A newer program wrote it: use that one" if newer else first
        self.problems.add(version.line, "specification", problem, remedy)

    def _each(self, key: str, example: str, reader: Callable[[Node, str], T | None]) -> tuple[T, ...]:
        found = [reader(node, f"{key}[{number}]") for number, node in enumerate(self.fields.items(key, example))]
        return tuple(one for one in found if one is not None)

    # ---------------------------------------------------------------- divisions
    def _read_divisions(self, language: str | None, tradition: str | None) -> tuple[Division, ...]:
        nodes = self.fields.items("divisions", "- name: Great")
        if not nodes and not self.problems:
            example = "Write divisions: and under it - Great: [Open Diapason 8, Principal 4]"
            self.fields.problem("divisions", "the organ has no divisions", example)
        manual, pedal = self._compasses()
        opened = [self._open(node, f"divisions[{number}]") for number, node in enumerate(nodes)]
        heads = [fields for fields in opened if fields is not None]
        roles = [_role(fields) for fields in heads]
        customary = customary_keyboards(roles, tradition)
        if any(fields.has("keyboard") for fields in heads):
            customary = ["pedal" if role is Role.PEDAL else None for role in roles]
        taken: set[str] = set()
        stops = StopReader(self.problems)
        made = []
        for fields, role, keyboard in zip(heads, roles, customary, strict=True):
            wanted = fields.text("id") or slug(fields.text("name"))
            division_id = unused(wanted, taken)
            if fields.text("id") and division_id != wanted:
                fields.problem("id", f"the id {shown(wanted)} is taken", "Give each division an id of its own")
            compass = fields.read("compass", read_compass, pedal if role is Role.PEDAL else manual)
            setting = Setting(role, language, tradition)
            made.append(self._division(fields, division_id, role, keyboard, compass, stops, setting))
        return stops.settle(tuple(made))

    def _compasses(self) -> tuple[tuple[Key, Key] | None, tuple[Key, Key] | None]:
        node = self.fields.value("compass")
        if node is None:
            return None, None
        if not isinstance(node, Mapping):
            self.fields.problem(
                "compass",
                "the manuals' and the pedal's compass are told apart here",
                "Write compass: {manuals: C2-G6, pedal: C2-F4}",
            )
            return None, None
        fields = Fields(node, "compass", self.problems, ("manuals", "pedal"))
        return fields.read("manuals", read_compass, None), fields.read("pedal", read_compass, None)

    def _open(self, node: Node, where: str) -> Fields | None:
        """The entries of a division, also of the short form ``Great: [Open Diapason 8]``."""
        if not isinstance(node, Mapping):
            self.problems.add(
                node.line, where, "a division is wanted here", "Write - Great: [Open Diapason 8, Principal 4]"
            )
            return None
        if len(node.entries) == 1 and plain_key(node.entries[0][0].text) not in _DIVISION:
            key, value = node.entries[0]
            name_key = Scalar("name", True, key.line, key.start, key.end)
            if isinstance(value, Mapping):
                node = Mapping(value.flow, key.line, key.start, value.end, [(name_key, key), *value.entries])
            else:
                stops_key = Scalar("stops", True, value.line, value.start, value.start)
                node = Mapping(False, key.line, key.start, value.end, [(name_key, key), (stops_key, value)])
        fields = Fields(node, where, self.problems, _DIVISION)
        if not fields.text("name").strip():
            fields.problem("name", "the division has no name", "Write name: Great")
        return fields

    def _division(
        self,
        fields: Fields,
        division_id: str,
        role: Role,
        keyboard: str | None,
        compass: tuple[Key, Key] | None,
        stops: StopReader,
        setting: Setting,
    ) -> Division:
        name = fields.text("name")
        stated = fields.has("keyboard")
        return Division(
            id=division_id,
            name=name,
            role=role,
            keyboard=fields.read("keyboard", _read_keyboard, keyboard),
            keyboard_assumed=fields.flag(
                "keyboard assumed", not stated and keyboard is not None and role is not Role.PEDAL
            ),
            enclosed=fields.read("enclosed", _read_enclosed, enclosed_by_name(name, role)),
            box=fields.text("box") or None,
            compass=compass,
            missing=frozenset(_keys(fields, "missing keys")),
            also_on=tuple(k for k in _keyboards(fields) if k),
            remark=fields.text("remark"),
            lines=(fields.node.line,),
            stops=stops.read(fields, division_id, setting),
        )


def _role(fields: Fields) -> Role:
    name = fields.text("name")
    by_name = role_of_name(name)
    role = fields.choice("role", Role, by_name)
    if role is None:
        if not fields.has("role"):
            near = nearest(name, known_names())
            roles = ", ".join(one.value for one in Role)
            problem = f"what {shown(name)} is cannot be told by its name"
            remedy = f"Did you mean “{near}”? Else write" if near else "Write"
            fields.problem("role", problem, f"{remedy} role: one of {roles}")
        return Role.MANUAL_1
    return role


def _read_tradition(text: str) -> str:
    for tradition in TRADITIONS:
        if plain_key(tradition) == plain_key(text):
            return tradition
    raise UnfitError(f"{shown(text)} is no tradition known here", suggestion(text, TRADITIONS))


def _read_enclosed(text: str) -> bool | None:
    return None if text.strip().casefold() == NOT_KNOWN else read_flag(text)


_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5}


def _read_keyboard(text: str) -> str | None:
    word = plain_key(text).removeprefix("manual ")
    if word in ("pedal", "none"):
        return "pedal" if word == "pedal" else None
    number = _ROMAN.get(word, int(word) if word in ("1", "2", "3", "4", "5") else 0)
    if not number:
        raise UnfitError(f"{shown(text)} is no keyboard", "Write manual 1 to manual 5 (the lowest is 1), pedal or none")
    return f"manual-{number}"


def _keyboards(fields: Fields) -> list[str | None]:
    return _listed(fields, "also on", _read_keyboard)


def _keys(fields: Fields, key: str) -> list[Key]:
    return _listed(fields, key, read_key)


def _listed(fields: Fields, key: str, reader: Callable[[str], T]) -> list[T]:
    found = []
    for text, line in fields.words(key):
        for word in re.split(r"\s*,\s*", text):
            try:
                found.append(reader(word))
            except UnfitError as unfit:
                fields.problems.add(line, fields.place(key), unfit.problem, unfit.remedy)
    return found
