"""A column of measured times, as a table has it."""

from __future__ import annotations

import os
from collections.abc import Sequence

import numpy as np

from linesim.answers.wording import listed
from linesim.errors import WrongQuestionError
from linesim.plan.arrays import FloatArray
from linesim.questions.measured import open_table, raise_notes
from linesim.scenario import cells
from linesim.scenario.columns import read_times
from linesim.scenario.notes import Notes


def column_of(path: str | os.PathLike[str], column: str | None) -> tuple[FloatArray, str]:
    """Return the times of a column [s] in the order of the table, and its heading.

    Args:
        path: CSV file or workbook; headings of times end in their unit, ``_s``, ``_min`` or ``_h``.
        column: Heading of the column; None takes the only one that names a unit.

    Raises:
        ScenarioError: With everything that is wrong in the table.
        WrongQuestionError: If it has none or several such columns and none was named.
    """
    table = open_table(path, prefer="times")
    headings = [cell.text for cell in table.heading if cell.text]
    if column is None:
        named = [text for text in headings if _has_unit(text)]
        if len(named) != 1:
            there = listed([repr(text) for text in (named or headings)])
            raise WrongQuestionError(
                f"{table.file}: {'several columns' if named else 'no column'} of times; name one of {there}"
                + ("." if named else ", and end its heading in _s, _min or _h.")
            )
        column = named[0]
    notes = Notes()
    times = read_times(table, column, notes)
    raise_notes(notes, table.file)
    assert times is not None
    return np.asarray(times, dtype=np.float64), column


def given_times(values: Sequence[float]) -> FloatArray:
    """Return times that are there already [s].

    Raises:
        WrongQuestionError: If there is none, or one is negative or no number.
    """
    times = np.asarray(values, dtype=np.float64)
    if times.ndim != 1 or not times.size or not np.isfinite(times).all() or times.min() < 0:
        raise WrongQuestionError("times must be a list of finite numbers of seconds >= 0, at least one.")
    return times


def _has_unit(heading: str) -> bool:
    name, _, unit = heading.rpartition("_")
    return bool(name) and unit in cells.UNITS
