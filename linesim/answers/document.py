"""An answer: sentences, tables, parts in the order in which they are read, cautions, and where it comes from.

A study makes one, and never a text for a terminal or a page. Parts speak of tables by name, so that the
document can be written, read back and shown again: on a terminal, on a page, in a workbook, in a notebook.
"""

from __future__ import annotations

import html
import json
import textwrap
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

from linesim.answers.card import StudyCard
from linesim.answers.decision import CaseDecision
from linesim.answers.table import Column, Row, Table
from linesim.answers.values import Change

if TYPE_CHECKING:
    import pandas as pd

SCHEMA_VERSION = 2  #: Of the JSON document; rises when a key changes its meaning or goes.
_MOST_LETTERS = 300  #: Of the first sentence in a `repr`.
ROWS_SHOWN = 40  #: A notebook shows so many rows of a table; all of them are in `Document.tables`.


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within the answer."""

    text: str


@dataclass(frozen=True, slots=True)
class Words:
    """Paragraphs between tables.

    Attributes:
        texts: The paragraphs.
        depth: How far they are set in, below what stands before them.
        hangs: Whether each is an item of a list, whose first line stands out.
        is_verbatim: Whether each is a line that is copied as it stands.
    """

    texts: tuple[str, ...]
    depth: int = 0
    hangs: bool = False
    is_verbatim: bool = False


@dataclass(frozen=True, slots=True)
class View:
    """Rows and columns of a table, as they are read.

    Attributes:
        table: Name of the table.
        title: What is shown; the heading on a terminal and the caption on a page.
        columns: Which columns, each with the faces that are shown.
        rows: Which rows, see `Table.places`; None means all.
        most: Rows that a terminal shows at most; 0 means all.
        bars: Name of the column that a terminal draws bars of; empty for none.
        note: What a reader should know of it, below the table.
        only_page: Whether a terminal leaves it out.
        by: Name of a column for whose values a terminal writes a table each, instead of the column.
    """

    table: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[int, ...] | None = None
    most: int = 0
    bars: str = ""
    note: str = ""
    only_page: bool = False
    by: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing of a view: a page draws it with the view as the numbers behind it, a terminal shows the view.

    Attributes:
        kind: How it is drawn; see `linesim.report.document.DRAWN`.
        name: Its name in the page, small letters and ``-``.
        says: How to read it and what is to be seen.
        view: What is drawn.
        value: Column of the estimates that are drawn; of a forest also several, with blanks between.
        label: What a row is called, with the names of columns in braces: ``"{factor}: {before}"``.
        unit: What the values are, beside the scale.
        is_ordered: Whether the order of the rows says something; else a page draws the largest first.
    """

    kind: str
    name: str
    says: str
    view: View
    value: str
    label: str
    unit: str = ""
    is_ordered: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table turned into a grid: one thing down, another across, a figure where they meet.

    Attributes:
        table: Name of the table.
        title: What is shown.
        down, across: Columns whose values are the rows and the columns of the grid.
        cell: Column of the figures, with the one face that is shown.
        most: Columns that a terminal shows at most, those with the largest figures; 0 means all.
        note: What a reader should know of it, below the grid.
        only_page: Whether a terminal leaves it out.
        sums: Whether a column and a last row hold the sums.
    """

    table: str
    title: str
    down: Column
    across: str
    cell: Column
    most: int = 0
    note: str = ""
    only_page: bool = False
    sums: bool = False


Part = Heading | Words | View | Chart | Grid


@dataclass(frozen=True, slots=True, repr=False)
class Document:
    """The answer to a question.

    Attributes:
        study: Name of the question, which is that of its command.
        sentences: The answer in plain English, the most important first; every number in them is an estimate
            of a table, in the words of `linesim.answers.wording`.
        tables_: The tables; read them by name through `tables`.
        parts: What stands between sentences and cautions, in its order.
        cautions: What a reader should look into before acting on the answer.
        card: What was simulated and how, to get the same answer again.
        asked: What was asked, by the names of the options; only what differs from their defaults.
        is_refusal: Whether the answer is that something is not as it should be, for the exit status.
        shown_: Tables that parts show and no file holds.
        decision: What is decided between, for cards and selectors; None where nothing is.
    """

    study: str
    sentences: tuple[str, ...]
    tables_: tuple[Table, ...]
    parts: tuple[Part, ...]
    cautions: tuple[str, ...]
    card: StudyCard
    asked: Mapping[str, Any] = field(default_factory=dict)
    is_refusal: bool = False
    shown_: tuple[Table, ...] = ()
    decision: CaseDecision | None = None

    @property
    def tables(self) -> Mapping[str, Table]:
        """The tables by name."""
        found = {table.name: table for table in self.tables_}
        if len(found) < len(self.tables_):
            raise ValueError(f"two tables have one name: {[table.name for table in self.tables_]}")
        return found

    def table(self, name: str) -> Table:
        """Return one table.

        Raises:
            KeyError: If there is none of this name; the message lists those that there are.
        """
        if name not in self.tables:
            raise KeyError(f"no table {name!r}; there are {', '.join(self.tables) or 'none'}")
        return self.tables[name]

    def frame(self, name: str) -> pd.DataFrame:
        """Return one table as a pandas frame."""
        return self.table(name).frame

    def as_dict(self) -> dict[str, Any]:
        """Return what `to_json` writes, as plain dictionaries, lists, texts and numbers."""
        return {
            "schema_version": SCHEMA_VERSION,
            "study": self.study,
            "asked": dict(self.asked),
            "sentences": list(self.sentences),
            "cautions": list(self.cautions),
            **self.card.as_dict(),
            **({} if self.decision is None else {"decision": self.decision.as_dict()}),
            "tables": {table.name: table.as_rows() for table in self.tables_},
            "captions": {table.name: table.says for table in self.tables_ if table.says},
            "layout": {
                "tables": {
                    table.name: {"columns": _plain(table.columns), "keys": list(table.keys)}
                    for table in self.tables_
                },
                "parts": _plain(self.parts),
                "is_refusal": self.is_refusal,
            },
        }

    def to_json(self) -> str:
        """Return the answer as one JSON object; the same input and seed give the same bytes."""
        return json.dumps(self.as_dict(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"

    def files(self) -> dict[str, str]:
        """Return what a folder of results holds: each table as CSV, and the JSON object."""
        texts = {f"{table.name}.csv": table.to_csv() for table in self.tables_}
        return {**texts, f"{self.study}.json": self.to_json()}

    @classmethod
    def from_dict(cls, raw: Mapping[str, Any], card: StudyCard) -> Document:
        """Return an answer from what `as_dict` has written.

        Raises:
            KeyError, TypeError or ValueError: If it has not written it.
        """
        layout, captions = raw["layout"], raw["captions"]
        tables = []
        for name, rows in raw["tables"].items():
            form = layout["tables"][name]
            empty = Table(
                name, _made(form["columns"]), (), _text(captions.get(name, "")), _made(form["keys"])
            )
            tables.append(empty.with_rows(rows))
        found = cls(
            _text(raw["study"]), _texts(raw["sentences"]), tuple(tables), _made(layout["parts"]),
            _texts(raw["cautions"]), card, dict(raw["asked"]), bool(layout["is_refusal"]),
            decision=CaseDecision.from_dict(raw["decision"]) if "decision" in raw else None,
        )  # fmt: skip
        for part in found.parts:
            for view in views_of(part):
                for place in view.rows or ():
                    found.table(view.table).rows[place]
                for column in view.columns:
                    found.table(view.table).column(column.name)
            if isinstance(part, Grid):
                for name in (part.down.name, part.across, part.cell.name):
                    found.table(part.table).column(name)
        return found

    def rows_of(self, name: str) -> list[Row]:
        """Return the rows of a table that parts show."""
        shown = {table.name: table for table in self.shown_}
        return list(shown[name] if name in shown else self.table(name))

    def rows(self, view: View) -> list[Row]:
        """Return the rows that a view shows."""
        rows = self.rows_of(view.table)
        return rows if view.rows is None else [rows[place] for place in view.rows]

    def __repr__(self) -> str:
        tables = ", ".join(f"{table.name} ({len(table)})" for table in self.tables_)
        said = self.sentences[0] if self.sentences else ""
        short = textwrap.shorten(said, _MOST_LETTERS, placeholder=" …")
        return f"<answer of {self.study}: {short} Tables: {tables}.>"

    def __str__(self) -> str:
        return "\n".join([*self.sentences, *self.cautions])

    def _repr_html_(self) -> str:
        """Show sentences, cautions and tables in a notebook; every text is escaped."""
        said = "".join(f"<p>{html.escape(text)}</p>" for text in self.sentences)
        cautions = "".join(f"<li>{html.escape(text)}</li>" for text in self.cautions)
        shown = [part for part in self.parts if isinstance(part, View | Chart | Grid)] or [
            View(table.name, table.says or table.name, table.columns) for table in self.tables_
        ]
        tables = "".join(_part_html(self, part) for part in shown)
        return f"<div>{said}{f'<ul>{cautions}</ul>' if cautions else ''}{tables}</div>"


def views_of(part: Part) -> tuple[View, ...]:
    """Return the view that a part shows, if it shows one."""
    if isinstance(part, Chart):
        return (part.view,)
    return (part,) if isinstance(part, View) else ()


def _part_html(document: Document, part: View | Chart | Grid) -> str:
    from linesim.answers.grid import crossed, grid_of

    if isinstance(part, Grid):
        rows, title = document.rows_of(part.table), part.title
        grid = crossed(part, rows)
    else:
        (view,) = views_of(part)
        rows, title = document.rows(view), view.title
        grid = grid_of(view, rows[:ROWS_SHOWN])
    head = "".join(f"<th>{html.escape(name)}</th>" for name in grid.heads)
    body = "".join(
        "<tr>" + "".join(f"<td>{html.escape(text)}</td>" for text in row) + "</tr>" for row in grid.texts
    )
    caption = f"<caption>{html.escape(title)}</caption>"
    left = len(rows) - ROWS_SHOWN
    more = f"<p>{left} more rows</p>" if left > 0 and not isinstance(part, Grid) else ""
    return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{more}"


def _plain(value: Any) -> Any:
    """Return parts and columns as plain dictionaries and lists, without what is as usual."""
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Column | Heading | Words | View | Chart | Grid):
        usual = {one.name: one.default for one in fields(value)}
        given = {name: getattr(value, name) for name in usual}
        kept = {name: _plain(item) for name, item in given.items() if item != usual[name]}
        return {"is": type(value).__name__, **kept}
    return value


def _made(raw: Any) -> Any:
    """Return what `_plain` was given.

    Raises:
        KeyError or TypeError: If it is nothing that it gives.
    """
    if isinstance(raw, list):
        return tuple(_made(item) for item in raw)
    if not isinstance(raw, dict):
        if not isinstance(raw, str | int | None):
            raise TypeError(f"a part holds {type(raw).__name__}")
        return raw
    known = {one.__name__: one for one in (Column, Heading, Words, View, Chart, Grid)}
    made = known[raw["is"]](**{name: _made(item) for name, item in raw.items() if name != "is"})
    for one in fields(made):
        value = getattr(made, one.name)
        if str(one.type) in ("str", "Kind") and not isinstance(value, str):
            raise TypeError(f"{one.name} holds {type(value).__name__}")
        if str(one.type) in ("int", "bool") and not isinstance(value, int):
            raise TypeError(f"{one.name} holds {type(value).__name__}")
        if str(one.type).startswith("tuple") and not isinstance(value, tuple | None):
            raise TypeError(f"{one.name} holds {type(value).__name__}")
    return made


def _texts(values: Sequence[object]) -> tuple[str, ...]:
    return tuple(map(_text, values))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"text expected, found {type(value).__name__}")
    return value


def change_in(row: Row, name: str) -> Change:
    """Return the change that a row has in a column."""
    found = row[name]
    assert isinstance(found, Change)
    return found


def largest(name: str, *, downward: bool = False) -> Callable[[Row], float]:
    """Return by what rows are ordered so that the largest change of a column comes first.

    Args:
        name: The column.
        downward: Whether the highest comes first, whichever way it goes; else the furthest from 0.
    """

    def size(row: Row) -> float:
        mean = change_in(row, name).mean or 0.0
        return -mean if downward else -abs(mean)

    return size
