"""What is kept for a fast start is what would be built."""

from __future__ import annotations

import json
from typing import Any

import pytest

from core.knowledge import loader
from core.markings import kept_lexicon
from core.markings.lexicon import built_lexicon
from core.markings.reading import read_marking
from core.organ import claims


@pytest.fixture
def shelf(monkeypatch: pytest.MonkeyPatch) -> dict[str, tuple[str, Any]]:
    """What is written is kept here, as JSON would have it, and not in the project's folder."""
    kept: dict[str, tuple[str, Any]] = {}

    def write(name: str, guard: str, data: Any) -> None:
        kept[name] = (guard, json.loads(json.dumps(data)))

    def load(name: str, guard: str) -> Any:
        return kept[name][1] if name in kept and kept[name][0] == guard else None

    for module in (kept_lexicon, claims):
        monkeypatch.setattr(module, "write_derived", write)
        monkeypatch.setattr(module, "load_derived", load)
    return kept


def test_the_kept_lexicon_is_the_built_one(shelf: dict[str, Any]) -> None:
    assert kept_lexicon.kept_lexicon() is None
    kept_lexicon.keep_lexicon()
    kept, built = kept_lexicon.kept_lexicon(), built_lexicon()
    assert kept is not None
    assert list(kept.single) == list(built.single)
    assert list(kept.longer) == list(built.longer)
    assert {key: list(entries) for key, entries in kept.single.items()} == dict(built.single)
    assert {key: list(entries) for key, entries in kept.longer.items()} == dict(built.longer)
    assert "sw" in kept.single
    assert ("gt", "organ") in kept.longer
    assert 3 not in kept.single
    assert kept.single.get("no such word") is None


def test_the_kept_claims_are_the_made_ones(shelf: dict[str, Any]) -> None:
    claims.keep_index()
    try:
        claims.index.cache_clear()
        assert claims.index() == claims.made_index()
    finally:
        claims.index.cache_clear()


def test_what_is_out_of_date_is_not_taken(shelf: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    kept_lexicon.keep_lexicon()
    monkeypatch.setattr(kept_lexicon, "guard_of", lambda names, code: "another")
    assert kept_lexicon.kept_lexicon() is None
    assert read_marking("Sw. Oboe").instructions


def test_a_guard_changes_with_data_and_code(tmp_path: Any) -> None:
    code = tmp_path / "module.py"
    code.write_text("a = 1\n", encoding="utf-8")
    before = loader.guard_of(["bare_names"], [str(code)])
    assert loader.guard_of(["bare_names"], [str(code)]) == before
    assert loader.guard_of(["keyboards"], [str(code)]) != before
    code.write_text("a = 2\n", encoding="utf-8")
    assert loader.guard_of(["bare_names"], [str(code)]) != before


def test_what_is_kept_is_up_to_date() -> None:
    remedy = "data or code changed since: run make knowledge"
    assert kept_lexicon.kept_lexicon() is not None, remedy
    assert loader.load_derived(claims.NAME, claims._guard()) is not None, remedy
