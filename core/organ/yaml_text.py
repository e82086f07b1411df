"""Texts as YAML scalars, quoted only where a YAML reader would otherwise take them for something else."""

from __future__ import annotations

_WORDS = frozenset(["yes", "no", "true", "false", "on", "off", "null", "~", "y", "n", "nan", "inf"])
_INDICATORS = "-?:,[]{}#&*!|>'\"%@`=<"


def scalar(text: str, *, flow: bool = False) -> str:
    """A text as a scalar; `flow`: inside brackets or braces, where commas end it."""
    return text if _is_plain(text, flow) else _quoted(text)


def _is_plain(text: str, flow: bool) -> bool:
    if not text or text != text.strip() or not text.isprintable() or "\ufeff" in text:
        return False
    if text[0] in _INDICATORS or text.casefold() in _WORDS or text.startswith(("...", "---")):
        return False
    if ": " in text or " #" in text or text.endswith(":"):
        return False
    return not (flow and any(sign in text for sign in ",[]{}")) and all(ord(sign) >= 32 for sign in text)


def _quoted(text: str) -> str:
    return '"' + "".join(_escaped(sign) for sign in text) + '"'


def _escaped(sign: str) -> str:
    if sign in '"\\':
        return f"\\{sign}"
    if sign.isprintable() and sign != "\ufeff":
        return sign
    if sign == "\n":
        return "\\n"
    code = ord(sign)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"


def flow_mapping(entries: dict[str, str]) -> str:
    """Entries in braces on one line; the values are YAML already."""
    return "{" + ", ".join(f"{key}: {value}" for key, value in entries.items()) + "}"


def flow_list(texts: list[str]) -> str:
    """Texts in brackets on one line."""
    return "[" + ", ".join(scalar(text, flow=True) for text in texts) + "]"
