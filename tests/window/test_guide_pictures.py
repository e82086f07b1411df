"""The pictures of the guide are those that the window makes, and each is shown in the guide."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from app.guide_pictures import SCENES, main

GUIDE = Path(__file__).resolve().parents[2] / "docs" / "guide.md"


def test_the_guide_shows_every_scene_and_no_other() -> None:
    shown = re.findall(r"\]\(pictures/(\w+)\.png\)", GUIDE.read_text(encoding="utf-8"))
    assert sorted(shown) == sorted(SCENES)
    assert sorted(p.stem for p in (GUIDE.parent / "pictures").glob("*.png")) == sorted(SCENES)


def test_a_scene_is_made_from_the_real_window(application: QApplication, tmp_path: Path) -> None:
    main(tmp_path, ("opening", "writing"))
    images = {name: QImage(str(tmp_path / f"{name}.png")) for name in ("opening", "writing")}
    assert all(not image.isNull() and image.width() >= 1280 for image in images.values())
    assert images["opening"] != images["writing"]
