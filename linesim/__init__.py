"""Discrete-event simulation of paced assembly lines.

>>> import linesim
>>> scenario = linesim.load("line.toml")  # doctest: +SKIP
>>> linesim.simulate(scenario, replications=20).table  # doctest: +SKIP
>>> linesim.crew(scenario, only=["trim"]).sentences  # doctest: +SKIP

What is below is loaded when it is first asked for, so that ``linesim --help`` is instant.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linesim.questions.compare.question import compare
    from linesim.questions.screen.question import screen
    from linesim.questions.sweep.question import sweep
    from linesim.scenario import Scenario, load
    from linesim.studies import Result, simulate
    from linesim.studies.bottleneck import bottleneck
    from linesim.studies.buffers import buffers
    from linesim.studies.convergence import Goal
    from linesim.studies.crew import crew
    from linesim.studies.doubt import doubt
    from linesim.studies.fitting import fit
    from linesim.studies.option_mix.mix import mix
    from linesim.studies.settling.warmup import warmup
    from linesim.studies.store import Store
    from linesim.studies.validation import validate

__version__ = "0.1.0"

__all__ = [
    "Goal",
    "Result",
    "Scenario",
    "Store",
    "__version__",
    "bottleneck",
    "buffers",
    "compare",
    "crew",
    "doubt",
    "fit",
    "load",
    "mix",
    "screen",
    "simulate",
    "sweep",
    "validate",
    "warmup",
]

#: Where each public name lives.
_HOMES = (
    ("linesim.scenario", ("Scenario", "load")),
    ("linesim.studies", ("Result", "simulate")),
    ("linesim.studies.bottleneck", ("bottleneck",)),
    ("linesim.studies.buffers", ("buffers",)),
    ("linesim.questions.compare.question", ("compare",)),
    ("linesim.studies.convergence", ("Goal",)),
    ("linesim.studies.crew", ("crew",)),
    ("linesim.studies.doubt", ("doubt",)),
    ("linesim.studies.fitting", ("fit",)),
    ("linesim.studies.option_mix", ("mix",)),
    ("linesim.studies.settling", ("warmup",)),
    ("linesim.studies.store", ("Store",)),
    ("linesim.questions.screen.question", ("screen",)),
    ("linesim.questions.sweep.question", ("sweep",)),
    ("linesim.studies.validation", ("validate",)),
)


def __getattr__(name: str) -> object:
    """Return a public name, importing the room that it comes from."""
    for home, names in _HOMES:
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'linesim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
