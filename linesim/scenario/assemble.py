"""Putting a scenario together: the file, what it extends, lines of `--set`, and every table named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from linesim.scenario import toml
from linesim.scenario.files import TABLE_LIMIT, TEXT_LIMIT, Folder, FoundFile, InputFile
from linesim.scenario.origins import Origins, Path, merged
from linesim.scenario.problems import Notes, UnreadableError, shown
from linesim.scenario.replace import note_new, note_nothing_new

if TYPE_CHECKING:
    from linesim.scenario.grid import CellGrid

_DEEPEST = 20  #: Scenarios that may extend one another in a row.
ADD, SETS = "--add", "--set"  #: Names under which lines of the command line appear in messages.


class Assembly:
    """A raw scenario while it is put together.

    Attributes:
        raw: The merged tables so far.
        origins: Where their parts stand.
        notes: Problems so far.
        files: Every file that was read, in the order of reading.
    """

    def __init__(self, main: str) -> None:
        self.raw: dict[str, Any] = {}
        self.origins = Origins(main)
        self.notes = Notes()
        self.files: list[InputFile] = []
        self._lines: list[tuple[dict[str, Any], Origins]] = []
        self._folders: dict[str, Folder] = {}
        self._grids: dict[FilePath, CellGrid | None] = {}

    def lay(self, raw: Mapping[str, Any], origins: Origins) -> None:
        """Lay a raw scenario over what is there."""
        self.raw, replaced = merged(self.raw, raw)
        self.origins = self.origins.under(origins, replaced)

    def add_file(self, found: FoundFile, seen: tuple[FilePath, ...] = ()) -> bool:
        """Lay a scenario file over what is there, after everything that it extends.

        Returns:
            Whether the file and all that it extends could be read.
        """
        self.files.append(found.as_input)
        self._folders[found.name] = found.folder
        try:
            raw, origins = toml.parse(found.text(), found.name)
        except UnreadableError as error:
            self.notes.of_file(found.name, error)
            return False
        return self.add_raw(raw, origins, found, (*seen, found.path))

    def add_raw(
        self, raw: dict[str, Any], origins: Origins, found: FoundFile, seen: tuple[FilePath, ...]
    ) -> bool:
        """Lay a parsed scenario over what is there, after everything that it extends."""
        base = raw.get("extends")
        is_whole = True
        if isinstance(base, str):
            try:
                below = found.folder.read(base, limit=TEXT_LIMIT)
                if below.path in seen or len(seen) > _DEEPEST:
                    raise UnreadableError(
                        "extends-circle",
                        f"{shown(base)} leads back to this file; a scenario extends another.",
                    )
            except UnreadableError as error:
                self.notes.at_path(origins, ("extends",), error.code, error.message)
                is_whole = False
            else:
                is_whole = self.add_file(below, seen)
        self.lay(raw, origins)
        return is_whole

    def read_lines(self, sets: Sequence[str], add: Sequence[str], folder: Folder) -> None:
        """Take down the lines of the command line, and lay at once which task tables they name."""
        for option, lines in ((ADD, add), (SETS, sets)):
            self._folders[option] = folder
            for number, line in enumerate(lines, start=1):
                try:
                    raw, origins = toml.parse(toml.quoted(line), option, first_line=number)
                    if "extends" in raw:
                        raise UnreadableError(
                            "set-extends",
                            "`extends` belongs in a file; lay other values over it one by one.",
                        )
                except UnreadableError as error:
                    said = f"{shown(line)}: {error.message}"
                    self.notes.of_file(option, UnreadableError(error.code, said, number))
                else:
                    self._lines.append((raw, origins))
                    if "tasks" in raw:
                        self.lay({"tasks": raw["tasks"]}, origins)

    def lay_lines(self) -> bool:
        """Lay the lines of the command line over what is there, the last one on top.

        A line that names what is not there is refused unless it adds it.

        Returns:
            Whether all lines could be laid; without one of them little could be said of the rest.
        """
        is_whole = True
        for raw, origins in self._lines:
            before = len(self.notes)
            note = note_nothing_new if origins.main == ADD else note_new
            note(self.raw, raw, origins, self.notes)
            if len(self.notes) == before:
                self.lay(raw, origins)
            else:
                is_whole = False
        return is_whole

    def add_tasks(self) -> None:
        """Lay the scenario over the task tables that it names."""
        named = self.raw.get("tasks", ())
        named = [named] if isinstance(named, str) else named
        if not isinstance(named, list | tuple) or not named:
            return
        from linesim.scenario.cells import read_tasks

        tables: dict[str, Any] = {}
        origins = Origins(self.origins.main)
        for number, name in enumerate(named):
            grid = self._grid(name, ("tasks", number), "tasks")
            if grid is None:
                continue
            raw, spots = read_tasks(grid, self.notes)
            for station, table in raw.get("station", {}).items():
                for task in (
                    table["task"].keys() & tables.get("station", {}).get(station, {"task": {}})["task"].keys()
                ):
                    path = ("station", station, "task", task)
                    first = origins.find(path).file
                    self.notes.at_path(
                        spots,
                        path,
                        "name-twice",
                        f"the task {shown(task)} stands in {first} too; keep one of the two.",
                    )
            tables, replaced = merged(tables, raw)
            origins = origins.under(spots, replaced)
        above, above_origins = self.raw, self.origins
        self.raw, replaced = merged(tables, above)
        self.origins = origins.under(above_origins, replaced)

    def add_columns(self) -> None:
        """Fill in measured times, orders and moments from the tables that name them."""
        for table, path in list(_tables(self.raw, ())):
            if table.get("shape") == "empirical" and "file" in table:
                self._times(table, path, "values_s", table.get("column"))
            elif path in (("supply",), ("removal",)) and "file" in table:
                self._times(table, path, "at_s", "at_s")
            elif path == ("orders",) and "file" in table:
                self._orders(table, path)

    def _times(self, table: dict[str, Any], path: Path, key: str, column: Any) -> None:
        if self._is_double(table, path, key):
            return
        if not isinstance(column, str):
            self.notes.at_path(
                self.origins,
                (*path, "column"),
                "missing-field",
                'a file of measured times needs the heading of the column, such as column = "seat_s".',
            )
            self._placeholder(table, path, key)
            return
        from linesim.scenario.cells import read_times

        grid = self._grid(table["file"], (*path, "file"), "times")
        times = read_times(grid, column, self.notes) if grid is not None else None
        if times is None:
            self._placeholder(table, path, key)
        else:
            table[key] = times

    def _placeholder(self, table: dict[str, Any], path: Path, key: str) -> None:
        """Put a time where none could be read, so that the other checks can go on."""
        table[key] = [1.0]
        self.notes.fail((*path, key))
        self.notes.fail((*path, "column"))

    def _orders(self, table: dict[str, Any], path: Path) -> None:
        if self._is_double(table, path, "list"):
            return
        grid = self._grid(table["file"], (*path, "file"), "orders")
        if grid is None:
            self.notes.fail((*path, "list"))
            self.notes.fail((*path, "sequence"))
            return
        before = len(self.notes)
        from linesim.scenario.cells import read_orders

        orders, spots = read_orders(grid, self.notes)
        if not orders and len(self.notes) > before:
            self.notes.fail((*path, "list"))  # what is wrong with the table has been said
            self.notes.fail((*path, "sequence"))
            return
        table["list"] = orders
        self.origins = self.origins.under(spots)
        if not orders:
            self.notes.fail((*path, "list"))
            self.notes.at_path(self.origins, (*path, "file"), "empty-table", "the table holds no orders.")

    def _is_double(self, table: dict[str, Any], path: Path, key: str) -> bool:
        if key in table:
            self.notes.at_path(
                self.origins, (*path, "file"), "one-of", f"found `file` and `{key}`; keep one of them."
            )
        return key in table

    def _grid(self, name: Any, path: Path, prefer: str) -> CellGrid | None:
        """Return the table that `name` at `path` names; `None`, with a note, if it cannot be read."""
        if not isinstance(name, str):
            return None  # the kind of the value is a problem of its own, found when the models are checked
        folder = self._folders.get(self.origins.find(path).file)
        try:
            if folder is None:
                raise UnreadableError(
                    "no-folder", f"{shown(name)} cannot be read: this scenario stands in no folder."
                )
            found = folder.read(name, limit=TABLE_LIMIT)
        except UnreadableError as error:
            self.notes.at_path(self.origins, path, error.code, error.message)
            return None
        if found.path not in self._grids:
            from linesim.scenario.grid import read_grid

            self.files.append(found.as_input)
            try:
                self._grids[found.path] = read_grid(found, prefer=prefer)
            except UnreadableError as error:
                self.notes.of_file(found.name, error)
                self._grids[found.path] = None
        return self._grids[found.path]


def _tables(raw: Any, path: Path) -> Iterator[tuple[dict[str, Any], Path]]:
    """Yield every table of a raw scenario with its path, outer ones first."""
    if isinstance(raw, dict):
        yield raw, path
        for key, value in raw.items():
            yield from _tables(value, (*path, key))
