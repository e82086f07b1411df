"""The piston plan: the fewest combinations that play a programme, and which is pressed where."""
