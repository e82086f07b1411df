"""Before the window: is there a display, and are the system libraries there? Imports no toolkit."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

PACKAGES = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libdbus-1.so.3": "libdbus-1-3",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxcb.so.1": "libxcb1",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libX11.so.6": "libx11-6",
    "libz.so.1": "zlib1g",
}
"""Which Debian package brings a library (Ubuntu has the same names)."""

_NOT_FOUND = re.compile(r"^\s*(\S+)\s+=>\s+not found", re.MULTILINE)
_PLUGIN = Path("Qt", "plugins", "platforms")


def has_display() -> bool:
    """Whether a window can be shown: always on Windows and macOS, else where a display is named and there."""
    if sys.platform in ("win32", "darwin"):
        return True
    if os.environ.get("QT_QPA_PLATFORM", "").partition(":")[0] in ("offscreen", "minimal"):
        return False
    if os.environ.get("WAYLAND_DISPLAY"):
        return True
    display = os.environ.get("DISPLAY", "")
    if display.startswith(":"):
        number = display[1:].partition(".")[0]
        sockets = Path("/tmp/.X11-unix")  # where an X server puts them
        return not sockets.is_dir() or (sockets / f"X{number}").exists()
    return bool(display)


def missing_libraries(platform: str = "xcb") -> list[str]:
    """Libraries of the system that the toolkit's plugin for this platform does not find."""
    if not sys.platform.startswith("linux"):
        return []
    spec = find_spec("PySide6")
    if spec is None or not spec.submodule_search_locations:
        return []
    folder = Path(next(iter(spec.submodule_search_locations)))
    return libraries_not_found(folder / _PLUGIN / f"libq{platform}.so")


def libraries_not_found(file: Path) -> list[str]:
    """What the system's loader does not find for a library, by `ldd`."""
    if not file.is_file():
        return []
    try:
        done = subprocess.run(["ldd", str(file)], capture_output=True, text=True, timeout=20, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return []
    return read_ldd(done.stdout)


def read_ldd(output: str) -> list[str]:
    """The libraries that `ldd` reports as not found, each once."""
    return list(dict.fromkeys(_NOT_FOUND.findall(output)))


def explain(missing: list[str]) -> str:
    """One sentence: what is missing and which package brings it."""
    known = list(dict.fromkeys(PACKAGES[library] for library in missing if library in PACKAGES))
    unknown = [library for library in missing if library not in PACKAGES]
    words = "The window needs libraries of the system that are not here: " + ", ".join(missing) + "."
    if known:
        words += f" On Debian or Ubuntu: apt install {' '.join(known)}."
    if unknown:
        words += f" Look for the package that brings {', '.join(unknown)}."
    return words


def library_in(error: ImportError) -> list[str]:
    """The library that an import of the toolkit missed."""
    match = re.match(r"(lib\S+\.so[.\d]*)", str(error))
    return [match.group(1)] if match else []
