"""Tables of an answer: typed columns, cells that are values, rows found by what they are called.

A cell holds a value (`Estimate`, `Change`, a number, a text), never a text made of it. How it is read (its
*faces*: the estimate, the interval, the verdict) and how it is written to files (its *flat* columns) is said
once, by its column.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.answers.wording import (
    NOTHING,
    Value,
    bar,
    give_or_take,
    interval_text,
    level_text,
    mean_or_bracket,
    mean_text,
    money,
    plain_number,
    plus_minus,
    text,
)

if TYPE_CHECKING:
    import pandas as pd

Kind = Literal["text", "count", "number", "share", "money", "measure", "estimate", "change"]
Flat = str | int | float | bool | None  #: What a cell of a file holds.
Row = Mapping[str, Value]  #: A row, by the names of its columns.

#: How an estimate or change can be read, and the heading of each; None takes that of the column.
FACES: Mapping[str, str | None] = MappingProxyType(
    {
        "mean": None, "interval": "interval", "verdict": "", "both": None, "plus minus": None, "short": None,
        "doubted": None, "before": "base", "after": "case", "saving": "1 for", "n": "replications", "bar": "",
    }
)  # fmt: skip
#: Columns that a value has in files where its column does not say.
_FLAT: Mapping[str, str] = MappingProxyType(
    {
        "measure": "measure where cause",
        "estimate": "mean={} low high half_width sd n=replications method",
        "change": "mean={} low high half_width n=replications correlation saving method confidence "
        "comparisons verdict",
    }
)
#: Columns in files of an estimate, and of a change, that has others beside it in its row.
BESIDE = "mean={0} low={0}_low high={0}_high n={0}_n"
BESIDE_CHANGE = f"{BESIDE} verdict={{0}}_verdict"
_SIMPLE = frozenset({"text", "count", "number", "share", "money"})  #: Kinds that have one column in files.


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Attributes:
        name: What rows and files call it: small letters and ``_``, or the key of an input.
        kind: What its cells hold: ``text``, ``count`` (whole), ``number``, ``share`` (0 to 1, read
            in percent), ``money`` (its unit is the currency), ``measure``, ``estimate`` or ``change``.
        head: What readers see above it; None takes the name.
        unit: Unit of its numbers; an estimate of a row with a column ``unit`` or ``currency`` takes that.
        flat: Columns that an estimate has in files, as fields with their names there
            (``"mean=gain low high n=replications"``).
        faces: How an estimate is read, one column each (`FACES`), with ``=`` and a heading of its own where
            the usual one does not do (``"mean=effect"``).
    """

    name: str
    kind: Kind = "text"
    head: str | None = None
    unit: str = ""
    flat: str = ""
    faces: tuple[str, ...] = ()

    @property
    def is_number(self) -> bool:
        """Whether it is set flush right."""
        return self.kind not in ("text", "measure")

    @property
    def heading(self) -> str:
        """What readers see above it."""
        return self.name.replace("_", " ") if self.head is None else self.head

    def fields(self) -> tuple[tuple[str, str], ...]:
        """Return the fields of a cell that files have, each with its name there."""
        if self.kind in _SIMPLE:
            return (("", self.name),)
        spec = (self.flat or _FLAT[self.kind]).format(self.name)
        pairs = (item.partition("=") for item in spec.split())
        return tuple((field, name or field) for field, _, name in pairs)

    def shown(self) -> tuple[tuple[str, str], ...]:
        """Return the faces that readers see, each with its heading."""
        if self.kind not in ("estimate", "change"):
            return (("", self.heading),)
        usual = ("mean", "interval") if self.kind == "estimate" else ("mean", "interval", "verdict")
        found = []
        for item in self.faces or usual:
            face, own, head = item.partition("=")
            known = FACES[face]
            found.append((face, head if own else self.heading if known is None else known))
        return tuple(found)


def cell_text(value: Value, column: Column, face: str = "") -> str:
    """Return a cell as it is read.

    Examples:
        >>> cell_text(Change(6.2, 4.9, 7.5), Column("gain", "change"), "interval")
        '+4.9 to +7.5'
        >>> cell_text(0.25, Column("share", "share")), cell_text(None, Column("why"))
        ('25', '')
    """
    if isinstance(value, Estimate):
        return _face_text(value, face or "both")
    if isinstance(value, Measure):
        return value.label
    if value is None:
        return NOTHING if column.is_number else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if column.kind == "money" and isinstance(value, int | float):
        return money(value, None, column.unit)
    if isinstance(value, float):
        return plain_number(100 * value if column.kind == "share" else value)
    return str(value)


def _face_text(value: Estimate, face: str) -> str:
    if isinstance(value, Change) and face in ("before", "after", "verdict", "saving"):
        if face == "verdict":
            return value.verdict
        if face == "saving":
            return NOTHING if value.saving is None else f"{value.saving:.0f}"
        return level_text(value.before if face == "before" else value.after, value)
    if face == "n":
        return str(value.n)
    how = {"mean": mean_text, "interval": interval_text, "both": text, "plus minus": plus_minus,
           "short": give_or_take, "doubted": mean_or_bracket, "bar": _bar}  # fmt: skip
    return how[face](value)


def _bar(load: Estimate) -> str:
    """Return a load as a bar; its high end is that of the heaviest variant."""
    return bar(load.mean or 0.0, load.high)


def cell_number(value: Value, face: str = "") -> float | None:
    """Return what a cell is sorted by; None for texts and what is not known."""
    if isinstance(value, Change) and face in ("before", "after", "saving"):
        return {"before": value.before, "after": value.after, "saving": value.saving}[face]
    if isinstance(value, Estimate):
        return {"interval": value.low, "n": float(value.n), "verdict": None}.get(face, value.mean)
    return float(value) if isinstance(value, int | float) else None


@dataclass(frozen=True, slots=True)
class Table:
    """A table of an answer.

    Attributes:
        name: What the answer calls it, also the name of its CSV file.
        columns: Its columns.
        rows: Cells, as many in each row as there are columns; None where nothing is known.
        says: What it shows, one sentence.
        keys: Columns that tell rows apart; empty takes the first.
    """

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    says: str = ""
    keys: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse columns of one name, and cells that are not of the kind of their column."""
        names = [column.name for column in self.columns]
        heads = [name for column in self.columns for _, name in column.fields()]
        if len(set(names)) != len(names) or len(set(heads)) != len(heads):
            raise ValueError(f"columns of table {self.name!r} must differ, got {heads}")
        if unknown := [key for key in self.keys if key not in names]:
            raise ValueError(f"table {self.name!r} has no column {unknown[0]!r} to tell rows apart")
        for number, row in enumerate(self.rows):
            if len(row) != len(self.columns):
                raise ValueError(
                    f"rows[{number}] of {self.name!r} must have {len(self.columns)} cells, got {len(row)}"
                )

        for place, column in enumerate(self.columns):
            if not all(_fits(kind, column.kind) for kind in {type(row[place]) for row in self.rows}):
                cells = ((number, row[place]) for number, row in enumerate(self.rows))
                number, cell = next(found for found in cells if not _fits(type(found[1]), column.kind))
                raise TypeError(f"rows[{number}] of {self.name!r}: {column.name} is {cell!r}")

    @classmethod
    def of(
        cls,
        name: str,
        columns: Sequence[Column],
        items: Iterable[Any],
        says: str = "",
        *,
        keys: Sequence[str] = (),
    ) -> Table:
        """Return the table of some things: a cell is what a thing has under the name of the column.

        Args:
            name: Name of the table.
            columns: Its columns.
            items: Mappings, or objects with attributes, one a row; what has no ``unit`` for a column of that
                name takes that of its first estimate.
            says: What it shows.
            keys: Columns that tell rows apart.
        """
        rows = tuple(tuple(_cell_of(item, column.name, columns) for column in columns) for item in items)
        return cls(name, tuple(columns), rows, says, tuple(keys))

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Row]:
        """Yield each row with the names of its columns."""
        names = [column.name for column in self.columns]
        return (dict(zip(names, row, strict=True)) for row in self.rows)

    def __repr__(self) -> str:
        return f"<table {self.name}: {len(self.rows)} rows of {', '.join(c.name for c in self.columns)}>"

    def column(self, name: str) -> tuple[Value, ...]:
        """Return the cells of a column.

        Raises:
            KeyError: If there is none of this name; the message lists those that there are.
        """
        names = [column.name for column in self.columns]
        if name not in names:
            raise KeyError(f"table {self.name!r} has no column {name!r}; it has {', '.join(names)}")
        return tuple(row[names.index(name)] for row in self.rows)

    def pick(self, *names: str) -> tuple[Column, ...]:
        """Return some columns by name, in the order asked for, for a `View`."""
        columns = {column.name: column for column in self.columns}
        return tuple(columns[name] for name in names)

    def row(self, *key: Value) -> Row:
        """Return the row with these keys, in the order of `keys`.

        Raises:
            KeyError: If there is none; the message lists the first ones that there are.
        """
        keys = self.keys or (self.columns[0].name,)
        found = [tuple(row[name] for name in keys) for row in self]
        if key not in found:
            known = "; ".join(", ".join(map(str, one)) for one in dict.fromkeys(found[:20]))
            raise KeyError(f"table {self.name!r} has no row {key}; it has {known or 'none'}")
        return next(row for row, one in zip(self, found, strict=True) if one == key)

    def places(
        self, where: Callable[[Row], bool] | None = None, *, by: Callable[[Row], Any] | None = None
    ) -> tuple[int, ...]:
        """Return which rows are meant, for a `View`: those for which ``where`` holds, ordered ``by``."""
        rows = list(self)
        kept = [place for place, row in enumerate(rows) if where is None or where(row)]
        return tuple(kept if by is None else sorted(kept, key=lambda place: by(rows[place])))

    @property
    def flat_columns(self) -> tuple[str, ...]:
        """Names of the columns that the table has in files."""
        return tuple(name for column in self.columns for _, name in column.fields())

    @property
    def flat_rows(self) -> list[tuple[Flat, ...]]:
        """The rows as files have them: numbers in full, estimates taken apart."""
        return [
            tuple(
                _field(cell, field)
                for column, cell in zip(self.columns, row, strict=True)
                for field, _ in column.fields()
            )
            for row in self.rows
        ]

    @property
    def frame(self) -> pd.DataFrame:
        """The table as a pandas frame, estimates taken apart."""
        import pandas as pd

        return pd.DataFrame(self.flat_rows, columns=list(self.flat_columns))

    def as_rows(self) -> list[dict[str, Flat]]:
        """Return the rows for JSON: numbers that are not finite become None."""
        names = self.flat_columns
        return [
            {name: _finite(cell) for name, cell in zip(names, row, strict=True)} for row in self.flat_rows
        ]

    def to_csv(self) -> str:
        """Return the table as CSV; numbers are written in full."""
        return csv_text(self.flat_columns, self.flat_rows)

    def with_rows(self, raw: Sequence[Mapping[str, Any]]) -> Table:
        """Return the table with rows that `as_rows` has written.

        Raises:
            KeyError, TypeError or ValueError: If it has not written them.
        """
        return replace(self, rows=tuple(tuple(_cell(column, row) for column in self.columns) for row in raw))


def _cell_of(item: Any, name: str, columns: Sequence[Column] = ()) -> Value:
    """Return what a thing has under a name."""
    if name == "unit" and not (name in item if isinstance(item, Mapping) else hasattr(item, name)):
        cells = (_cell_of(item, column.name) for column in columns if column.kind in ("estimate", "change"))
        return next((cell.unit for cell in cells if isinstance(cell, Estimate)), "")
    found: Value = item[name] if isinstance(item, Mapping) else getattr(item, name)
    return found


def _fits(cell: type[Any], kind: Kind) -> bool:
    """Return whether cells of a type may stand in a column."""
    if cell is type(None):
        return True
    if kind == "text":
        return issubclass(cell, str | bool)
    if kind in ("measure", "change", "estimate"):
        return issubclass(cell, {"measure": Measure, "change": Change}.get(kind, Estimate))
    return (issubclass(cell, int) and cell is not bool) or (kind != "count" and issubclass(cell, float))


def _field(cell: Value, field: str) -> Flat:
    if not field:
        assert not isinstance(cell, Estimate | Measure)
        return cell
    return None if cell is None else getattr(cell, field)


def _cell(column: Column, row: Mapping[str, Any]) -> Value:
    """Return the cell of a column from a row as files have it."""
    if column.kind == "measure":
        names = {field: str(row[name] or "") for field, name in column.fields()}
        return Measure(**names) if names["measure"] else None
    if column.kind in _SIMPLE:
        found = row[column.name]
        if not isinstance(found, str | int | float | None):
            raise TypeError(f"{column.name} holds {type(found).__name__}")
        return found
    given = {field: row[name] for field, name in column.fields() if field != "verdict"}
    unit = row.get("unit", column.unit)
    currency = row.get("currency") or Measure(str(row.get("measure") or "")).currency(str(unit))
    of_row = {"unit": unit, "currency": currency}
    made = (Change if column.kind == "change" else Estimate)(**{"mean": None, **of_row, **given})
    for value in (made.mean, made.low, made.high, made.half_width):
        if value is not None and not isinstance(value, int | float):
            raise TypeError(f"{column.name} holds {value!r}")
    return None if made.mean is None and not made.n else made


def _finite(cell: Flat) -> Flat:
    return None if isinstance(cell, float) and not math.isfinite(cell) else cell


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Flat]]) -> str:
    """Return a table as CSV: UTF-8, commas, one line a row; what is unknown is empty.

    Numbers are written in full, so that they read back as the same numbers. Text that a
    spreadsheet would take for a formula is written with an apostrophe before it.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([safe_cell(name) for name in columns])
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def safe_cell(cell: Flat) -> Flat:
    """Return a cell that no spreadsheet takes for a formula.

    Examples:
        >>> safe_cell("=1+1"), safe_cell("K1"), safe_cell(-3.5), safe_cell(None)
        ("'=1+1", 'K1', -3.5, None)
    """
    if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
        return "'" + cell
    return cell
