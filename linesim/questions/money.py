"""Net money of cases against the line as it is, and what it is made of: in words, as columns, as views."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from linesim.answers.document import Chart, Part, View
from linesim.answers.measure import Measure
from linesim.answers.table import BESIDE, Column, Table
from linesim.answers.values import Change
from linesim.answers.wording import Value, listed, text
from linesim.measures import SEGMENT
from linesim.runs.case_runner import change_of
from linesim.runs.cases import CaseRuns

PARTS = ("jobs", "stops", "people", "equipment")  #: What net money is made of.
_COLUMN_OF = MappingProxyType({part: f"from_{part}" for part in PARTS})


def money_between(
    runs: CaseRuns, base: str, name: str, confidence: float, comparisons: int
) -> dict[str, Change]:
    """Return what a case brings more a shift: of each of `PARTS` that has a price, and net under ``""``.

    Args:
        runs: The replications.
        base: Name of the case to compare with.
        name: Name of the case whose gain is asked for.
        confidence: Of all intervals together.
        comparisons: How many have to hold together.

    Returns:
        The parts; without net where nobody says what a job brings, empty where nothing has a price or no run
        holds a whole shift.
    """
    given = {label.cause for label in runs.found[base].labels if label.measure == "net_money"}
    return {
        part: change_of(runs, base, name, Measure("net_money", SEGMENT, part), confidence, comparisons)
        for part in ("", *PARTS)
        if part in given
    }


def split_in_words(parts: Mapping[str, Change], least: int = 2) -> str:
    """Return what net money is made of; empty where fewer parts than ``least`` change at all."""
    told = [
        f"{text(change)} from {part}"
        for part, change in parts.items()
        if part and change.verdict != "the same"
    ]
    return listed(told) if len(told) >= least else ""


def money_columns() -> tuple[Column, ...]:
    """Return the columns of net money and its parts."""
    return (
        Column("currency"),
        Column("net", "change", head="net money", flat="mean=net_per_shift low high n=replications verdict"),
        *(Column(name, "change", head=part, flat=BESIDE) for part, name in _COLUMN_OF.items()),
    )


def money_row(found: Mapping[str, Change]) -> dict[str, Value]:
    """Return the cells of `money_columns`."""
    currency = next((change.currency for change in found.values()), "")
    parts = {name: found.get(part) for part, name in _COLUMN_OF.items()}
    return {"currency": currency, "net": found.get(""), **parts}


def money_views(table: Table, margins: Sequence[Column] = ()) -> list[Part]:
    """Return how a table of money is read: net money drawn with its parts beside it, then all intervals.

    Args:
        table: With the columns ``change`` and `money_columns`.
        margins: Columns of its own, which stand last.
    """
    if not len(table):
        return []
    columns = {column.name: column for column in table.columns}
    priced = [name for name in _COLUMN_OF.values() if any(_varies(cell) for cell in table.column(name))]
    net = replace(columns["net"], faces=("mean=net money", "interval"))
    means = tuple(replace(columns[name], faces=("mean",)) for name in priced)
    with_net = table.places(lambda row: row["net"] is not None)
    change = columns["change"]
    parts: list[Part] = []
    if with_net:
        view = View(table.name, "What that is worth a shift", (change, net, *means), with_net)
        unit = f"{table.column('currency')[0]} a shift"
        says = "Jobs at their margin, less own stops, people and equipment; the intervals hold together."
        parts.append(Chart("forest", "money", says, view, "net", "{change}", unit, is_ordered=True))
    both = tuple(replace(columns[name], faces=("both",)) for name in priced)
    title = "Where the money of a shift comes from"
    title += ", and the margin of a job from which it pays" if margins else ""
    parts.append(View(table.name, title, (change, *both, *margins), only_page=bool(with_net)))
    return parts


def _varies(cell: Value) -> bool:
    """Return whether an amount is there and not 0 each time."""
    return isinstance(cell, Change) and cell.verdict != "the same"
