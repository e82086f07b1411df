"""Which kinds claim a spelling: the index from keys of names to kinds, made once from the data."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import NamedTuple

from core.knowledge.loader import guard_of, load_derived, write_derived
from core.organ.kinds import FILES, kinds
from core.organ.normal import key_of, loose_key, ocr_key

NAME = "claims"
LEVELLED = "levelled"
_CODE = ("claims.py", "kinds.py", "normal.py")


class Claim(NamedTuple):
    """A kind and the languages in which it is spelt so."""

    kind_id: str
    languages: tuple[str, ...]


@cache
def index() -> dict[str, tuple[Claim, ...]]:
    """Key of each spelling → the kinds that claim it: as kept, or made where that is out of date."""
    kept = load_derived(NAME, _guard())
    if kept is None:
        return made_index()
    return {key: tuple(Claim(i, tuple(ls)) for i, ls in by) for key, by in kept.items()}


@cache
def _guard() -> str:
    here = Path(__file__).parent
    return guard_of([f"stops/{file}" for file in FILES], [str(here / code) for code in _CODE])


def keep_index() -> None:
    """Make the index and the levelled keys and write them for the next start."""
    write_derived(NAME, _guard(), made_index())
    write_derived(LEVELLED, _guard(), {key: [loose_key(key), ocr_key(key)] for key in made_index()})


@cache
def levelled() -> dict[str, tuple[str, str]]:
    """Key of each spelling → its loose key and its key for poor print: as kept, or made where that is out of date."""
    kept = load_derived(LEVELLED, _guard())
    if kept is None:
        return {key: (loose_key(key), ocr_key(key)) for key in index()}
    return {key: (loose, ocr) for key, (loose, ocr) in kept.items()}


def made_index() -> dict[str, tuple[Claim, ...]]:
    """The same, made from the data files."""
    claims: dict[str, dict[str, list[str]]] = {}
    for one in kinds():
        for language, names in one.languages.items():
            for name in names:
                claims.setdefault(key_of(name), {}).setdefault(one.id, []).append(language)
    return {key: tuple(Claim(i, tuple(ls)) for i, ls in by.items()) for key, by in claims.items()}


@cache
def loose_index() -> dict[str, tuple[Claim, ...]]:
    """Loose key → claims, where one kind alone (or one homonym) claims it."""
    found: dict[str, tuple[Claim, ...] | None] = {}
    for key, claims in index().items():
        loose = levelled()[key][0]
        known = found.get(loose, claims)
        same = known is not None and {c.kind_id for c in known} == {c.kind_id for c in claims}
        found[loose] = known if same else None
    return {key: claims for key, claims in found.items() if claims}


if __name__ == "__main__":
    keep_index()
