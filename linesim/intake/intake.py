"""A plant's workbook or CSV file, read into the tables that a scenario names; asks and writes nothing."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from linesim.answers.table import csv_text
from linesim.answers.wording import count_of, listed
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.intake.body import Body, BodyTold, body_of
from linesim.intake.figures import UnclearError, Writing, seconds_of, written
from linesim.intake.headings import Headed, headed, heading_of, key_of
from linesim.intake.map_file import ImportMap
from linesim.intake.other_rows import (
    StationRow,
    read_orders,
    read_shifts,
    read_stations,
    read_times,
    times_rows,
    with_options,
)
from linesim.intake.sheets import SheetCells, read_sheets
from linesim.intake.skeleton import Rows, skeleton, takt_in
from linesim.intake.task_rows import TaskTable, read_tasks
from linesim.intake.variants import cell_names
from linesim.intake.words import KINDS, LEFT_OUT, WHAT, Kind
from linesim.scenario.cells import COLUMNS, TIME_FOR
from linesim.scenario.files import TABLE_LIMIT, FoundFile, read_ordinary
from linesim.scenario.problems import Notes, UnreadableError, shown

#: Kind -> file that it becomes.
_FILES: tuple[tuple[Kind, str], ...] = (
    ("tasks", "tasks.csv"), ("times", "times.csv"), ("orders", "orders.csv"), ("shifts", "actuals.csv"),
)  # fmt: skip
MAP = "import.toml"  #: End of the name of the map beside a scenario.


@dataclass(frozen=True, slots=True)
class ColumnRead:
    """A heading of a table and what it was read as.

    Attributes:
        heading: The heading as it stands in the file.
        column: Column that it means, a time with its unit; empty if it is not read.
        how: How it was found, as `Heading.how`.
        example: What stands below it first.
    """

    heading: str
    column: str
    how: str
    example: str

    @property
    def is_sure(self) -> bool:
        """Whether nobody needs to confirm it."""
        return self.how in ("ours", "map")


@dataclass(frozen=True, slots=True)
class TableRead:
    """A table that was found.

    Attributes:
        sheet: Its sheet; empty in a CSV file.
        kind: What it holds.
        row: Row of its headings.
        columns: Its headings.
        count: How many rows of it are read.
    """

    sheet: str
    kind: Kind
    row: int
    columns: tuple[ColumnRead, ...]
    count: int

    @property
    def what(self) -> str:
        """What it holds, in words."""
        return WHAT[self.kind]


@dataclass(frozen=True, slots=True)
class Intake:
    """What a plant's file holds, and what becomes of it.

    Attributes:
        file: Its name.
        tables: The tables that were found, with what each heading means.
        doubts: What was taken for granted and should be confirmed once.
        changes: What was changed or left out, in the order of the sheets.
        guesses: What the scenario needs and the file does not say.
        files: Name -> text of the tables, and of a scenario around them if one was wanted.
        map: Text of the map to keep, so that the next file of this kind raises no doubts.
    """

    file: str
    tables: tuple[TableRead, ...]
    doubts: tuple[str, ...]
    changes: tuple[str, ...]
    guesses: tuple[str, ...]
    files: Mapping[str, str]
    map: str = field(repr=False)

    @property
    def is_sure(self) -> bool:
        """Whether nothing needs to be confirmed."""
        return not self.doubts and all(one.is_sure for table in self.tables for one in table.columns)

    def __str__(self) -> str:
        found = [f"{table.what} ({table.count})" for table in self.tables]
        return "\n".join([f"{self.file}: {listed(found)}", *self.doubts, *self.changes, *self.guesses])


def import_file(
    file: str | os.PathLike[str] | bytes,
    *,
    name: str = "",
    kept: str = "",
    columns: Mapping[str, str] | None = None,
    kind: Kind | None = None,
    sheets: Sequence[str] = (),
    hidden: bool = False,
    takt: str | None = None,
    scenario: str | None = "line.toml",
) -> Intake:
    r"""Read a plant's workbook or CSV file into the tables that a scenario names.

    Headings are matched to columns by the words that plants use; title rows, sums, remarks and what is hidden
    are left out, merged cells filled, times read in their units, names made from texts. Formulas are read as
    the values that were computed last. All of it is said; nothing is written.

    Args:
        file: The workbook (.xlsx) or CSV file, or its bytes.
        name: Its name, where bytes are given.
        kept: Text of the map that an earlier import gave.
        columns: Heading -> column, said now; an empty column is not read.
        kind: What it holds, where that is known: tasks, times, stations, orders or shifts.
        sheets: Names of the sheets that are read; empty means all that hold a table.
        hidden: Whether hidden sheets, rows and columns are read too.
        takt: Planned time between two jobs, such as ``"95 s"``, for the scenario.
        scenario: Name of the scenario that is made around the tables; None makes none.

    Raises:
        ScenarioError: If the file cannot be read.
        WrongQuestionError: If it holds no table that can be read, or a column, kind or sheet is unknown.

    Examples:
        >>> text = b"Station;Operation;Time [min]\nK1;Bolt cab;1,25\nTotal;;1,25\n"
        >>> found = import_file(text, name="times-of-may.csv")
        >>> print(found.files["tasks.csv"], end="")
        station,task,title,mean_min
        K1,bolt-cab,Bolt cab,1.25
    """
    found = _found(file, name)
    book = ImportMap.of_text(kept, "the map")
    hidden = hidden or book.hidden
    said = _said(columns or {}, kind)
    takt_s = _takt(takt)
    told = BodyTold()
    every, of_file = read_sheets(found, hidden=hidden)
    told.changes += of_file
    chosen = _chosen(every, sheets)
    bodies = _bodies(chosen, (kind,) if kind else KINDS, book, said, told)
    if not bodies:
        raise WrongQuestionError([_nothing(found.name, every), *told.changes])
    if takt_s is None:
        takt_s = takt_in(" ".join(filter(None, row.texts)) for one in chosen for row in one.rows[:20])
        if takt_s is not None and scenario is not None:
            told.change("", f"the takt is {written(takt_s)} s, as the file says.")
    counts, texts, guesses = _Tables(bodies, told).files(found.name, scenario, takt_s)
    if not texts and not any(counts):
        raise WrongQuestionError([f"{found.name}: no row of it can be read.", *told.changes])
    tables = [_table(body, count) for body, count in zip(bodies, counts, strict=True)]
    return Intake(
        found.name, tuple(tables), tuple(told.doubts), tuple(told.changes), guesses, texts,
        book.with_tables(bodies, told.settled, hidden=hidden).text(),
    )  # fmt: skip


def _found(file: str | os.PathLike[str] | bytes, name: str) -> FoundFile:
    if isinstance(file, bytes):
        return FoundFile(name or "file", Path(name or "file"), file)
    path = os.fspath(file)
    try:
        real = Path(os.path.realpath(path))
        return FoundFile(os.path.basename(path), real, read_ordinary(real, shown(path), limit=TABLE_LIMIT))
    except (UnreadableError, ValueError) as error:
        notes = Notes()
        wrong = (
            error if isinstance(error, UnreadableError) else UnreadableError("no-file", "no name of a file.")
        )
        notes.of_file(path, wrong)
        raise ScenarioError(notes.sorted([path])) from None


def _said(columns: Mapping[str, str], kind: Kind | None) -> dict[str, str]:
    wrong = []
    for heading, target in columns.items():
        errors = []
        for one in (kind,) if kind else KINDS:
            try:
                heading_of(target, one)
            except ValueError as error:
                errors.append(str(error))
        if len(errors) == (1 if kind else len(KINDS)):
            wrong.append(f"{shown(heading)}: {errors[0]}.")
    if wrong:
        raise WrongQuestionError(wrong)
    return {key_of(heading): target for heading, target in columns.items()}


def _takt(takt: str | None) -> Decimal | None:
    if takt is None:
        return None
    try:
        return seconds_of(takt, "s", Writing())
    except UnclearError:
        raise WrongQuestionError(f'the takt is {shown(takt)}; write a time such as "95 s".') from None


def _chosen(every: Sequence[SheetCells], names: Sequence[str]) -> list[SheetCells]:
    there = [one.name for one in every]
    if unknown := [name for name in names if name not in there]:
        raise WrongQuestionError(
            f"there is no sheet {shown(unknown[0])}; there are {listed(there) or 'none'}."
        )
    return [one for one in every if not names or one.name in names]


def _bodies(
    sheets: Iterable[SheetCells],
    kinds: Sequence[Kind],
    book: ImportMap,
    said: Mapping[str, str],
    told: BodyTold,
) -> list[Body]:
    found: list[Headed] = []
    sheets = tuple(sheets)
    names = cell_names(sheets)
    for sheet in sheets:
        one = headed(sheet, kinds, book.columns, said, names)
        if one is not None:
            found.append(one)
        elif sheet.rows:
            told.change(sheet.name, "no table that is known, left out.")
    for kind in KINDS:
        same = [shown(one.sheet.name) for one in found if one.kind == kind]
        if len(same) > 1:
            told.doubt("", f"{listed(same)} hold {WHAT[kind]}; all are read (--sheet reads some).")
    bodies = [body_of(one, book.settled.get(one.kind, {}), told) for one in found]
    for body in bodies:
        if not body.rows:
            told.change(body.sheet, "headings and nothing below, left out.")
    return [with_options(body) if body.headed.kind == "orders" else body for body in bodies if body.rows]


def _nothing(name: str, sheets: Sequence[SheetCells]) -> str:
    rows = [row for sheet in sheets for row in sheet.rows[:3]]
    first = next((row for row in rows if sum(map(bool, row.texts)) > 1), rows[0] if rows else None)
    if first is None:
        return f"{name}: there is nothing in it that can be seen."
    texts = listed([shown(text) for text in first.texts if text][:6])
    return (
        f"{name}: no row of headings was found. Row {first.number} has {texts}. Headings such as Station, "
        "Task, Time (s) make a table of tasks; say what one means with --column 'HEADING=COLUMN'."
    )


def _table(body: Body, count: int) -> TableRead:
    head = body.headed
    columns = tuple(
        ColumnRead(
            one.text, one.target if one.column else LEFT_OUT, one.how,
            next((row.texts[one.place] for row in body.rows if row.texts[one.place]), ""),
        )
        for one in head.headings
    )  # fmt: skip
    return TableRead(body.sheet, head.kind, head.sheet.rows[head.at].number, columns, count)


class _Tables:
    """The tables of a file, put together by their kinds."""

    def __init__(self, bodies: Sequence[Body], told: BodyTold) -> None:
        self.told = told
        self.counts: list[int] = []
        self.tasks: list[TaskTable] = []
        self.stations: list[StationRow] = []
        self.rows: dict[Kind, list[Mapping[str, str]]] = {kind: [] for kind, _ in _FILES}
        for body in bodies:
            if body.headed.kind == "tasks":
                self.tasks.append(self._tasks(body))
                some: Rows = self.tasks[-1].rows
            elif body.headed.kind == "stations":
                listed_here = read_stations(body, told)
                self.stations += listed_here
                self.counts.append(len(listed_here))
                continue
            elif body.headed.kind == "orders":
                some = read_orders(body, told)
            elif body.headed.kind == "shifts":
                some = read_shifts(body, told)
            else:
                some = times_rows(read_times(body, told))
            self.counts.append(len(some))
            self.rows[body.headed.kind] += some

    def _tasks(self, body: Body) -> TaskTable:
        """Return the tasks of a sheet, without those that an earlier sheet has."""
        found = read_tasks(body, self.told, at=body.sheet)
        there = {(row["station"], row["task"]) for row in self.rows["tasks"]}
        kept = [k for k, row in enumerate(found.rows) if (row["station"], row["task"]) not in there]
        if len(kept) < len(found.rows):
            again = count_of(len(found.rows) - len(kept), "task")
            self.told.change(body.sheet, f"{again} that another sheet has too, left out.")
        return TaskTable(
            tuple(found.rows[k] for k in kept),
            tuple(found.seconds[k] for k in kept),
            found.stations,
            found.people,
            found.sections,
            found.models,
        )

    def files(
        self, source: str, scenario: str | None, takt: Decimal | None
    ) -> tuple[list[int], dict[str, str], tuple[str, ...]]:
        """Return how many rows each sheet gave, the texts of the files by their names, and the guesses."""
        names = {kind: f"read-{name}" if name == source else name for kind, name in _FILES}
        texts = {}
        for kind, name in names.items():
            if self.rows[kind]:
                texts[name] = _csv(self.rows[kind], kind)
        guesses: tuple[str, ...] = ()
        if scenario is not None and (self.rows["tasks"] or self.stations):
            given: dict[str, str] = {kind: name for kind, name in names.items() if self.rows[kind]}
            given.setdefault("tasks", names["tasks"])
            made = skeleton(source, self.tasks, self.stations, self.rows["orders"], given, takt)
            texts[scenario], guesses = made.text, made.guesses
        return self.counts, texts, guesses


def _csv(rows: Rows, kind: Kind) -> str:
    """Return rows as CSV, without columns that hold nothing; those of tasks in the order of their table."""
    named = dict.fromkeys(name for row in rows for name in row)
    first = ["station", "task", "title"]
    order = list(named)
    if kind == "tasks":
        own = [name for name in named if TIME_FOR.fullmatch(name)]
        at = COLUMNS.index("mean_h") + 1
        order = [*first, *(name for name in (*COLUMNS[:at], *own, *COLUMNS[at:]) if name not in first)]
    kept = [name for name in order if any(row.get(name) for row in rows)]
    if kind == "orders":
        kept = ["model", "options"]
    return csv_text(kept, [[row.get(name, "") for name in kept] for row in rows])
