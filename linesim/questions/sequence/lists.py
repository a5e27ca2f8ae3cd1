"""Lists of orders: read, checked, and written in another order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linesim.answers.table import csv_text
from linesim.errors import WrongQuestionError
from linesim.questions.measured import open_table, raise_notes
from linesim.scenario.cells import read_orders
from linesim.scenario.problems import Notes, has, shown

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
        WrongQuestionError: If there are no orders, too many, or some name what the line does not have.
    """
    if table is None:
        texts = tuple(scenario.orders.listed)
        if not texts:
            raise WrongQuestionError("the file lists no orders; name a table of them with --orders.")
        due = list(range(len(texts)))
    else:
        grid, notes = open_table(table, prefer="orders"), Notes()
        found, _ = read_orders(grid, notes)
        raise_notes(notes, grid.file)
        texts, due = tuple(found), list(range(len(found)))
        names = [cell.text.strip().lower() for cell in grid.heading]
        model, wrong = names.index("model"), []
        for place, (row, text) in enumerate(zip(grid.rows, texts, strict=True)):
            where, (kind, *options) = f"{grid.file}: {row[model].place}", text.split("+")
            if kind not in scenario.model:
                wrong.append(f"{where}: {shown(kind)} is no model; {has(scenario.model, kind, 'model')}.")
            wrong += [
                f"{where}: {shown(option)} is no option; {has(scenario.option, option, 'option')}."
                for option in options if option not in scenario.option
            ]  # fmt: skip
            cell = row[names.index("due")] if "due" in names else None
            if cell and cell.text:
                number = cell.text.strip()
                if number.isascii() and number.isdigit() and 1 <= int(number[:9]) <= len(texts):
                    due[place] = int(number) - 1
                else:
                    wrong.append(
                        f"{where}: due {shown(number)} is no place in the list; write a whole number from "
                        f"1 to {len(texts)}."
                    )
        if wrong:
            raise WrongQuestionError(wrong)
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
