"""Recognises what heads no division: couplers, accessories, compasses."""

from __future__ import annotations

import re
from functools import lru_cache

from core.organ.lists.vocabulary import words


@lru_cache(maxsize=4096)
def section_of(folded: str) -> str | None:
    """The kind of section that a folded heading names, or None."""
    bare = re.sub(r"\(.*?\)|[^\w\s'&/-]", " ", re.sub(r"\s*(?:--|—|–)\s*[\w-]+\.?$", "", folded))
    bare = " ".join(bare.replace("&", "and").split()).strip(" -")
    variants = {bare, bare.removeprefix("the "), re.sub(r"^\d+\s", "", bare), bare.replace("-", "")}
    for section in ("couplers", "accessories", "compass"):
        if variants & words("sections", section):
            return section
    parts = [p for p in re.split(r"\s+(?:and|und|et|en|e|y|och|og|a|i|u)\s+|/|,", bare) if p]
    if len(parts) == 2:
        kinds = [next((s for s in ("couplers", "accessories") if p in words("sections", s)), None) for p in parts]
        if any(kinds) and all(k or p in words("tremulant") for k, p in zip(kinds, parts, strict=True)):
            return "couplers" if "couplers" in kinds else "accessories"
    return None
