"""Discrete-event simulation of paced assembly lines.

>>> import linesim
>>> line = linesim.example()  # or linesim.load("line.toml")
>>> linesim.simulate(line, replications=2)
<answer of run: The line makes ... Tables: measures (...), replications (...), shifts (10).>
>>> linesim.crew(line, only=["cab"], replications=2, no_fewer=True).table("gains").column("change")
('cab +1', 'cab floater')

What is below is loaded when it is first asked for, so that ``linesim --help`` is instant.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linesim.answers.card import Goal
    from linesim.intake.intake import Intake, import_file
    from linesim.questions.bottleneck import bottleneck
    from linesim.questions.buffers import buffers
    from linesim.questions.check import check
    from linesim.questions.compare import compare
    from linesim.questions.crew import crew
    from linesim.questions.doubt import doubt
    from linesim.questions.explain import explain
    from linesim.questions.fit import fit
    from linesim.questions.mix import mix
    from linesim.questions.rebalance import rebalance
    from linesim.questions.run import simulate
    from linesim.questions.screen import screen
    from linesim.questions.sequence import sequence
    from linesim.questions.staff import staff
    from linesim.questions.sweep import sweep
    from linesim.questions.validate import validate
    from linesim.questions.warmup import warmup
    from linesim.report.pictures import drawings
    from linesim.runs.result import Result
    from linesim.runs.store import Store
    from linesim.scenario import Scenario, example, load

__version__ = "0.1.0"

__all__ = [
    "Goal",
    "Intake",
    "Result",
    "Scenario",
    "Store",
    "__version__",
    "bottleneck",
    "buffers",
    "check",
    "compare",
    "crew",
    "doubt",
    "drawings",
    "example",
    "explain",
    "fit",
    "import_file",
    "load",
    "mix",
    "rebalance",
    "screen",
    "sequence",
    "simulate",
    "staff",
    "sweep",
    "validate",
    "warmup",
]

#: Where each public name lives.
_HOMES = (
    ("linesim.scenario", ("Scenario", "example", "load")),
    ("linesim.questions.run", ("simulate",)),
    ("linesim.runs.result", ("Result",)),
    ("linesim.intake.intake", ("Intake", "import_file")),
    ("linesim.questions.bottleneck", ("bottleneck",)),
    ("linesim.questions.buffers", ("buffers",)),
    ("linesim.questions.check", ("check",)),
    ("linesim.questions.compare", ("compare",)),
    ("linesim.answers.card", ("Goal",)),
    ("linesim.questions.crew", ("crew",)),
    ("linesim.questions.doubt", ("doubt",)),
    ("linesim.questions.explain", ("explain",)),
    ("linesim.questions.fit", ("fit",)),
    ("linesim.questions.mix", ("mix",)),
    ("linesim.questions.warmup", ("warmup",)),
    ("linesim.report.pictures", ("drawings",)),
    ("linesim.runs.store", ("Store",)),
    ("linesim.questions.rebalance", ("rebalance",)),
    ("linesim.questions.sequence", ("sequence",)),
    ("linesim.questions.screen", ("screen",)),
    ("linesim.questions.staff", ("staff",)),
    ("linesim.questions.sweep", ("sweep",)),
    ("linesim.questions.validate", ("validate",)),
)


def __getattr__(name: str) -> object:
    """Return a public name, importing the room that it comes from."""
    for home, names in _HOMES:
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'linesim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
