"""Discrete-event simulation of paced assembly lines."""

__version__ = "0.1.0"
