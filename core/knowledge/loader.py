"""Loads the trade's knowledge: YAML files with their sources, kept as JSON beside them for a fast start.

`make knowledge` writes the JSON; it is taken while its hash agrees with the YAML's bytes, else the YAML
itself is read. Nothing is read that the command does not need.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

_FOLDER = resources.files("core.knowledge")


def knowledge_names() -> list[str]:
    """All data files, as ``load`` takes them: ``stops``, ``languages/en``."""
    folder = Path(str(_FOLDER))
    return sorted(str(p.relative_to(folder).with_suffix("")).replace("\\", "/") for p in folder.rglob("*.yaml"))


@cache
def load(name: str) -> Any:
    """The content of a data file, e.g. ``load("stops")``. Treat it as read-only: it is shared."""
    yaml_bytes = _FOLDER.joinpath(f"{name}.yaml").read_bytes()
    built = _FOLDER.joinpath(f"{name}.json")
    if built.is_file():
        document = json.loads(built.read_bytes())
        if document.get("hash") == _hash(yaml_bytes):
            return document["data"]
    return read_yaml(yaml_bytes)


def source_text(name: str) -> str:
    """The YAML of a data file as it was written, with its remarks."""
    return _FOLDER.joinpath(f"{name}.yaml").read_text(encoding="utf-8")


def read_yaml(source: bytes) -> Any:
    """Trusted data YAML through the C loader where it is there."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load(source, Loader=loader)


def load_derived(name: str, guard: str) -> Any | None:
    """What `write_derived` kept under a name, while its guard is the same; None where it must be made anew."""
    kept = _FOLDER.joinpath(f"derived/{name}.json")
    if not kept.is_file():
        return None
    document = json.loads(kept.read_bytes())
    return document["data"] if document.get("hash") == guard else None


def write_derived(name: str, guard: str, data: Any) -> None:
    """Keep what was worked out from the data files, for a fast start."""
    target = Path(str(_FOLDER)) / "derived" / f"{name}.json"
    target.parent.mkdir(exist_ok=True)
    text = json.dumps({"hash": guard, "data": data}, ensure_ascii=False, separators=(",", ":")) + "\n"
    target.write_text(text, encoding="utf-8")


def guard_of(names: Iterable[str], code: Iterable[str]) -> str:
    """One hash over data files and the modules that work on them: what is derived from both holds while it does."""
    found = hashlib.sha256()
    for name in names:
        found.update(_FOLDER.joinpath(f"{name}.yaml").read_bytes())
    for module in code:
        found.update(Path(module).read_bytes())
    return found.hexdigest()


def build() -> list[str]:
    """Write the JSON beside every YAML whose own is missing or old; returns the names written."""
    folder = Path(str(_FOLDER))
    written = []
    for name in knowledge_names():
        source = (folder / f"{name}.yaml").read_bytes()
        target = folder / f"{name}.json"
        document = {"hash": _hash(source), "data": read_yaml(source)}
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":")) + "\n"
        if not target.exists() or target.read_text(encoding="utf-8") != text:
            target.write_text(text, encoding="utf-8")
            written.append(name)
    return written


def _hash(source: bytes) -> str:
    return hashlib.sha256(source).hexdigest()


if __name__ == "__main__":
    print("\n".join(build()) or "all up to date")
