"""The action table is whole: unique, each with a method, a drawing, a sentence."""

from __future__ import annotations

from collections import Counter
from importlib import resources

from lxml import etree

from app.actions import ACTIONS, MENU_TITLES, keys_page
from app.doing import Doing
from app.window import Window


def test_ids_and_keys_are_unique() -> None:
    assert max(Counter(action.id for action in ACTIONS).values()) == 1
    keys = Counter(key for action in ACTIONS for key in action.keys)
    assert max(keys.values()) == 1, keys.most_common(2)


def test_each_action_is_done_drawn_and_told() -> None:
    for action in ACTIONS:
        assert callable(getattr(Doing, f"do_{action.id}")), action.id
        assert action.tip.endswith("."), action.id
        assert resources.files("icons").joinpath(f"{action.icon}.svg").is_file(), action.icon
        assert action.menu in MENU_TITLES


def test_the_letters_that_pick_are_unique_in_each_menu() -> None:
    for menu in MENU_TITLES:
        letters = [
            action.title.split("&")[1][0].lower() for action in ACTIONS if action.menu == menu and "&" in action.title
        ]
        assert len(letters) == len(set(letters)), (menu, letters)


def test_drawings_are_of_one_style() -> None:
    for file in resources.files("icons").iterdir():
        if file.name.endswith(".svg"):
            root = etree.fromstring(file.read_bytes())
            assert root.get("viewBox") == "0 0 24 24", file.name
            assert root.get("stroke-width") == "1.6", file.name
            assert root.get("stroke") == "#22201c", file.name


def test_the_page_of_keys_has_every_key() -> None:
    page = " ".join(keys for keys, _ in keys_page())
    assert all(key in page for action in ACTIONS for key in action.keys)


def test_every_action_stands_in_a_menu(window: Window) -> None:
    shown = {a.text() for menu in window.menuBar().actions() for a in menu.menu().actions()}
    assert {action.title for action in ACTIONS} <= shown
