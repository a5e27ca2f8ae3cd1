"""What is kept of one replication: its figures and its shifts, a few kilobytes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, NamedTuple

from linesim.draws.draws import Draws
from linesim.measures import measure
from linesim.measures.output import TICKS_PER_MINUTE
from linesim.plan.plan import Plan

if TYPE_CHECKING:
    from linesim.ledger.ledger import Ledger
    from linesim.runs.rows import Row


class Label(NamedTuple):
    """What a figure is called: the same in every replication of a plan, in the same order."""

    measure: str
    where: str
    cause: str
    unit: str


@dataclass(frozen=True, slots=True)
class Shift:
    """One whole shift.

    Attributes:
        jobs: Jobs finished in it.
        stop_min: Line stop of each section [min], in the order of the plan.
        reworked: Jobs that a bay put right in it.
    """

    jobs: int
    stop_min: tuple[float, ...]
    reworked: int


@dataclass(frozen=True, slots=True)
class Replication:
    """One replication in numbers.

    Attributes:
        number: Which one, counted from 1.
        values: Its figures in the order of the labels; None where it gives none.
        shifts: Its whole shifts, in order of time.
    """

    number: int
    values: tuple[float | None, ...]
    shifts: tuple[Shift, ...]


def run_replication(
    plan: Plan, seed: int, number: int, drive: str = "simpy"
) -> tuple[tuple[Label, ...], Replication]:
    """Simulate one replication and return the labels of its figures and the figures.

    Args:
        plan: The line.
        seed: Seed of the run.
        number: Which replication, counted from 1; the result depends on nothing else.
        drive: ``simpy`` or ``compiled``.

    Raises:
        LineStuck: If the line can no longer move.
    """
    from linesim.engine.run import run_line

    ledger = run_line(plan, Draws(plan, seed, number), drive=drive)
    rows = measure(plan, ledger)
    labels = tuple(Label(*row[:4]) for row in rows)
    return labels, Replication(number, tuple(row.value for row in rows), shifts_of(ledger))


class Recorder(NamedTuple):
    """What is noted down of a replication.

    Attributes:
        name: Tells replications apart that are noted down otherwise; empty for the figures of the line.
        run: Simulates replication ``number`` of a plan with a seed by a drive; a function that a new process
            can import, whose labels depend on the plan alone.
    """

    name: str
    run: Callable[[Plan, int, int, str], tuple[tuple[Label, ...], Replication]]

    def content(self, fingerprint: str) -> str:
        """Return under which content a store keeps what is noted down of a scenario."""
        return f"{fingerprint} {self.name}" if self.name else fingerprint


FIGURES = Recorder("", run_replication)  #: Every figure of `linesim.measures`, and the shifts.


def shifts_of(ledger: Ledger) -> tuple[Shift, ...]:
    """Return the whole shifts of a ledger."""
    stops = ledger.window_stop.tolist()
    return tuple(
        Shift(jobs, tuple(ticks / TICKS_PER_MINUTE for ticks in row), reworked)
        for jobs, row, reworked in zip(
            ledger.window_jobs.tolist(), stops, ledger.window_reworked.tolist(), strict=True
        )
    )


def column_of(labels: Sequence[Label], measure: str, where: str, cause: str) -> int:
    """Return the place of a figure among ``labels``.

    Raises:
        KeyError: If there is no such figure; the message lists what there is.
    """
    for column, label in enumerate(labels):
        if label[:3] == (measure, where, cause):
            return column
    alike = [label for label in labels if label.measure == measure]
    raise KeyError(unknown((measure, where, cause), labels, alike))


def unknown(
    asked: tuple[str, str, str],
    known: Sequence[Row] | Sequence[Label],
    alike: Sequence[Row] | Sequence[Label],
) -> str:
    """Return what is there instead of a row that was asked for."""
    if not alike:
        names = list(dict.fromkeys(item.measure for item in known))
        near = get_close_matches(asked[0], names, n=3)
        instead = f"did you mean {', '.join(near)}?" if near else f"there are {', '.join(names)}"
        return f"no measure {asked[0]!r}; {instead}"
    places = [f"{item.where}, {item.cause}" if item.cause else item.where for item in alike]
    return f"{asked[0]!r} has no row for {asked[1:]}; it has {'; '.join(places[:40])}"
