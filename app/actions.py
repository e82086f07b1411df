"""Every action as data: menus, keys and the page of keys are made from this one table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from PySide6.QtGui import QKeySequence

from app.translation import tr

Menu = Literal["file", "edit", "organ", "papers", "go", "view", "help"]
MENU_TITLES: dict[Menu, str] = {
    "file": "&File",
    "edit": "&Edit",
    "organ": "&Organ",
    "papers": "&Papers",
    "go": "&Go",
    "view": "&View",
    "help": "&Help",
}


@dataclass(frozen=True, slots=True)
class ActionSpec:
    """One action.

    Attributes:
        id: also the name of the window's method that does it, with ``do_`` before it.
        title: in the menu; ``&`` before the letter that picks it.
        keys: shortcuts, as the toolkit writes them.
        tip: what it does, in one sentence.
        icon: name of a drawing in ``icons/``.
        apart: stands under a line in its menu.
        checkable: is on or off.
    """

    id: str
    menu: Menu
    title: str
    keys: tuple[str, ...] = ()
    tip: str = ""
    icon: str = ""
    apart: bool = False
    checkable: bool = False


ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec("open_score", "file", "&Open score …", ("Ctrl+O",), "Open a MusicXML score.", "score"),
    ActionSpec("open_organ", "file", "Open o&rgan …", ("Ctrl+Shift+O",), "Open an organ’s specification.", "organ"),
    ActionSpec("open_demo", "file", "Built-in &piece", (), "Open the built-in piece on a built-in organ.", "leaf"),
    ActionSpec(
        "newer_file",
        "file",
        "A &newer file of this piece …",
        (),
        "Open it with what was decided; see what changed.",
        "change",
    ),
    ActionSpec("save", "file", "&Save", ("Ctrl+S",), "Save score, organ and what was decided.", "save", True),
    ActionSpec("show_opening", "file", "Openin&g page", (), "Close the score; show the ways in.", "desk", True),
    ActionSpec("quit", "file", "&Quit", ("Ctrl+Q",), "Close the window.", "door", True),
    ActionSpec("write", "edit", "&Write a marking here", ("Ctrl+M",), "Write a marking at the cursor.", "pen", True),
    ActionSpec(
        "mark_up",
        "edit",
        "&Mark up for this organ …",
        ("Ctrl+Shift+M",),
        "Write this organ’s stops, brackets and an opening block into the score, all at once.",
        "pen",
    ),
    ActionSpec("copy_marking", "edit", "Copy the mar&king", ("Ctrl+C",), "Copy the chosen marking.", "copy"),
    ActionSpec("paste_marking", "edit", "&Paste it here", ("Ctrl+V",), "Put the copied marking at the cursor.", "copy"),
    ActionSpec(
        "put_elsewhere",
        "edit",
        "Put it at other p&laces …",
        ("Ctrl+Shift+C",),
        "Put the chosen marking at several other beats at once.",
        "copy",
    ),
    ActionSpec(
        "bracket",
        "edit",
        "&Bracket from here …",
        ("Ctrl+B",),
        "Draw a bracket from the cursor on: Shift and the arrows lengthen it, Enter writes it.",
        "solo",
    ),
    ActionSpec(
        "brackets",
        "edit",
        "E&nd solos by a bracket",
        (),
        "End a solo by a bracket; else by naming where the hand goes next.",
        "solo",
        True,
        True,
    ),
    ActionSpec(
        "new_organ", "organ", "&New organ …", ("Ctrl+N",), "Begin an organ’s specification from nothing.", "organ"
    ),
    ActionSpec(
        "paste_list",
        "organ",
        "Paste a stop &list …",
        ("Ctrl+Shift+V",),
        "Make an organ of a stop list from the clipboard or a text file, and see line by line what was understood.",
        "organ",
    ),
    ActionSpec("add_stop", "organ", "Add a &stop …", ("Ctrl+T",), "Add stops to a division.", "pen", True),
    ActionSpec("add_division", "organ", "Add a &division …", (), "Add a division to the organ.", "pen"),
    ActionSpec("add_coupler", "organ", "Add a &coupler …", (), "Add a coupler to the organ.", "pen"),
    ActionSpec("add_aid", "organ", "Add a playing &aid …", (), "Add a piston, a tremulant or another aid.", "pen"),
    ActionSpec(
        "whole_organ", "organ", "Name, place, &tradition …", (), "Change what is said of the whole organ.", "pen"
    ),
    ActionSpec(
        "summary", "organ", "S&ummary", ("Ctrl+I",), "The organ in a few lines, and what it lacks.", "leaf", True
    ),
    ActionSpec(
        "colours", "organ", "C&olours …", ("Ctrl+K",), "What sounds the organ can make, found by a word.", "leaf"
    ),
    ActionSpec(
        "organ_page",
        "organ",
        "Specification &page …",
        ("Ctrl+Shift+P",),
        "See the organ’s specification page; print it or save it as PDF, HTML or text.",
        "organ",
    ),
    ActionSpec("save_organ_as", "organ", "Sa&ve under another name …", (), "Save the organ in another file.", "save"),
    ActionSpec(
        "next_organ", "organ", "Ne&xt organ", ("F4",), "Set the piece against the next of the open organs.", "organ"
    ),
    ActionSpec(
        "organ_changes", "organ", "What c&hanges …", ("Shift+F4",), "What this organ changes beside the last.", "change"
    ),
    ActionSpec(
        "pencil",
        "organ",
        "Pencil &in here …",
        ("Ctrl+J",),
        "Pencil in what you play here on this organ: other stops, a change, a piston number; the print stays as it is.",
        "pencil",
        True,
    ),
    ActionSpec("pencil_list", "organ", "Pencil &marks …", ("Ctrl+Shift+J",), "All you pencilled in for it.", "pencil"),
    ActionSpec(
        "pencil_into_score",
        "organ",
        "Write my pencil marks into the score",
        (),
        "Make them markings of the score’s file, as one step of undo.",
        "pencil",
    ),
    ActionSpec(
        "piece",
        "edit",
        "The p&iece …",
        ("Ctrl+Shift+I",),
        "Whose parts, who plays what, language, custom; with why.",
        "score",
    ),
    ActionSpec("own_words", "edit", "Words of &your own …", (), "The words you taught; forget one here.", "pen", True),
    ActionSpec("style_file", "edit", "House s&tyle from a file …", (), "Prove against a style of your own.", "remark"),
    ActionSpec("style_copy", "edit", "&Copy a house style …", (), "Write a built-in house style to a file.", "pen"),
    ActionSpec(
        "sheet",
        "papers",
        "&Registration sheet …",
        ("Ctrl+R",),
        "What to draw before playing, then each change: for the desk at the console.",
        "leaf",
    ),
    ActionSpec(
        "pistons",
        "papers",
        "P&istons …",
        ("Ctrl+Shift+R",),
        "Plan the fewest pistons that play the piece; write them into the score.",
        "change",
    ),
    ActionSpec(
        "needs",
        "papers",
        "What the piece &asks for …",
        ("Ctrl+E",),
        "What it asks of any organ, set against the open ones, with questions for each church.",
        "organ",
    ),
    ActionSpec(
        "report",
        "papers",
        "Proof re&port …",
        ("Ctrl+Shift+E",),
        "The proof’s remarks and the queries to the author; saved as pages or as a table.",
        "remark",
        True,
    ),
    ActionSpec(
        "number_queries",
        "papers",
        "&Number the queries",
        (),
        "Give every error and everything to decide a number, once and for all proofs.",
        "remark",
    ),
    ActionSpec(
        "compare_files",
        "papers",
        "&Compare with another file …",
        (),
        "What differs in the registration of this piece and of another file of it.",
        "round",
    ),
    ActionSpec(
        "front_page",
        "papers",
        "&Front page …",
        (),
        "The organ’s specification, the abbreviations used, and what may be replaced.",
        "leaf",
        True,
    ),
    ActionSpec("print_score", "papers", "The &score …", ("Ctrl+P",), "The engraved score: print or save it.", "score"),
    ActionSpec("next_finding", "go", "Next &finding", ("F8",), "Go to the next remark.", "remark"),
    ActionSpec("previous_finding", "go", "Previous f&inding", ("Shift+F8",), "Go to the remark before.", "remark"),
    ActionSpec("find_remark", "go", "Find a &remark …", ("Ctrl+F",), "Search among the remarks.", "remark"),
    ActionSpec("next_change", "go", "Next &change", ("F7",), "Go to the next change of registration.", "change", True),
    ActionSpec("previous_change", "go", "Previous c&hange", ("Shift+F7",), "Go to the change before.", "change"),
    ActionSpec("next_passage", "go", "Next &solo", ("F9",), "Go to the next solo passage.", "solo", True),
    ActionSpec("previous_passage", "go", "Previous s&olo", ("Shift+F9",), "Go to the solo before.", "solo"),
    ActionSpec(
        "show_needs",
        "go",
        "What the piece &asks for",
        ("F3",),
        "In the score’s place, against each open organ.",
        "organ",
        True,
    ),
    ActionSpec("next_place", "go", "Next &place", ("F6",), "Go round: organ, score, proof, beat.", "round", True),
    ActionSpec("previous_place", "go", "Previous p&lace", ("Shift+F6",), "Go round the other way.", "round"),
    ActionSpec("zoom_in", "view", "&Larger", ("Ctrl++", "Ctrl+="), "Show the score larger.", "larger"),
    ActionSpec("zoom_out", "view", "&Smaller", ("Ctrl+-",), "Show the score smaller.", "smaller"),
    ActionSpec(
        "text_larger", "view", "La&rger words", ("Ctrl+Alt++", "Ctrl+Alt+="), "All words a step larger.", "larger"
    ),
    ActionSpec("text_smaller", "view", "S&maller words", ("Ctrl+Alt+-",), "All words a step smaller.", "smaller"),
    ActionSpec("fit_width", "view", "As &wide as the view", ("Ctrl+0",), "Fit the page to the width.", "width"),
    ActionSpec(
        "strip",
        "view",
        "In one s&trip",
        ("Ctrl+L",),
        "Show the music in one line that runs on; else in pages.",
        "strip",
        False,
        True,
    ),
    ActionSpec("fold_organ", "view", "&Organ", ("Ctrl+1",), "Show or fold away the organ.", "organ", True, True),
    ActionSpec("fold_proof", "view", "&Proof", ("Ctrl+2",), "Show or fold away the proof.", "remark", False, True),
    ActionSpec("fold_beat", "view", "At this &beat", ("Ctrl+3",), "Show or fold away the foot.", "beat", False, True),
    ActionSpec("dark", "view", "&Dark", ("Ctrl+D",), "Light ink on dark paper.", "night", True, True),
    ActionSpec("show_keys", "help", "&Keys", ("F1",), "All keys on one page.", "keys"),
    ActionSpec("about", "help", "&About Stopwright", (), "What this is, and its licence.", "leaf"),
)


def keys_page(actions: tuple[ActionSpec, ...] = ACTIONS) -> list[tuple[str, str]]:
    """Keys and what they do, for the page in Help."""
    rows = [(" or ".join(action.keys), action.tip) for action in actions if action.keys]
    rows += [
        ("Left, Right", "From beat to beat in the score"),
        ("Enter", "Open the marking at the cursor"),
        ("Letters", "Typed in the score: a marking at the cursor"),
        ("Shift+Left, Shift+Right", "A bracket from the cursor on; Enter writes it"),
        ("Drag along a staff", "A bracket from note to note; drag an end to move it"),
        ("Space", "Take the cursor’s beat, while a marking is put at several places"),
        ("F2, Delete", "Another wording for the chosen marking; take it out"),
        ("Enter, F2", "On the organ’s page: change a line on its card; write a stop anew"),
        ("Insert, Delete", "On the organ’s page: add a stop, coupler or aid; take one out"),
        ("Alt+Up, Alt+Down", "On the organ’s page: move a stop or a division (or drag it)"),
        ("Up, Down", "In the proof: from remark to remark; the score follows"),
        ("Enter, Delete", "In the proof: go to what can be done; say why a remark may stand"),
        ("Escape", "Close the card; leave all as it was"),
        ("Ctrl and wheel, pinching", "Larger, smaller"),
        ("Ctrl+Z, Ctrl+Shift+Z", "Undo, redo"),
    ]
    return rows


def keys_words(keys: str) -> str:
    """Keys as the window's language names them: ``Ctrl+O`` is ``Strg+O`` in German."""
    return tr(" or ").join(_key_words(key) for key in keys.split(" or "))


def _key_words(key: str) -> str:
    named = tr(key)
    if named != key or "," in key or "+" not in key:
        return named
    return QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText) or key
