"""Lists of orders: read, checked, and written in another order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.answers.table import csv_text
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.questions.measured import open_table
from linesim.scenario.columns import read_orders
from linesim.scenario.notes import Notes

if TYPE_CHECKING:
    from linesim.answers.document import Document
    from linesim.scenario import Scenario

MOST = 1000  #: Orders of a list.


@dataclass(frozen=True, slots=True)
class OrderList:
    """Orders as they came.

    Attributes:
        texts: Each as ``model+option+option``.
        due: Place at which each is due, counted from 0.
    """

    texts: tuple[str, ...]
    due: tuple[int, ...]


def read_list(scenario: Scenario, table: Any) -> OrderList:
    """Return the orders of a table, or those that the scenario lists.

    Raises:
        ScenarioError: If the table cannot be read.
        WrongQuestionError: If there are no orders, too many, or a place is no number.
    """
    if table is None:
        texts = tuple(scenario.orders.listed)
        if not texts:
            raise WrongQuestionError("the file lists no orders; name a table of them with --orders.")
        due = list(range(len(texts)))
    else:
        grid, notes = open_table(table, prefer="orders"), Notes()
        found, _ = read_orders(grid, notes)
        if notes.has_errors:
            raise ScenarioError(notes.sorted([grid.file]))
        texts = tuple(found)
        due = list(range(len(texts)))
        names = [cell.text.lower() for cell in grid.heading]
        if "due" in names:
            for place, row in enumerate(grid.rows):
                cell = row[names.index("due")]
                if cell.text:
                    if not (
                        cell.text.isascii() and cell.text.isdigit() and 1 <= int(cell.text) <= len(texts)
                    ):
                        raise WrongQuestionError(
                            f"{grid.file}: {cell.place}: {cell.text[:20]!r} is no place in the list; write a "
                            f"whole number from 1 to {len(texts)}."
                        )
                    due[place] = int(cell.text) - 1
    if not 2 <= len(texts) <= MOST:
        raise WrongQuestionError(f"a list has 2 to {MOST} orders, this one has {len(texts)}.")
    return OrderList(texts, tuple(due))


def saved(table: Any, answer: Document) -> str:
    """Return the list in the order of an answer as CSV, all columns of its table kept."""
    came = [int(str(row["came"])) - 1 for row in answer.table("sequence")]
    if table is None:
        rows = [(row["model"], row["options"]) for row in answer.table("sequence")]
        return csv_text(("model", "options"), [(str(a), str(b)) for a, b in rows])
    grid = open_table(table, prefer="orders")
    return csv_text(
        [cell.text for cell in grid.heading], [[cell.text for cell in grid.rows[place]] for place in came]
    )
