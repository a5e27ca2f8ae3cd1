"""`sequence`: in which order today's list should be built."""
