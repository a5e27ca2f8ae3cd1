"""The tables behind an answer about crews."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from linesim.questions.answer_table import AnswerTable
from linesim.questions.crew.gains import Gain
from linesim.questions.crew.hands import Barred
from linesim.questions.crew.pay import Pay, Prices
from linesim.questions.crew.stops import StopChange
from linesim.questions.csv_tables import Cell
from linesim.questions.verdicts import verdict
from linesim.runs.main_measure import Measure

GAINS = (
    "change", "kind", "crew", "people", "measure", "unit", "gain", "low", "high", "half_width",
    "replications", "correlation", "saving", "method", "confidence", "verdict",
)  # fmt: skip
MONEY = (
    "change", "kind", "crew", "people", "currency", "net_per_shift", "low", "high", "break_even_margin",
    "cautious_margin", "replications",
)  # fmt: skip
STOPS = ("change", "where", "cause", "unit", "before", "difference", "low", "high", "replications", "verdict")
BARRED = ("kind", "crew", "why")


def gains_table(gains: Sequence[Gain], figure: Measure, unit: str) -> AnswerTable:
    """Return what every change does, the highest gain of each kind first."""
    rows: list[tuple[Cell, ...]] = []
    for gain in gains:
        row, found, hand = gain.as_row(figure, unit), gain.found, gain.hand
        rows.append(
            (hand.name, hand.kind, hand.crew, hand.people, figure.measure, unit, row.mean, row.low, row.high,
             row.half_width, row.replications, found.correlation, found.variance_ratio, row.method,
             gain.confidence, verdict(row))
        )  # fmt: skip
    return AnswerTable.of(
        "gains", GAINS, rows, "What one more or one fewer does, paired over common draws; all hold together."
    )


def money_table(gains: Sequence[Gain], pays: Mapping[str, Pay], prices: Prices | None) -> AnswerTable:
    """Return what every change is worth; empty where the scenario has no prices."""
    rows: list[tuple[Cell, ...]] = []
    for gain in gains:
        pay, hand = pays.get(gain.hand.name), gain.hand
        if pay is None or prices is None:
            continue
        net = pay.net
        amounts = (None, None, None) if net is None else (net.mean, net.low, net.high)
        rows.append(
            (hand.name, hand.kind, hand.crew, hand.people, prices.currency, *amounts, pay.break_even,
             pay.cautious, gain.found.interval.n)
        )  # fmt: skip
    return AnswerTable.of(
        "money", MONEY, rows, "Money won a shift, and the margin of a job from which a change pays."
    )


def stops_table(stops: Sequence[StopChange]) -> AnswerTable:
    """Return how stops change, by place and cause."""
    rows: list[tuple[Cell, ...]] = [
        (s.case, s.where, s.cause, s.change.unit, s.before, s.change.mean, s.change.low, s.change.high,
         s.change.replications, verdict(s.change))
        for s in stops
    ]  # fmt: skip
    return AnswerTable.of(
        "stops", STOPS, rows, "Minutes of stop that a change takes away, by place and cause, paired."
    )


def barred_table(barred: Sequence[Barred]) -> AnswerTable:
    """Return which changes the line does not allow."""
    return AnswerTable.of(
        "barred", BARRED, [(b.kind, b.crew, b.why) for b in barred], "Changes that cannot be, and why."
    )
