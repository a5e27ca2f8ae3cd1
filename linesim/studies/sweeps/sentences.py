"""What many cases say in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from linesim.stats import joint_confidence
from linesim.studies.asked import Asked
from linesim.studies.cases import CaseRuns
from linesim.studies.comparison.rows import DifferenceRow
from linesim.studies.comparison.sentences import best_of
from linesim.studies.figures import with_span
from linesim.studies.sweeps.effects import Effect
from linesim.studies.varying import Point
from linesim.studies.verdicts import in_words, sign_of

_MOST_LEFT = 6  #: Factors of which the data can't tell that are named.


def sweep_sentences(
    runs: CaseRuns,
    figure: Asked,
    design: str,
    points: Sequence[Point],
    differences: Sequence[DifferenceRow],
    effects: Sequence[Effect],
    confidence: float,
) -> tuple[str, ...]:
    """Return the answer of a sweep: the best case, what each factor brings, how sure that is."""
    said = []
    names = [point.name for point in points]
    if len(names) > 1 and len(runs.numbers) > 1:
        said.append(best_of(runs, figure, confidence, names=names))
    first = _first(runs, figure, names)
    row = next((row for row in differences if row.case == first), None)
    if row is not None:
        level = with_span(runs.row(first, *figure, confidence=confidence), scale=figure.scale)
        said.append(f"{first}: {level} {figure.label}, against the line as it is: {_against(row)}.")
    if design == "grid":
        said += _by_step(figure, effects)
    elif design == "latin hypercube":
        said += ranked(figure, effects, "over its range")
    elif design == "one at a time":
        said += _alone(figure, differences)
        said.append(
            "One factor at a time: no interactions seen. What two changes do together may be more or less "
            "than the sum of both; screen or a grid would show it."
        )
    if len(runs.numbers) > 1:
        each = 100 * joint_confidence(confidence, len(points))
        said.append(
            f"The differences from the line as it is hold together with {100 * confidence:g} % confidence, "
            f"each by itself with {each:.4g} %."
        )
    return tuple(said)


def ranked(figure: Asked, effects: Sequence[Effect], over: str) -> list[str]:
    """Return what matters, the largest first, and of which factors the data can't tell."""
    sure = [effect for effect in effects if sign_of(effect.as_row(figure))]
    sure.sort(key=lambda effect: -abs(effect.effect))
    still = [effect.factor for effect in effects if effect.low == effect.high == 0]
    left = [effect.factor for effect in effects if effect not in sure and effect.factor not in still]
    said = [
        f"{place}. {effect.factor} {over}, {effect.before} → {effect.after}: "
        f"{in_words(effect.as_row(figure), figure)}."
        for place, effect in enumerate(sure, start=1)
    ]
    if still:
        said.append(f"These change nothing in any replication: {_first_few(still)}.")
    if left:
        said.append(f"Of these the data can't tell whether they matter: {_first_few(left)}.")
    return said


def _first_few(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MOST_LEFT} more" if len(names) > _MOST_LEFT else ""
    return f"{', '.join(names[:_MOST_LEFT])}{more}"


def _first(runs: CaseRuns, figure: Asked, names: Sequence[str]) -> str:
    """Return the best case by its mean, the first of equals."""
    sign = 1 if figure.more_is_better else -1
    return max(names, key=lambda name: (sign * (runs.row(name, *figure).mean or 0.0), -names.index(name)))


def _against(row: DifferenceRow) -> str:
    return "the same" if row.low == row.high == 0 else in_words(row.as_row, row.figure)


def _by_step(figure: Asked, effects: Sequence[Effect]) -> list[str]:
    said = []
    others = ", average over the others" if len({effect.factor for effect in effects}) > 1 else ""
    for factor, mine in groupby(effects, key=lambda effect: effect.factor):
        parts = [f"{e.before} → {e.after}: {in_words(e.as_row(figure), figure)}" for e in mine]
        said.append(f"{factor}, step by step{others}: {'; '.join(parts)}.")
    return said


def _alone(figure: Asked, differences: Sequence[DifferenceRow]) -> list[str]:
    by_size = sorted(differences, key=lambda row: -abs(row.difference))
    sure = [row for row in by_size if sign_of(row.as_row)]
    said = [f"{row.case} alone: {in_words(row.as_row, figure)}." for row in sure]
    left = [row.case for row in differences if row not in sure and row.verdict != "the same"]
    if left:
        said.append(f"Of these the data can't tell: {'; '.join(left)}.")
    return said
