"""The plant's own shift records: one row a shift, as many of three kinds of columns as there are."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from linesim.answers.wording import listed
from linesim.errors import WrongQuestionError
from linesim.questions.measured import open_table, raise_notes
from linesim.scenario import cells
from linesim.scenario.grid import Cell, CellGrid
from linesim.scenario.problems import Notes, nearest, shown

if TYPE_CHECKING:
    from linesim.scenario import Scenario

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


def paced_sections(scenario: Scenario) -> tuple[str, ...]:
    """Return the sections that have a conveyor and can stop, in the order of the file."""
    return tuple(name for name, section in scenario.section.items() if section.pacing != "free")


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
    paced = paced_sections(scenario)
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
