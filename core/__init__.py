"""Stopwright's core: organs, markings and what they mean together. No Qt here."""

__version__ = "0.1.0"
