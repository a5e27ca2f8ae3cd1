"""Measured times as people keep them: a whole time study, columns of times, figures without a heading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from linesim.answers.wording import listed
from linesim.errors import WrongQuestionError
from linesim.intake.body import Body, BodyTold, body_of
from linesim.intake.figures import UnclearError, Writing, name_of, seconds_of, unit_in
from linesim.intake.headings import ColumnHeading, Headed, headed, key_of
from linesim.intake.other_rows import RowsRead, read_times
from linesim.intake.sheets import SheetCells, SheetRow, Value, read_sheets
from linesim.intake.words import SIZES, UNITS, WORDS, split_unit
from linesim.scenario.files import FoundFile
from linesim.scenario.problems import shown

MOST_GROUPS = 60  #: A column with more values than that tells nothing apart.
_LOOKED_AT = 20  #: Rows that may stand above a column of times.


@dataclass(frozen=True, slots=True)
class TimedElement:
    """What was measured, with its times.

    Attributes:
        name: Name of the task, or what stands above the column.
        station: Name of its station; empty where the study names none.
        heading: Heading of the column that holds these times and no others; empty where there is none.
        cycles: What each time is called; empty texts where it is called nothing.
        times_s: The times [s], in the order in which they stand.
    """

    name: str
    station: str
    heading: str
    cycles: tuple[str, ...]
    times_s: tuple[float, ...]

    @property
    def label(self) -> str:
        """What tells it apart from the others."""
        return f"{self.station}.{self.name}" if self.station else self.name


@dataclass(frozen=True, slots=True)
class TimeStudy:
    """Measured times.

    Attributes:
        elements: What was measured; the times of no two are ever put together.
        words: What was taken for granted, changed or left out, in sentences.
    """

    elements: tuple[TimedElement, ...]
    words: tuple[str, ...]


def read_study(
    found: FoundFile, *, column: str | None = None, by: str | None = None, unit: str | None = None
) -> TimeStudy:
    """Return the measured times of a file.

    A table with a column of tasks is a whole study: each task is an element. Without one, each column of
    times is an element of its own; and a text without headings is one element for each of its columns.

    Args:
        found: The file.
        column: Heading of the only column of times to read.
        by: Heading of a column whose values are kept apart, each an element.
        unit: Unit of times that name none; None takes seconds, and says so.

    Raises:
        ScenarioError: If it cannot be read.
        WrongQuestionError: If it holds no times, or no such column.
    """
    told = BodyTold()
    sheets, of_file = read_sheets(found)
    told.changes += of_file
    elements: list[TimedElement] = []
    for sheet in sheets:
        body = _study_body(sheet, column, unit, told)
        if body is not None:
            elements += _of_study(body, by, told)
        else:
            elements += _of_columns(sheet, column, by, unit, told)
    if not elements:
        names = [text for sheet in sheets for row in sheet.rows[:1] for text in row.texts if text]
        wanted = f"no column {column!r} of times" if column else "no column of times"
        there = f"; its first row has {listed([shown(name) for name in names[:8]])}" if names else ""
        raise WrongQuestionError([f"{found.name}: {wanted}{there}.", *told.changes])
    return TimeStudy(tuple(elements), (*told.doubts, *told.changes))


def _study_body(sheet: SheetCells, column: str | None, unit: str | None, told: BodyTold) -> Body | None:
    """Return the rows of a sheet that names tasks beside its times; None for any other."""
    said = {} if column is None else {key_of(column): f"time_{split_unit(column)[1] or unit or 's'}"}
    head = headed(sheet, ("times",), {}, said)
    if head is None or (column is not None and "time" not in head.by_column):
        return None
    return body_of(_in_unit(head, unit, told), {}, told)


def _in_unit(head: Headed, unit: str | None, told: BodyTold) -> Headed:
    """Return headings with a unit for every column of times, seconds where nobody names one."""
    bare = [one for one in head.headings if one.column in ("time", "reading") and one.unit not in SIZES]
    rows = head.sheet.rows[head.first :]
    plain = [one for one in bare if any(_seconds(row.values[one.place]) is not None and
                                        not unit_in(row.values[one.place]) for row in rows)]  # fmt: skip
    if plain and unit is None:
        told.doubt(head.sheet.name, f"{shown(plain[0].text)} names no unit: seconds (--unit says another).")
    headings = tuple(replace(one, unit=unit or "s") if one in bare else one for one in head.headings)
    return replace(head, headings=headings)


def _of_study(body: Body, by: str | None, told: BodyTold) -> Iterator[TimedElement]:
    """Yield the elements of a study, in the order in which they come."""
    group = _group(body, by)
    apart: dict[tuple[str, str, str], list[RowsRead]] = {}
    texts = {row.number: row.texts for row in body.rows}
    for one in read_times(body, told):
        value = texts[one.row][group.place] if group is not None else ""
        apart.setdefault((one.station, one.task, value), []).append(one)
    for (station, task, value), some in apart.items():
        name = f"{task} ({value})" if value else task
        if by is None:
            _tell_pooled(
                body, [row for row in body.rows if row.number in {one.row for one in some}], name, told
            )
        yield TimedElement(
            name, station, "",
            tuple(one.cycle for one in some), tuple(float(one.seconds) for one in some),
        )  # fmt: skip


def _of_columns(
    sheet: SheetCells, column: str | None, by: str | None, unit: str | None, told: BodyTold
) -> Iterator[TimedElement]:
    """Yield the columns of times of a sheet, each an element."""
    at = _heading_row(sheet)
    texts = sheet.rows[at].texts if at is not None else ()
    rows = sheet.rows[0 if at is None else at + 1 :]
    if column is not None and column not in texts:
        return
    width = max((len(row.values) for row in rows), default=0)
    names = {k: texts[k] if k < len(texts) else "" for k in range(width)}
    units = {k: split_unit(names[k])[1] for k in names}
    timed = [k for k in names if names[k] == column] if column else [k for k in names if units[k] in SIZES]
    if not timed:
        timed = [k for k in names if width == 1 or _is_times([row.values[k] for row in rows], names[k])]
    heads = [names[k] or f"column {k + 1}" for k in names]
    headings = tuple(
        ColumnHeading(k, heads[k], "reading" if k in timed else "", units[k] if units[k] in SIZES else "")
        for k in names
    )
    above = sheet.rows[:at] if at else ()
    whole = replace(sheet, rows=(*above, SheetRow(0, tuple(heads)), *rows))
    body = body_of(
        _in_unit(Headed(whole, "times", len(above), headings, len(above) + 1), unit, told), {}, told
    )
    group = _group(body, by)
    for one in body.headed.headings:
        if one.column != "reading":
            continue
        apart: dict[str, list[tuple[SheetRow, float]]] = {}
        for row in body.rows:
            try:
                seconds = body.seconds(row, one)
            except UnclearError as error:
                told.row(sheet.name, row.number, f"{shown(str(error))} is no time and is left out")
                continue
            if seconds is not None:
                value = row.texts[group.place] if group is not None else ""
                apart.setdefault(value, []).append((row, float(seconds)))
        words = split_unit(one.text)[0] if names[one.place] else ["times"]
        for value, some in apart.items():
            name = name_of(" ".join(words) or "times") + (f" ({value})" if value else "")
            if by is None:
                _tell_pooled(body, [row for row, _ in some], name, told)
            yield TimedElement(
                name, "", "" if value else names[one.place], tuple(f"row {row.number}" for row, _ in some),
                tuple(seconds for _, seconds in some),
            )  # fmt: skip
    told.tell_rows()


def _heading_row(sheet: SheetCells) -> int | None:
    """Return the place of the row above the first with a figure; None where there is none."""
    for at, row in enumerate(sheet.rows[:_LOOKED_AT]):
        if any(_seconds(value) is not None for value in row.values if value != ""):
            return at - 1 if at else None
    return None


def _seconds(value: Value) -> float | None:
    try:
        return float(seconds_of(value, "s", Writing(",")))
    except UnclearError:
        return None


def _is_times(values: Sequence[Value], name: str) -> bool:
    """Return whether a column without a unit may hold times: figures, and no counter."""
    given = [value for value in values if value != ""]
    found = [seconds for value in given if (seconds := _seconds(value)) is not None]
    counts = found == [float(k) for k in range(1, len(found) + 1)] and len(found) > 1
    if counts or " ".join(split_unit(name)[0]) in f"{WORDS['times']['cycle']}|day|date|shift".split("|"):
        return False
    return len(found) > 0.5 * len(given)


def _group(body: Body, by: str | None) -> ColumnHeading | None:
    if by is None:
        return None
    for one in body.headed.headings:
        if key_of(one.text) == key_of(by):
            return one
    there = listed([repr(one.text) for one in body.headed.headings])
    raise WrongQuestionError(f"there is no column {by!r} to keep times apart by; there are {there}.")


def _tell_pooled(body: Body, rows: Sequence[SheetRow], name: str, told: BodyTold) -> None:
    """Say which columns tell times of one element apart that are taken together."""
    for one in body.headed.headings:
        if one.column:
            continue
        values = list(dict.fromkeys(row.texts[one.place] for row in rows if row.texts[one.place]))
        if 1 < len(values) <= min(MOST_GROUPS, len(rows) / 2):
            some = listed([shown(value) for value in values[:3]]) + (" ..." if len(values) > 3 else "")
            told.change(
                body.sheet,
                f"times of {name} with {len(values)} different {one.text} ({some}) are taken together; "
                f"--by {one.text!r} keeps them apart.",
            )


def unit_named(text: str) -> str:
    """Return the unit of times that somebody names.

    Raises:
        WrongQuestionError: If there is none of this name.
    """
    if text.lower() not in UNITS:
        raise WrongQuestionError(f"{text!r} is no unit of time; there are {listed(list(SIZES), 'or')}.")
    return UNITS[text.lower()][0]
