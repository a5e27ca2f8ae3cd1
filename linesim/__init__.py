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
    from linesim.questions.bottleneck.question import bottleneck
    from linesim.questions.buffers.question import buffers
    from linesim.questions.check.question import check
    from linesim.questions.compare.question import compare
    from linesim.questions.crew.question import crew
    from linesim.questions.doubt.question import doubt
    from linesim.questions.explain.question import explain
    from linesim.questions.fit.question import fit
    from linesim.questions.mix.question import mix
    from linesim.questions.rebalance.question import rebalance
    from linesim.questions.run.question import simulate
    from linesim.questions.screen.question import screen
    from linesim.questions.sequence.question import sequence
    from linesim.questions.staff.question import staff
    from linesim.questions.sweep.question import sweep
    from linesim.questions.validate.question import validate
    from linesim.questions.warmup.question import warmup
    from linesim.report.pictures import drawings
    from linesim.runs import Result
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
    ("linesim.questions.run.question", ("simulate",)),
    ("linesim.runs", ("Result",)),
    ("linesim.intake.intake", ("Intake", "import_file")),
    ("linesim.questions.bottleneck.question", ("bottleneck",)),
    ("linesim.questions.buffers.question", ("buffers",)),
    ("linesim.questions.check.question", ("check",)),
    ("linesim.questions.compare.question", ("compare",)),
    ("linesim.answers.card", ("Goal",)),
    ("linesim.questions.crew.question", ("crew",)),
    ("linesim.questions.doubt.question", ("doubt",)),
    ("linesim.questions.explain.question", ("explain",)),
    ("linesim.questions.fit.question", ("fit",)),
    ("linesim.questions.mix.question", ("mix",)),
    ("linesim.questions.warmup.question", ("warmup",)),
    ("linesim.report.pictures", ("drawings",)),
    ("linesim.runs.store", ("Store",)),
    ("linesim.questions.rebalance.question", ("rebalance",)),
    ("linesim.questions.sequence.question", ("sequence",)),
    ("linesim.questions.screen.question", ("screen",)),
    ("linesim.questions.staff.question", ("staff",)),
    ("linesim.questions.sweep.question", ("sweep",)),
    ("linesim.questions.validate.question", ("validate",)),
)


def __getattr__(name: str) -> object:
    """Return a public name, importing the room that it comes from."""
    for home, names in _HOMES:
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'linesim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
