"""The interval of a difference."""
