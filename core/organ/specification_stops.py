"""The stops of a specification: short forms, long forms, breaks, and ranks that several stops share."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from math import log2

from core.organ.completing import (
    RANKED_FAMILIES,
    Known,
    Setting,
    customary_composition,
    known_of,
)
from core.organ.ids import stop_slug, unused
from core.organ.kinds import kinds
from core.organ.mixtures import BOTTOM, read_ranks
from core.organ.model import Break, Division, Family, Feet, Half, Key, Ranks, Role, Stop
from core.organ.shorthand import (
    ShortStop,
    breaks_of,
    read_compass,
    read_composition,
    read_key,
    read_pitch,
    read_pitch_apart,
    read_short_stop,
)
from core.organ.spelling import write_feet
from core.organ.yaml_fields import Fields, UnfitError, nearest, shown
from core.organ.yaml_nodes import Mapping, Node, Problems, Scalar, Sequence

OPTIONS = (
    "stop", "name", "id", "pitch", "ranks", "family", "loudness", "from", "to", "compass", "missing keys",
    "half", "half word", "enclosed", "box", "pipes of", "rank", "shift", "borrowed", "on ventil", "in use", "remark",
    "kind", "guess", "composition", "composition assumed",
)  # fmt: skip
_EXAMPLE = "- Oboe 8"
_KEY_NAME = re.compile(r"[A-Ga-g][#b♯♭]?\d")


@dataclass(frozen=True, slots=True)
class _Loan:
    """A stop that speaks from another one's pipes, to be found once all stops are read."""

    stop_id: str
    wanted: str
    shift: int | None
    line: int
    where: str


class StopReader:
    """Reads the stops of all divisions; `settle` then finds whose pipes are shared."""

    def __init__(self, problems: Problems) -> None:
        self.problems = problems
        self.taken: set[str] = set()
        self.loans: list[_Loan] = []

    def read(self, division: Fields, division_id: str, setting: Setting) -> tuple[Stop, ...]:
        """The stops of one division."""
        found = []
        for number, node in enumerate(division.items("stops", _EXAMPLE)):
            where = f"{division.where}.stops[{number}]"
            stop = self._stop(node, where, division_id, setting)
            if stop is not None:
                found.append(stop)
        return tuple(found)

    def _stop(self, node: Node, where: str, division_id: str, setting: Setting) -> Stop | None:
        if isinstance(node, Sequence):
            self.problems.add(node.line, where, "a stop is wanted here, not a list", f"Write {_EXAMPLE}")
            return None
        if isinstance(node, Scalar):
            node = Mapping(True, node.line, node.start, node.end, [(_made("stop", node), node)])
        elif len(node.entries) == 1 and node.entries[0][0].text.casefold() not in ("stop", "name"):
            node = _opened(*node.entries[0])
        fields = Fields(node, where, self.problems, OPTIONS)
        if fields.has("stop") == fields.has("name"):
            fields.problem("stop", "the stop has no name", "Write stop: Oboe 8, or name: Oboe and pitch: 8")
            return None
        if fields.has("name"):
            short = ShortStop(name=fields.text("name"))
        else:
            try:
                short = read_short_stop(fields.text("stop"))
            except UnfitError as unfit:
                self.problems.add(fields.line("stop"), where, unfit.problem, unfit.remedy)
                return None
        return self._made_of(fields, short, division_id, setting)

    def _made_of(self, fields: Fields, short: ShortStop, division_id: str, setting: Setting) -> Stop | None:
        short = settle_numeral(short, setting, has_composition=fields.has("composition"))
        pitch = fields.read("pitch", read_pitch_apart, short.pitch)
        ranks = fields.read("ranks", read_ranks_apart, short.ranks)
        known = known_of(short.name, pitch, ranks, setting)
        if not known.known and (ranks or fields.has("composition")):
            known = known._replace(family=Family.MIXTURE)
        kind = fields.read("kind", _read_kind, known.kind)
        family = fields.choice("family", Family, known.family)
        pitch = self._pitch(fields, short, pitch, family, known)
        half = fields.choice("half", Half, short.half)
        first, last = self._compass(fields, short)
        composition = self._composition(fields, setting.role)
        assumed = not composition
        if assumed and (ranks or family in RANKED_FAMILIES[:2]):
            composition = customary_composition(kind, family, ranks, pitch, setting.role)
        stop = Stop(
            id=self._id(fields, short.name, pitch, half, division_id),
            name=short.name,
            pitch=pitch,
            family=family,
            ranks=ranks,
            composition=composition,
            composition_assumed=fields.flag("composition assumed", assumed and bool(composition)),
            kind=kind,
            guess=fields.flag("guess", known.guess and not fields.has("family")),
            loudness=fields.number("loudness", 1, 10, known.loudness),
            compass=(first, last),
            missing=frozenset(self._missing(fields)),
            half=half,
            half_word=fields.text("half word"),
            enclosed=fields.flag("enclosed", short.enclosed),
            box=fields.text("box") or None,
            rank=fields.text("rank"),
            rank_shift=fields.number("shift", -60, 60, 0),
            borrowed=fields.text("borrowed") or None,
            on_ventil=fields.flag("on ventil", None),
            in_use=bool(fields.flag("in use", True)),
            remark=fields.text("remark"),
            lines=(fields.node.line,),
        )
        self._note_loan(fields, stop)
        return stop

    def _pitch(self, fields: Fields, short: ShortStop, pitch: Feet | None, family: Family, known: Known) -> Feet | None:
        if pitch is not None or fields.has("pitch") or family in (*RANKED_FAMILIES[:2], Family.PERCUSSION):
            return pitch
        if known.list_pitch is not None:
            return known.list_pitch
        problem = f"{shown(short.name)} has no pitch, and its name does not fix one"
        fields.problem("pitch", problem, f"Write the feet after the name: {short.name} 8")
        return None

    def _compass(self, fields: Fields, short: ShortStop) -> tuple[Key | None, Key | None]:
        whole: tuple[Key | None, Key | None] = fields.read("compass", read_compass, (short.first, short.last))
        return fields.read("from", read_key, whole[0]), fields.read("to", read_key, whole[1])

    def _missing(self, fields: Fields) -> list[Key]:
        found = []
        for text, _ in fields.words("missing keys"):
            for word in re.split(r"\s*,\s*", text):
                try:
                    found.append(read_key(word))
                except UnfitError as unfit:
                    fields.problem("missing keys", unfit.problem, unfit.remedy)
        return found

    def _composition(self, fields: Fields, role: Role) -> tuple[Break, ...]:
        node = fields.value("composition")
        if node is None:
            return ()
        pedal = role is Role.PEDAL
        where = fields.place("composition")
        if not isinstance(node, Mapping):
            feet = self._row(node, where, pedal)
            return (Break(BOTTOM, feet),) if feet else ()
        rows: list[tuple[Key, tuple[Feet, ...]]] = []
        for key, value in node.entries:
            try:
                at = read_key(key.text)
            except UnfitError as unfit:
                self.problems.add(key.line, where, unfit.problem, unfit.remedy)
                continue
            if at in [row[0] for row in rows]:
                problem = f"a break at {shown(key.text)} stands here twice"
                self.problems.add(key.line, where, problem, "Keep one of them")
            feet = self._row(value, f"{where}.{key.text}", pedal)
            if feet:
                rows.append((at, feet))
        return breaks_of(rows)

    def _row(self, node: Node, where: str, pedal: bool) -> tuple[Feet, ...]:
        try:
            if isinstance(node, Scalar):
                return read_composition(node.text, pedal=pedal)
            if isinstance(node, Sequence) and all(isinstance(item, Scalar) for item in node.items):
                return tuple(read_pitch(item.text) for item in node.items if isinstance(item, Scalar))
            raise UnfitError("a composition is wanted here", "Write 19.22.26.29, or [2 2/3, 2, 1 1/3]")
        except UnfitError as unfit:
            self.problems.add(node.line, where, unfit.problem, unfit.remedy)
            return ()

    def _id(self, fields: Fields, name: str, pitch: Feet | None, half: Half | None, division_id: str) -> str:
        wanted = fields.text("id")
        if not wanted:
            return unused(f"{division_id}/{stop_slug(name, pitch, half)}", self.taken)
        if wanted in self.taken:
            fields.problem("id", f"the id {shown(wanted)} is taken", "Give each stop an id of its own")
        self.taken.add(wanted)
        return wanted

    def _note_loan(self, fields: Fields, stop: Stop) -> None:
        if not fields.has("pipes of"):
            return
        if fields.has("rank"):
            problem = "“rank” and “pipes of” both say whose pipes these are"
            fields.problem("rank", problem, "Keep one of them")
        shift = stop.rank_shift if fields.has("shift") else None
        wanted = fields.text("pipes of")
        self.loans.append(_Loan(stop.id, wanted, shift, fields.line("pipes of"), fields.place("pipes of")))

    # ---------------------------------------------------------------- shared ranks
    def settle(self, divisions: tuple[Division, ...]) -> tuple[Division, ...]:
        """Find the stops whose pipes others speak from, and give both the same rank."""
        ranks: dict[str, tuple[str, int]] = {}
        by_id = {stop.id: stop for division in divisions for stop in division.stops}
        for loan in self.loans:
            division = next(d for d in divisions if any(s.id == loan.stop_id for s in d.stops))
            owner = find_owner(loan.wanted, division, divisions)
            if owner is None or owner.id == loan.stop_id:
                labels = [label_of(s) for d in divisions for s in d.stops if s.id != loan.stop_id]
                near = nearest(loan.wanted.split(":")[-1].strip(), labels)
                remedy = f"Did you mean “{near}”?" if near else "Write a stop of this division, or Great: Trumpet 8"
                self.problems.add(loan.line, loan.where, f"{shown(loan.wanted)} is no stop of this organ", remedy)
                continue
            shift = loan.shift if loan.shift is not None else octave_shift(by_id[loan.stop_id], owner)
            ranks[loan.stop_id] = (owner.rank or owner.id, shift)
        return tuple(replace(d, stops=tuple(_with_rank(s, ranks) for s in d.stops)) for d in divisions)


def _with_rank(stop: Stop, ranks: dict[str, tuple[str, int]]) -> Stop:
    if stop.id not in ranks:
        return stop
    rank, shift = ranks[stop.id]
    return replace(stop, rank=rank, rank_shift=shift)


def octave_shift(stop: Stop, owner: Stop) -> int:
    """How many pipes further up in the owner's rank a key finds its pipe: an 8 ft stop of 16 ft pipes, 12."""
    if stop.pitch is None or owner.pitch is None:
        return 0
    return round(12 * log2(owner.pitch / stop.pitch))


def label_of(stop: Stop) -> str:
    """A stop as people name it: ``Oboe 8``, ``Mixture``."""
    return stop.name if stop.pitch is None else f"{stop.name} {write_feet(stop.pitch)}"


def find_owner(wanted: str, own: Division, divisions: tuple[Division, ...]) -> Stop | None:
    """The stop that ``great/trumpet-8``, ``Trumpet 8`` or ``Great: Trumpet 8`` means."""
    for division in divisions:
        for stop in division.stops:
            if stop.id == wanted.strip():
                return stop
    place, colon, rest = wanted.partition(":")
    name = (rest if colon else place).strip().casefold()
    places = [own] if not colon else [d for d in divisions if place.strip().casefold() in (d.id, d.name.casefold())]
    return next((s for d in places for s in d.stops if label_of(s).casefold() == name), None)


def settle_numeral(short: ShortStop, setting: Setting, *, has_composition: bool) -> ShortStop:
    """Decide whether a Roman figure counts ranks (Mixture IV) or numbers the stop (Open Diapason II)."""
    if not short.numeral:
        return short
    ranks = read_ranks(short.numeral)
    counts = ranks is not None and ranks.high > 1
    if counts and not has_composition:
        known = known_of(short.name, short.pitch, ranks, setting)
        counts = known.family in RANKED_FAMILIES or (not known.known and short.pitch is None)
    if counts:
        return replace(short, ranks=ranks, numeral="")
    return replace(short, name=f"{short.name} {short.numeral}", numeral="")


def _made(text: str, like: Node) -> Scalar:
    return Scalar(text, True, like.line, like.start, like.start)


def _opened(key: Scalar, value: Node) -> Mapping:
    """``Oboe 8: {loudness: 6}`` and ``Mixture IV: 19.22.26.29`` as if written under ``stop:``."""
    head = (_made("stop", key), key)
    if isinstance(value, Scalar) and value.is_nothing:
        return Mapping(True, key.line, key.start, key.end, [head])
    if isinstance(value, Mapping) and not is_breaks(value):
        return Mapping(value.flow, key.line, key.start, value.end, [head, *value.entries])
    return Mapping(False, key.line, key.start, value.end, [head, (_made("composition", value), value)])


def is_breaks(value: Mapping) -> bool:
    """Whether a mapping after a stop holds the breaks of its composition (else its options)."""
    return bool(value.entries) and all(_KEY_NAME.fullmatch(name.text) for name, _ in value.entries)


def read_ranks_apart(text: str) -> Ranks:
    """Ranks written under a key of their own: ``4``, ``IV`` or ``3-6``. Raises UnfitError."""
    plain = text.strip()
    bare = re.fullmatch(r"(\d{1,2})(?:\s*-\s*(\d{1,2}))?", plain)
    ranks = Ranks(int(bare[1]), int(bare[2] or bare[1])) if bare else read_ranks(plain)
    if ranks is None or not 1 <= ranks.low <= ranks.high:
        raise UnfitError(f"{shown(text)} is no number of ranks", "Write IV, 4 or 3-6")
    return ranks


def _read_kind(text: str) -> str | None:
    if text.strip().casefold() == "none":
        return None
    ids = [kind.id for kind in kinds()]
    if text.strip() in ids:
        return text.strip()
    near = nearest(text, ids)
    raise UnfitError(
        f"{shown(text)} is no kind of stop known here", f"Did you mean “{near}”?" if near else "Leave it out"
    )
