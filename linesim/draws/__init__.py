"""Luck: every random quantity of a line, each from its own stream that no event can shift."""
