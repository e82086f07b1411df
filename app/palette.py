"""The colours, all of them: paper and ink, one accent, one colour for errors, one for doubts; light and dark.

Nothing tells by colour alone: signs, words and line patterns say the same.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from PySide6.QtGui import QColor, QPalette


@dataclass(frozen=True, slots=True, kw_only=True)
class Colours:
    """One set of colours as ``#rrggbb``.

    Attributes:
        desk: what lies behind the pages.
        page: the paper of score, booklet and galley.
        ink: notes and text.
        faint: text of lesser weight.
        rule: hairlines and edges; never carries words.
        accent: cursor, what is chosen, solos.
        error: what this organ can't do.
        doubt: what somebody must decide.
        advice: matters of taste.
        chosen: the ground under a chosen line.
    """

    desk: str
    page: str
    ink: str
    faint: str
    rule: str
    accent: str
    error: str
    doubt: str
    advice: str
    chosen: str

    def colour(self, name: str, alpha: int = 255) -> QColor:
        """A colour of the table by its name, more or less see-through."""
        colour = QColor(getattr(self, name))
        colour.setAlpha(alpha)
        return colour


LIGHT = Colours(
    desk="#e4ded2",
    page="#fbf8f1",
    ink="#22201c",
    faint="#5e584d",
    rule="#b9b1a1",
    accent="#0b5a73",
    error="#9c1f2e",
    doubt="#7a4f00",
    advice="#4a4a86",
    chosen="#dfe9e8",
)

DARK = Colours(
    desk="#17181a",
    page="#24262a",
    ink="#ece7dc",
    faint="#b3ac9e",
    rule="#565a61",
    accent="#7cc4dc",
    error="#ff9a94",
    doubt="#e9b95e",
    advice="#b9b6f2",
    chosen="#33414a",
)

SIGNS = {"error": "▲", "warning": "◆", "advice": "●"}
LEVEL_WORDS = {"error": "cannot be had", "warning": "to decide", "advice": "advice"}
LEVEL_COLOURS = {"error": "error", "warning": "doubt", "advice": "advice"}


def as_palette(colours: Colours) -> QPalette:
    """The toolkit's palette made of our colours."""
    palette = QPalette()
    roles = {
        QPalette.ColorRole.Window: colours.page,
        QPalette.ColorRole.Base: colours.page,
        QPalette.ColorRole.AlternateBase: colours.chosen,
        QPalette.ColorRole.Button: colours.page,
        QPalette.ColorRole.ToolTipBase: colours.page,
        QPalette.ColorRole.WindowText: colours.ink,
        QPalette.ColorRole.Text: colours.ink,
        QPalette.ColorRole.ButtonText: colours.ink,
        QPalette.ColorRole.ToolTipText: colours.ink,
        QPalette.ColorRole.PlaceholderText: colours.faint,
        QPalette.ColorRole.Highlight: colours.chosen,
        QPalette.ColorRole.HighlightedText: colours.ink,
        QPalette.ColorRole.Link: colours.accent,
        QPalette.ColorRole.Mid: colours.rule,
        QPalette.ColorRole.Dark: colours.faint,
        QPalette.ColorRole.Light: colours.page,
        QPalette.ColorRole.Midlight: colours.rule,
    }
    for role, colour in roles.items():
        palette.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText, QPalette.ColorRole.WindowText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(colours.faint))
    return palette


def style_sheet(colours: Colours) -> str:
    """How the widgets look: white space before lines, lines before boxes."""
    values = {field.name: getattr(colours, field.name) for field in fields(colours)}
    return _STYLE.format_map(values)


_STYLE = """
QMainWindow, QDialog {{ background: {page}; }}
QToolTip {{ background: {page}; color: {ink}; border: 1px solid {rule}; padding: 4px; }}
QMenuBar {{ background: {page}; }}
QMenuBar::item {{ padding: 4px 10px; background: transparent; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {chosen}; color: {ink}; }}
QMenu {{ background: {page}; border: 1px solid {rule}; padding: 4px 0; }}
QMenu::item {{ padding: 5px 28px 5px 18px; }}
QMenu::item:disabled {{ color: {faint}; }}
QMenu::separator {{ height: 1px; background: {rule}; margin: 4px 12px; }}
QPushButton {{ background: transparent; border: 1px solid {rule}; border-radius: 3px; padding: 4px 12px; }}
QPushButton:hover {{ border-color: {accent}; color: {accent}; }}
QPushButton:focus {{ border: 2px solid {accent}; padding: 3px 11px; }}
QPushButton[plain="true"] {{ border: none; text-align: left; color: {accent}; padding: 3px 2px; }}
QPushButton[plain="true"]:hover {{ text-decoration: underline; }}
QPushButton[plain="true"]:focus {{ border: 1px dotted {accent}; padding: 2px 1px; }}
QLineEdit, QComboBox {{ background: {page}; border: none; border-bottom: 1px solid {rule}; }}
QLineEdit, QComboBox {{ padding: 3px 2px; }}
QLineEdit:focus, QComboBox:focus {{ border-bottom: 2px solid {accent}; }}
QComboBox::drop-down {{ border: none; width: 18px; }}
QComboBox::down-arrow {{ image: none; }}
QCheckBox {{ spacing: 7px; }}
QCheckBox::indicator {{ width: 11px; height: 11px; border: 1px solid {faint}; border-radius: 2px; }}
QCheckBox::indicator:checked {{ background: {accent}; border-color: {accent}; }}
QCheckBox:focus {{ color: {accent}; }}
QSplitter::handle {{ background: {rule}; }}
QSplitter::handle:horizontal {{ width: 1px; }}
QSplitter::handle:vertical {{ height: 1px; }}
QScrollBar:vertical {{ background: transparent; width: 12px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 12px; margin: 0; }}
QScrollBar::handle {{ background: {rule}; border-radius: 4px; margin: 2px; }}
QScrollBar::handle {{ min-height: 28px; min-width: 28px; }}
QScrollBar::handle:hover {{ background: {faint}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QAbstractScrollArea::corner {{ background: {desk}; border: none; }}
QStatusBar {{ background: {page}; color: {faint}; }}
QProgressBar {{ border: none; background: {chosen}; max-height: 4px; }}
QProgressBar::chunk {{ background: {accent}; }}
QFrame#card {{ background: {page}; border: 1px solid {faint}; border-radius: 3px; }}
QWidget#welcome {{ background: {page}; }}
"""
