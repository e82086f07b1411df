"""Where ``stopwright`` starts: the command line, with doors to the window that import Qt when called."""

from __future__ import annotations

from typing import Any

from core.cli.main import main as run_command_line
from core.cli.output import Door


def _open(*words: Any, **options: Any) -> int:
    from app.start import open_window

    return open_window(*words, **options)


def _pdf(*words: Any) -> int:
    from app.start import make_pdf

    return make_pdf(*words)


def _engrave(*words: Any) -> int:
    import os

    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from app.printing import engrave

    return engrave(*words)


def _snippets(*words: Any) -> int:
    from app.printing import snippets

    return snippets(*words)


DOORS: dict[str, Door] = {"open": _open, "pdf": _pdf, "engrave": _engrave, "snippets": _snippets}


def main() -> int:
    """Run the command line of this process."""
    return run_command_line(doors=DOORS)
