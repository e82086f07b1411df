"""Which kinds claim a spelling: the index from keys of names to kinds, made once from the data."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from core.organ.kinds import kinds
from core.organ.normal import key_of, loose_key


class Claim(NamedTuple):
    """A kind and the languages in which it is spelt so."""

    kind_id: str
    languages: tuple[str, ...]


@cache
def index() -> dict[str, tuple[Claim, ...]]:
    """Key of each spelling → the kinds that claim it."""
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
        loose = loose_key(key)
        known = found.get(loose, claims)
        same = known is not None and {c.kind_id for c in known} == {c.kind_id for c in claims}
        found[loose] = known if same else None
    return {key: claims for key, claims in found.items() if claims}
