"""What a division is by its name, and how an aid is called whose text the specification leaves out."""

from __future__ import annotations

from functools import cache

from core.knowledge.loader import load
from core.organ.ids import slug
from core.organ.model import AidKind, Role

_IDLE_WORDS = {"organ", "orgel", "orgue", "organo", "division", "department", "clavier"}


def role_of_name(name: str) -> Role | None:
    """The role that a division's name tells, or None."""
    known = _roles()
    words = slug(name).split("-")
    return known.get("-".join(words)) or known.get("-".join(w for w in words if w not in _IDLE_WORDS))


def known_names() -> list[str]:
    """Every name of a division that tells its role."""
    return [name for names in load("specification")["roles"].values() for name in names]


@cache
def _roles() -> dict[str, Role]:
    roles = load("specification")["roles"]
    return {slug(name): Role(role) for role, names in roles.items() for name in names}


def aid_text(kind: AidKind, count: int | None, division: str = "") -> str:
    """An aid in words: ``8 general pistons``, ``Swell: 6 pistons``."""
    one, many = load("specification")["aids"][kind.value]
    text = one if count in (None, 1) else f"{count} {many}"
    return f"{division}: {text}" if division else str(text)
