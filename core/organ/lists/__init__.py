"""Plain stop lists: a pasted text becomes an organ, with what was not read and what may be read otherwise."""

from core.organ.lists.listing import Doubt, ListReading, UnreadLine, read_stop_list

__all__ = ["Doubt", "ListReading", "UnreadLine", "read_stop_list"]
