"""The plant's own shift records, and each recorded figure against the simulated one."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linesim.answers.values import Change, Estimate
from linesim.answers.wording import listed
from linesim.errors import WrongQuestionError
from linesim.plan.tables import FloatArray
from linesim.questions.alternatives import open_table, raise_notes
from linesim.scenario import Scenario, cells
from linesim.scenario.grid import Cell, CellGrid
from linesim.scenario.problems import Notes, nearest, shown
from linesim.stats.comparisons import between_ranks, joint_confidence, welch_difference
from linesim.stats.intervals import mean_interval

JOBS, STOPS, REWORKED = "jobs", "stop_min", "reworked"
LABEL = "shift"  #: RecordColumn that names a shift, such as a date; it may be left out.


@dataclass(frozen=True, slots=True)
class RecordColumn:
    """What the plant recorded of one figure.

    Attributes:
        name: Heading of the column.
        kind: ``jobs``, ``stop_min`` or ``reworked``.
        section: Section of the stop minutes; empty for the others.
        values: Its figures, shift by shift, without those that are missing.
        shifts: What each of these shifts is called.
    """

    name: str
    kind: str
    section: str
    values: tuple[float, ...]
    shifts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Actuals:
    """The plant's records.

    Attributes:
        file: Name of the file; empty if they came from no file.
        columns: What was recorded and can be compared.
        ignored: Headings of the columns that say nothing here.
    """

    file: str
    columns: tuple[RecordColumn, ...]
    ignored: tuple[str, ...]


def read_actuals(path: str | os.PathLike[str], scenario: Scenario) -> Actuals:
    """Return the shift records of a CSV file or workbook.

    One row a shift. ``jobs``: jobs finished in it. ``stop_min``: minutes in which the conveyor stood
    though it should have run; with several sections that have one, ``stop_min_SECTION`` for each.
    ``reworked``: jobs that a bay put right in it. ``shift``: what it is called. A blank cell is a figure
    that was not written down; other columns are left alone, unless their heading looks like a slip of these.

    Raises:
        ScenarioError: With everything that is wrong in the table.
    """
    table = open_table(path, prefer="shifts")
    notes = Notes()
    known = columns_of(scenario)
    every = tuple(dict.fromkeys(cell.text for cell in table.heading if cell.text))
    found = cells.columns(table, every, (), notes)
    used = {name: at for name, at in found.items() if name in known}
    _headings(table, every, known, notes)
    raise_notes(notes, table.file)
    at_label = found.get(LABEL)
    columns = []
    for name, at in used.items():
        values, shifts = [], []
        for number, row in enumerate(table.rows, start=1):
            if not row[at].text:
                continue
            value = cells.number(table, row[at], notes)
            if value is not None and value < 0:
                notes.at_cell(table.file, row[at], "out-of-range", f"found {value:g}; a count is 0 or more.")
            values.append(-1.0 if value is None else value)
            label = "" if at_label is None else row[at_label].text
            shifts.append(label or f"shift {number}")
        if not values:
            empty = table.heading[at]
            notes.at_cell(table.file, empty, "empty-table", f'the column "{name}" holds no figures.')
        columns.append(RecordColumn(name, *known[name], tuple(values), tuple(shifts)))
    raise_notes(notes, table.file)
    ignored = tuple(name for name in every if name not in used and name != LABEL)
    return Actuals(os.path.basename(table.file), _in_order(columns, known), ignored)


def given_actuals(records: Mapping[str, Sequence[float]], scenario: Scenario) -> Actuals:
    """Return shift records that are there already, by the headings that a table would have.

    Raises:
        WrongQuestionError: If a heading is unknown, or a column holds no figures >= 0.
    """
    known = columns_of(scenario)
    columns = []
    for name, values in records.items():
        if name not in known:
            raise WrongQuestionError(
                f"{name!r} is no column of shift records; there are {listed(list(known))}."
            )
        data = np.asarray(values, dtype=np.float64)
        if data.ndim != 1 or not data.size or not np.isfinite(data).all() or data.min() < 0:
            raise WrongQuestionError(f"{name!r} must be a list of finite figures >= 0, at least one.")
        shifts = tuple(f"shift {number}" for number in range(1, data.size + 1))
        columns.append(RecordColumn(name, *known[name], tuple(data.tolist()), shifts))
    if not columns:
        raise WrongQuestionError(f"there is nothing to compare with; give {listed(list(known), 'or')}.")
    return Actuals("", _in_order(columns, known), ())


def columns_of(scenario: Scenario) -> dict[str, tuple[str, str]]:
    """Return the columns that records of a line may have, each with its kind and section."""
    paced = [name for name, section in scenario.section.items() if section.pacing != "free"]
    stops = {f"{STOPS}_{name}": (STOPS, name) for name in paced}
    if len(paced) == 1:
        stops = {STOPS: (STOPS, paced[0]), **stops}
    return {JOBS: (JOBS, ""), **stops, REWORKED: (REWORKED, "")}


def _in_order(columns: Sequence[RecordColumn], known: Mapping[str, object]) -> tuple[RecordColumn, ...]:
    return tuple(sorted(columns, key=lambda column: list(known).index(column.name)))


def _headings(
    table: CellGrid, every: Sequence[str], known: Mapping[str, tuple[str, str]], notes: Notes
) -> None:
    """Note a heading that must mean one of the known ones, and that there is nothing to compare."""
    for cell in table.heading:
        if cell.text in known or cell.text == LABEL or not cell.text:
            continue
        if cell.text == STOPS:
            stops = [name for name, (kind, _) in known.items() if kind == STOPS]
            said = (
                f"write {listed(stops, 'or')}"
                if stops
                else "no section of this line has a conveyor that stops"
            )
            notes.at_cell(
                table.file, cell, "unknown-column", f'"{STOPS}" does not say of which section; {said}.'
            )
        elif cell.text.startswith(f"{STOPS}_") or nearest(cell.text, list(known)):
            near = nearest(cell.text, list(known)) or list(known)
            notes.at_cell(
                table.file,
                cell,
                "unknown-column",
                f"{shown(cell.text)} is no known column; did you mean {near[0]}?",
            )
    if not notes.has_errors and not any(name in known for name in every):
        nowhere = Cell("", table.heading[0].line, "headings")
        notes.at_cell(
            table.file, nowhere, "missing-column",
            f"there is no column to compare with; a table of shifts has {listed(list(known), 'or')}.",
        )  # fmt: skip


PLAUSIBLE, TOO_GOOD, TOO_BAD, CANT_TELL = "plausible", "too good", "too bad", "can't tell"
STEADY, WILD, ALIKE = "too steady", "too unsteady", "plausible"

OTHERS = 5.0  #: Stop minutes and reworked jobs may be so many times as far off as jobs, as shares.
HIDDEN = 2.0  #: An interval that reaches further than so many times what matters tells nothing.
FEWEST = 2  #: So many shifts at least have a spread.


class Judged(NamedTuple):
    """What the comparison says of one recorded figure.

    Attributes:
        column: The record.
        difference: Mean over the simulated shifts (`after`) minus mean over the plant's (`before`); its
            interval holds together with those of all other figures.
        matters_from: The smallest difference that matters, in the unit of the figure.
        verdict: ``plausible``, ``too good``, ``too bad``, or ``can't tell``.
        singles: Middle of single simulated shifts, and the range that eight in ten of them fall in.
        plant_shifts_inside: Plant's shifts in that range.
        line_share_inside: Share of further simulated shifts in it; little where few were simulated.
        scatter: ``plausible``, ``too steady`` or ``too unsteady`` for the scatter of single simulated
            shifts about their mean; empty where the records are too few or the mean is off.
    """

    column: RecordColumn
    difference: Change
    matters_from: float
    verdict: str
    singles: Estimate
    plant_shifts_inside: int
    line_share_inside: float
    scatter: str

    @property
    def figure(self) -> str:
        """What the records call it."""
        return self.column.name

    @property
    def plant_shifts(self) -> int:
        """How many shifts of the plant there are."""
        return len(self.column.values)

    @property
    def plant_share_inside(self) -> float:
        """Share of the plant's shifts in the range of eight simulated ones in ten."""
        return self.plant_shifts_inside / self.plant_shifts

    @property
    def is_off(self) -> bool:
        """Whether the line is surely off by more than matters."""
        return self.verdict in (TOO_GOOD, TOO_BAD)

    @property
    def off_by(self) -> float:
        """By how much the means differ, whichever is higher."""
        return abs(self.difference.mean or 0.0)

    @property
    def could_hide(self) -> float | None:
        """The largest difference that the records do not exclude."""
        low, high = self.difference.low, self.difference.high
        return None if low is None or high is None else max(abs(low), abs(high))


def singles(simulated: FloatArray) -> Estimate:
    """Return the middle of single simulated shifts, and the range that eight in ten of them fall in."""
    low, middle, high = (float(np.quantile(simulated, p, method="inverted_cdf")) for p in (0.1, 0.5, 0.9))
    return Estimate(middle, low, high, n=simulated.size, method="eight single ones in ten")


def judge(
    column: RecordColumn, simulated: FloatArray, *, within: float, confidence: float, comparisons: int
) -> Judged:
    """Return what a recorded figure says of the simulated one.

    Replications are independent of each other; so, it is assumed, are the plant's shifts.

    Args:
        column: The plant's figures, one a shift.
        simulated: The line's, shape ``(replications, shifts)``.
        within: Share of the plant's mean from which on a difference in jobs matters; `OTHERS` times that
            for other figures.
        confidence: Of all comparisons together.
        comparisons: How many there are.
    """
    plant = np.asarray(column.values)
    alone = joint_confidence(confidence, comparisons)
    means = simulated.mean(axis=1)
    difference = Change.between(
        welch_difference(means, plant, alone), "min" if column.kind == STOPS else "jobs",
        before=mean_interval(plant).mean, after=mean_interval(means).mean, comparisons=comparisons,
    )  # fmt: skip
    matters = within * (1.0 if column.kind == JOBS else OTHERS) * float(plant.mean())
    band = singles(simulated)
    verdict = _verdict(column.kind, difference, matters)
    return Judged(
        column=column,
        difference=difference,
        matters_from=matters,
        verdict=verdict,
        singles=band,
        plant_shifts_inside=_inside(plant, band),
        line_share_inside=(_inside(simulated, band) - 1) / (simulated.size + 1),
        scatter=_scatter(plant, simulated, alone) if verdict in (PLAUSIBLE, CANT_TELL) else "",
    )


def _inside(values: FloatArray, band: Estimate) -> int:
    assert band.low is not None and band.high is not None
    return int(np.sum((values >= band.low) & (values <= band.high)))


def _verdict(kind: str, found: Change, matters: float) -> str:
    if found.mean is None or found.low is None or found.high is None:
        return CANT_TELL
    if found.sign:
        if abs(found.mean) <= matters:
            return PLAUSIBLE
        return TOO_GOOD if (found.mean > 0) == (kind == JOBS) else TOO_BAD
    is_near = max(-found.low, found.high) <= HIDDEN * matters
    return PLAUSIBLE if is_near or found.verdict == "the same" else CANT_TELL


def _scatter(plant: FloatArray, simulated: FloatArray, confidence: float) -> str:
    """Return whether single shifts of the line scatter about their mean as those of the plant do.

    As many of the plant's shifts should lie in the middle range of the simulated ones as further
    simulated ones would, once the means are laid on each other; few simulated shifts tell little of it.
    """
    if plant.size < FEWEST or simulated.size < FEWEST:
        return ""
    off = np.sort(simulated - simulated.mean(), axis=None)
    n = off.size
    first, last = math.ceil(0.1 * n) - 1, math.ceil(0.9 * n) - 1
    if first == last:
        return ""
    slack = 1e-9 * max(1.0, float(np.abs(off).max()))
    low, high = off[first] - slack, off[last] + slack
    theirs = plant - plant.mean()
    inside = int(np.sum((theirs >= low) & (theirs <= high)))
    # Values that occur again and again, as counts do, only bring more into the range: against few inside
    # the ranks alone are held, against many inside everything in the range.
    held = int(np.sum((off >= low) & (off <= high)))
    few = between_ranks(inside, plant.size, gaps=last - first, sample=n).at_most
    many = between_ranks(inside, plant.size, gaps=min(held, n - 1), sample=n).at_least
    if few < (1 - confidence) / 2:
        return STEADY
    return WILD if many < (1 - confidence) / 2 else ALIKE
