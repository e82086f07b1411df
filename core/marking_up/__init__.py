"""The marked-up score: the stops of one organ written under, instead of or beside what the print asks for."""
