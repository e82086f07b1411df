"""The built-in piece and organs, by name and path."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

DEMO_PIECE = "demo_piece.musicxml"
DEMO_ORGAN = "english_three_manual.yaml"


def _folder() -> Path:
    return Path(str(resources.files("sample_specs")))


def is_builtin(path: str) -> bool:
    """Whether a file is one of the program's own, which are never written."""
    return Path(path).resolve().is_relative_to(_folder().resolve())


def demo_piece() -> Path | None:
    """The built-in piece, or None where it is not shipped."""
    path = _folder() / DEMO_PIECE
    return path if path.is_file() else None


def demo_organ() -> Path | None:
    """The organ that the built-in piece is shown on."""
    path = _folder() / DEMO_ORGAN
    if path.is_file():
        return path
    organs = sorted(_folder().glob("*.yaml"))
    return organs[0] if organs else None


def sample_organs() -> list[tuple[str, str]]:
    """Name and path of each built-in organ; the name is the file's first ``name:`` line."""
    found = []
    for path in sorted(_folder().glob("*.yaml")):
        found.append((_name_in(path) or path.stem.replace("_", " "), str(path)))
    return found


def _name_in(path: Path) -> str:
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("name:"):
            return line.removeprefix("name:").strip().strip("'\"")
    return ""
