"""Questions answered by replications: a run, and what is built on many of them."""

from linesim.studies.replicate import Replications, replicate
from linesim.studies.replication import Label, Replication, Shift
from linesim.studies.result import Result, RunCard, ScenarioCard
from linesim.studies.rows import Row
from linesim.studies.simulation import simulate

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
