"""The figure that a study is asked about, and how it is spoken of."""

from __future__ import annotations

from linesim.answers.measure import OUTPUT, RATE, Measure
from linesim.answers.measure import measure_named as asked
from linesim.errors import WrongQuestionError
from linesim.runs.cases import CaseRuns

__all__ = ["OUTPUT", "RATE", "Measure", "asked", "main_figure"]


def main_figure(runs: CaseRuns, wanted: Measure | None) -> Measure:
    """Return the figure that decides: the one asked for, else jobs per shift, else jobs per hour.

    Raises:
        WrongQuestionError: If a case does not give it.
    """
    if wanted is None:
        whole = all(runs.row(name, *OUTPUT).mean is not None for name in runs.names)
        return OUTPUT if whole else RATE
    for name in runs.names:
        try:
            given = runs.row(name, *wanted).mean is not None
        except KeyError as error:
            raise WrongQuestionError(f"{name}: {error.args[0]}") from None
        if not given:
            raise WrongQuestionError(f"{name}: no replication gives {wanted}.")
    return wanted
