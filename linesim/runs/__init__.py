"""Questions answered by replications: a run, and what is built on many of them."""

from linesim.runs.replicate import Replications, replicate
from linesim.runs.replication import Label, Replication, Shift
from linesim.runs.result import Result, RunCard, ScenarioCard
from linesim.runs.rows import Row
from linesim.runs.simulation import simulate

__all__ = [
    "Label",
    "Replication",
    "Replications",
    "Result",
    "Row",
    "RunCard",
    "ScenarioCard",
    "Shift",
    "replicate",
    "simulate",
]
