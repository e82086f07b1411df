"""The list of rules for the user guide, made from the rules' own docstrings."""

from __future__ import annotations

from core.checks.registry import Needs, Rule, all_rules
from core.findings import Level

_LEVELS = {
    Level.ERROR: "▲ cannot be done on this organ",
    Level.WARNING: "◆ somebody must decide",
    Level.ADVICE: "● advice",
}

HEAD = """# What Stopwright looks at

Made from the rules themselves by `make guide`; do not edit it by hand. Each rule says what it sees, why that
matters, an example, and what can be done. Besides these, whatever a marking asks that the organ cannot give is
said where it stands.
"""


def rules_markdown() -> str:
    """The page of rules, in order of their names."""
    return HEAD + "".join(_section(rule) for rule in all_rules())


def _section(rule: Rule) -> str:
    doc = (rule.check.__doc__ or "").strip().splitlines()[0]
    parts = rule.parts
    needs = "" if rule.needs is Needs.NOTHING else f" · needs {rule.needs}"
    return (
        f"\n## {doc}\n\n`{rule.id}` · {_LEVELS[rule.level]}{needs}\n\n"
        f"{parts['What']} {parts['Why']}\n\n"
        f"*Example:* {parts['Example']}\n\n*Remedy:* {parts['Remedy']}\n"
    )


if __name__ == "__main__":
    print(rules_markdown(), end="")
