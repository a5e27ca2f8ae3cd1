"""`sweep`: the study of many cases."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, Unpack

from linesim.studies.answer import Answer
from linesim.studies.asked import Asked, asked, main_figure
from linesim.studies.cases import Case, run_cases
from linesim.studies.cautions import cautions_on
from linesim.studies.comparison.rows import DifferenceRow
from linesim.studies.how import How
from linesim.studies.sweeps.effects import Effect, responses, slopes, steps
from linesim.studies.sweeps.sentences import sweep_sentences
from linesim.studies.sweeps.tables import against_base, against_table, effects_table, measures_table, paths_of
from linesim.studies.varying import Factor, Point, cases_of, factors_of, grid, hypercube, one_at_a_time
from linesim.studies.varying.points import BASE
from linesim.studies.wrong_question import WrongQuestionError

if TYPE_CHECKING:
    from linesim.scenario import Scenario

Design = Literal["grid", "one at a time", "latin hypercube", "list"]


@dataclass(frozen=True, slots=True)
class Sweep(Answer):
    """What many cases make.

    Attributes:
        figure: The figure that decides.
        design: Which combinations were looked at.
        points: What the factors were set to in each case, the line as it is left out.
        differences: Each case against the line as it is.
        effects: What each step of each factor brings (grid), or each factor over its range (hypercube).
    """

    figure: Asked
    design: Design
    points: tuple[Point, ...]
    differences: tuple[DifferenceRow, ...]
    effects: tuple[Effect, ...]


def sweep(
    scenario: Scenario,
    vary: Mapping[str, Sequence[Any]] | Sequence[Factor] = (),
    *,
    design: Design = "grid",
    points: int = 20,
    listed: Sequence[Point] = (),
    on: str | None = None,
    everything: bool = False,
    replications: int | None = None,
    seed: int | None = None,
    confidence: float = 0.95,
    file: str = "",
    **how: Unpack[How],
) -> Sweep:
    """Simulate many cases of a line over common draws.

    Args:
        scenario: The line as it is.
        vary: Places and the values they take (``{"buffer.lane.capacity": [0, 2, 4]}``), or factors.
        design: ``"grid"``, every combination; ``"one at a time"``, each value alone, which sees no
            interactions; ``"latin hypercube"``, points spread over the ranges; ``"list"``, those listed.
        points: How many points of a latin hypercube.
        listed: The points of a list; see `linesim.studies.varying.read_points`.
        on: The figure that decides; None means jobs per shift, or per hour where no shift is whole.
        everything: Put all measures into the table of cases, not only the first few.
        replications: How many of each case; None takes what the scenario says.
        seed: Seed of all draws and of the hypercube; None takes what the scenario says.
        confidence: Confidence with which intervals that are compared hold together.
        file: Name of the scenario's file, for the answer to carry.
        how: How replications are run, such as ``workers=4``; see `linesim.studies.how.How`.

    Raises:
        WrongQuestionError: If there is nothing to vary, or what is to be varied makes no such design.
        ScenarioError: If a case is no line.
        LineStuck: If a line can no longer move.
    """
    wanted = None if on is None else asked(on)
    factors = factors_of(vary)
    chosen = _points(design, factors, listed, points, scenario.run.seed if seed is None else seed)
    cases = (Case(BASE, scenario), *cases_of(scenario, chosen))
    runs = run_cases(cases, replications=replications, seed=seed, **how)
    figure = main_figure(runs, wanted)
    differences = against_base(runs, chosen, figure, confidence)
    effects: tuple[Effect, ...] = ()
    if design in ("grid", "latin hypercube"):
        table = responses(runs, [point.name for point in chosen], figure)
        effects = (steps if design == "grid" else slopes)(factors, chosen, table, confidence)
    return Sweep(
        study="sweep",
        sentences=sweep_sentences(runs, figure, design, chosen, differences, effects, confidence),
        tables_=(
            measures_table(runs, chosen, figure, confidence=confidence, everything=everything),
            against_table(differences, chosen),
            effects_table(effects),
        ),
        cautions=cautions_on(paths_of(chosen)),
        card=runs.card(confidence, file=file),
        figure=figure,
        design=design,
        points=chosen,
        differences=differences,
        effects=effects,
    )


def _points(
    design: Design, factors: Sequence[Factor], listed: Sequence[Point], count: int, seed: int
) -> tuple[Point, ...]:
    if design == "list":
        if factors or not listed:
            raise WrongQuestionError(
                "a list of cases says itself what is varied; give the list and nothing else."
            )
        found = tuple(listed)
    elif design == "grid":
        found = grid(factors)
    elif design == "one at a time":
        found = one_at_a_time(factors)
    else:
        found = hypercube(factors, count, seed=seed)
    if any(point.name == BASE for point in found):
        raise WrongQuestionError(
            f"a case cannot be called {BASE!r}: that is the line itself, which runs anyway."
        )
    return found
