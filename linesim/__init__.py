"""Discrete-event simulation of paced assembly lines.

>>> import linesim
>>> scenario = linesim.load("line.toml")  # doctest: +SKIP
>>> linesim.simulate(scenario, replications=20).table  # doctest: +SKIP

What is below is loaded when it is first asked for, so that ``linesim --help`` is instant.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linesim.scenario import Scenario, load
    from linesim.studies import Result, simulate

__version__ = "0.1.0"

__all__ = ["__version__", "load", "simulate"]


def __getattr__(name: str) -> object:
    """Return a public name, importing the room that it comes from."""
    if name in {"Scenario", "load"}:
        from linesim import scenario

        return getattr(scenario, name)
    if name in {"Result", "simulate"}:
        from linesim import studies

        return getattr(studies, name)
    raise AttributeError(f"module 'linesim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
