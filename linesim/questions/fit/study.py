"""`fit`: the study."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linesim.answers.card import StudyCard
from linesim.errors import WrongQuestionError
from linesim.plan.arrays import FloatArray, IntArray
from linesim.questions.answer import Answer
from linesim.questions.fit.candidates import FITS, FITTED, Candidate, LeftOut, candidates
from linesim.questions.fit.goodness import SAMPLES
from linesim.questions.fit.lines import toml_of, toml_of_times
from linesim.questions.fit.sentences import cautions, sentences
from linesim.questions.fit.tables import data_table, shapes_table, tail_table
from linesim.questions.fit.times import column_of, given_times
from linesim.runs.provenance import versions
from linesim.runs.replication import Label
from linesim.runs.rows import Row, row_of
from linesim.scenario.shapes import Constant, Lognormal
from linesim.stats import bootstrap_interval
from linesim.ticks import of_seconds

FEWEST = 10  #: Fewer times say nothing of a shape.
MOST = 20_000  #: Of more times so many would do as well.


@dataclass(frozen=True, slots=True)
class Fit(Answer):
    """Which shape measured times have.

    Attributes:
        times_s: The times [s], in the order in which they were measured.
        column: Heading of their column; empty if they came from no table.
        mean, cv: Of the times, with intervals; the cv is None where all times are 0.
        shapes: The shapes that were fitted, the proposed one first.
        left_out: The shapes that were not, and why.
        proposal: Name of the shape that the line has.
        line: The line of TOML to paste.
    """

    times_s: tuple[float, ...]
    column: str
    mean: Row
    cv: Row | None
    shapes: tuple[Candidate, ...]
    left_out: tuple[LeftOut, ...]
    proposal: str
    line: str

    def as_dict(self) -> dict[str, Any]:
        """Return what `to_json` writes, with the proposal and its line."""
        return {**Answer.as_dict(self), "proposal": self.proposal, "line": self.line}

    def shape(self, kind: str) -> Candidate:
        """Return a shape that was fitted.

        Raises:
            KeyError: If it was not.
        """
        for one in self.shapes:
            if one.kind == kind:
                return one
        raise KeyError(f"no {kind!r} was fitted; there are {', '.join(one.kind for one in self.shapes)}")


def fit(
    times: str | os.PathLike[str] | Sequence[float],
    *,
    column: str | None = None,
    shapes: Sequence[str] = (),
    samples: int = SAMPLES,
    seed: int = 1,
    confidence: float = 0.95,
    progress: Callable[[int, int], None] | None = None,
) -> Fit:
    """Propose a shape for measured times, show how well it fits, and write the line of TOML.

    Every shape is fitted by maximum likelihood. How far the times lie from it is held against samples
    that are drawn from it and fitted alike; a shape fits if chance alone puts more than 5 % of them as
    far off. Of those that fit the one of lowest AIC is proposed, and where the data can't tell it from a
    lognormal, the lognormal; a shape with two ends only where no other fits. If none fits, the measured
    times themselves are proposed.

    Args:
        times: CSV file or workbook, or the times themselves [s], in the order in which they were measured.
        column: Heading of the column; None takes the only one that ends in a unit.
        shapes: Names of the shapes to try; empty means all.
        samples: Samples drawn for the goodness of fit, 19 to 9999.
        seed: Of those samples: same seed, same answer.
        confidence: Of the intervals.
        progress: Told how many shapes are done, and of how many.

    Raises:
        ScenarioError: With everything that is wrong in the table.
        WrongQuestionError: If there is no such column or shape, or no time.

    Examples:
        >>> fit([48.0] * 20).line
        'time = { shape = "constant", mean = "48 s", confidence = "measured" }'
        >>> fit("times.csv", column="seat_s").sentences  # doctest: +SKIP
    """
    known = [kind.kind for kind in FITTED]
    wrong = [f"{kind!r} is no shape that can be fitted; there are {', '.join(known)}."
             for kind in shapes if kind not in known]  # fmt: skip
    if not 19 <= samples <= 9999:
        wrong.append(f"the goodness of fit takes 19 to 9999 samples; found {samples}.")
    if wrong:
        raise WrongQuestionError(wrong)
    if isinstance(times, str | os.PathLike):
        values, column = column_of(times, column)
        file = os.path.basename(os.fspath(times))
    else:
        values, column, file = given_times(times), "", ""
    if values.size > MOST:
        raise WrongQuestionError(f"{values.size:,} times are more than are needed; {MOST:,} will do.")
    found: tuple[Candidate, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    if values.size >= FEWEST and values.min() < values.max():
        found, left_out = candidates(values, shapes or known, samples=samples, seed=seed, tell=progress)
    proposal, line = _proposed(values, found, file, column)
    mean, cv = _row("mean", "s", values, confidence), _cv(values, confidence)
    return Fit(
        study="fit",
        sentences=sentences(values, mean, cv, found, proposal, samples, bool(file)),
        tables_=(data_table(mean, cv), shapes_table(found, left_out), tail_table(values, found)),
        cautions=cautions(values),
        card=StudyCard(column, file, seed, confidence, (), (), tuple(versions().items())),
        times_s=tuple(values.tolist()),
        column=column,
        mean=mean,
        cv=cv,
        shapes=found,
        left_out=left_out,
        proposal=proposal,
        line=line,
    )


def _proposed(values: FloatArray, found: Sequence[Candidate], file: str, column: str) -> tuple[str, str]:
    """Return the shape that is proposed and its line."""
    source = f"{file}, {values.size} time{'' if values.size == 1 else 's'}" if file else ""
    if values.min() == values.max():
        return "constant", toml_of(Constant(mean=of_seconds(float(values[0]))), source=source)
    if values.size < FEWEST:
        mean, sd = float(values.mean()), float(values.std(ddof=1))
        few = toml_of(Lognormal(mean=of_seconds(mean), cv=sd / mean), source=source)
        return "lognormal", few.replace('confidence = "measured"', 'confidence = "estimated"')
    for one in found:
        if one.fate == FITS:
            return one.kind, toml_of(one.shape, source=source)
    return "empirical", toml_of_times(file, column, tuple(values.tolist()), source=source)


def _row(name: str, unit: str, values: FloatArray, confidence: float) -> Row:
    return row_of(Label(name, "times", "", unit), values.tolist(), confidence)


def _cv(values: FloatArray, confidence: float) -> Row | None:
    """Return standard deviation over mean with its bootstrap interval; None where the mean is 0."""
    if values.size < 2 or values.mean() == 0:
        return None
    cv = float(values.std(ddof=1) / values.mean())
    if values.size < FEWEST or values.min() == 0:
        return Row("cv", "times", "", "share", cv, None, None, None, None, values.size, "none: too few times")

    def spread(chosen: IntArray) -> FloatArray:
        drawn = values[chosen]
        return np.asarray(drawn.std(axis=1, ddof=1) / drawn.mean(axis=1))

    i = bootstrap_interval(spread, values.size, confidence=confidence, studies=1000)
    return Row("cv", "times", "", "share", cv, i.low, i.high, None, None, values.size, i.method)
