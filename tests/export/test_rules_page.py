from __future__ import annotations

from pathlib import Path

from core.export.rules import rules_markdown

PAGE = Path(__file__).resolve().parents[2] / "docs" / "rules.md"


def test_the_guides_page_of_rules_is_the_rules_own() -> None:
    assert PAGE.read_text(encoding="utf-8") == rules_markdown(), "run  make guide"
