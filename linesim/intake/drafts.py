"""Which rows of a task table are tasks: stations filled down, sums and notes taken out, each with a word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from linesim.answers.wording import listed
from linesim.intake.body import MAY_BE_TOTAL, TOTAL, Body, BodyTold, is_total
from linesim.intake.figures import UnclearError, written
from linesim.intake.headings import ColumnHeading
from linesim.intake.sheets import SheetRow, safe_text
from linesim.intake.variants import means_of
from linesim.scenario.problems import shown

WORK = "work"  #: The one task of a station where no column names tasks.
_POINTS = ("mean", "low", "mode", "high")
_CLOSE = Decimal("0.005")  #: A sum may be off by so much of itself, as rounded figures are.


@dataclass(frozen=True, slots=True)
class Draft:
    """A row that is a task, with its words as they stand in the sheet.

    Attributes:
        row: The row.
        station, task, title: Its texts; the title is empty where there is none.
        section: Section of its station, where the sheet says it.
        times: Its times by their columns [s].
        own: Mean times of models and options that differ [s].
        models: The models that have it, where columns of times say that others do not.
    """

    row: SheetRow
    station: str
    task: str
    title: str
    times: Mapping[str, Decimal]
    section: str = ""
    own: Mapping[str, Decimal] = field(default_factory=dict)
    models: tuple[str, ...] = ()

    @property
    def middle(self) -> Decimal:
        """Its mean time, or the middle of what is known of it [s]."""
        return sum(self.times.values(), Decimal(0)) / len(self.times)

    @property
    def called(self) -> str:
        """What a reader calls it."""
        return self.title or self.task or self.station


def with_stations(body: Body, told: BodyTold, at: str) -> list[tuple[SheetRow, str]]:
    """Return the rows, each with the text of its station."""
    one = body.headed.by_column.get("station")
    found = []
    last = ""
    if one is not None:
        merged = [row.number for row in body.rows if one.place in row.filled]
        for row in body.rows:
            own = body.text(row, "station")
            if not own and last and any(body.text(row, name) for name in ("task", "title")):
                told.row(body.sheet, row.number, f"{one.text} is blank and is that of the row above")
            last = own or last
            found.append((row, last))
        if merged:
            told.change(
                body.sheet, f"merged cells of {one.text} hold for all their rows, in {len(merged)} of them."
            )
        return found
    alone = [row for row in body.rows if sum(bool(text) for text in row.texts) == 1]
    alone = [row for row in alone if not TOTAL.fullmatch("".join(row.texts))]
    if alone and body.rows[0] in alone:
        told.doubt(
            body.sheet,
            f"no column names the station; rows with one cell do ({_first(''.join(alone[0].texts))}).",
        )
        for row in body.rows:
            if row in alone:
                last = "".join(row.texts)
            else:
                found.append((row, last))
        return found
    name = at or body.sheet or "station"
    told.doubt(body.sheet, f"no column names the station; all tasks are at one, called {shown(name)}.")
    return [(row, name) for row in body.rows]


def _first(text: str) -> str:
    return f"the first is {shown(text)}"


def times_of(body: Body, told: BodyTold) -> dict[str, ColumnHeading]:
    """Return the columns of times that are read: a mean, or what a shape needs."""
    found = {name: one for name, one in body.headed.by_column.items() if name in _POINTS}
    own = body.headed.by_variant
    if own and "mean" not in found:
        found["mean"] = next(iter(own.values()))
    if {"low", "mode", "high"} <= set(found):
        use = {"low", "mode", "high"}
    elif "mean" in found:
        use = {"mean"}
    else:
        use = {"low", "high"} & set(found)
    if dropped := [one.text for name, one in found.items() if name not in use]:
        told.change(
            body.sheet,
            f"{listed(dropped)} left out: a time has a mean, or low, mode and high, or low and high.",
        )
    if len(use) == 1 and "mean" not in use:
        (one,) = (found[name] for name in use)
        told.doubt(body.sheet, f"{shown(one.text)} is the only time: it is taken as that of every job.")
        return {"mean": one}
    if "mean" not in use and "shape" not in body.headed.by_column:
        shape = "triangular" if "mode" in use else "uniform"
        told.doubt(body.sheet, f"times between {listed(sorted(use))} are taken as {shape}.")
    return {name: one for name, one in found.items() if name in use}


def drafts_of(
    body: Body, rows: Sequence[tuple[SheetRow, str]], times: Mapping[str, ColumnHeading], told: BodyTold
) -> list[Draft]:
    """Return the rows that are tasks; of every other one, tell why it is none."""
    by = body.headed.by_column
    names = [by[name].place for name in ("station", "task", "title") if name in by]
    variants = body.headed.by_variant
    has_tasks = "task" in by or "title" in by
    if not has_tasks:
        told.doubt(body.sheet, f'no column names the tasks; each station has one, called "{WORK}".')
    found: list[Draft] = []
    sums = _Sums()
    section = ""
    for row, station in rows:
        section = body.text(row, "section") or section
        task, title = body.text(row, "task"), safe_text(body.text(row, "title"))
        label = next((text for text in row.texts if text), "")
        try:
            read = {name: body.seconds(row, one) for name, one in times.items()}
            others: dict[str, Decimal] = {}
            models: tuple[str, ...] = ()
            if "mean" in times and variants:
                by_name = {name: body.seconds(row, one) for name, one in variants.items()}
                read["mean"], others, models = means_of(read["mean"], by_name, is_common="mean" in by)
        except UnclearError as error:
            why = f"has no time that can be read ({shown(str(error))}) and is left out"
            what = (
                f"{shown(label)}, left out"
                if is_total(row, names)
                else f"{shown(title or task or label)} {why}"
            )
            told.row(body.sheet, row.number, what)
            continue
        own = {name: seconds for name, seconds in read.items() if seconds is not None}
        middle = sum(own.values(), Decimal(0)) / len(own) if own else None
        if middle is not None and (is_total(row, names) or _is_sum(title or task, middle, sums, label)):
            told.change(body.sheet, sums.in_words(row.number, label, middle))
            sums.part.clear()
        elif is_total(row, names):
            told.row(body.sheet, row.number, f"{shown(label)}, left out")
        elif has_tasks and not (task or title):
            what = shown(label) if middle is None else "a time without a task"
            told.row(body.sheet, row.number, f"{what}, left out")
        elif len(own) < len(times):
            told.row(body.sheet, row.number, f"{shown(title or task or station)} has no time and is left out")
        elif not station:
            told.row(body.sheet, row.number, f"{shown(title or task)} has no station and is left out")
        else:
            if models:
                told.row(body.sheet, row.number, f"a task of {listed(models)} alone")
            found.append(Draft(row, station, task, title, own, section, others, models))
            sums.add(station, found[-1].middle)
    told.tell_rows()
    return found


class _Sums:
    """Running sums of times, which a sheet may give as rows of their own."""

    def __init__(self) -> None:
        self.all: list[Decimal] = []
        self.part: list[Decimal] = []
        self.station: list[Decimal] = []
        self._at = ""

    def add(self, station: str, seconds: Decimal) -> None:
        """Count the time of a row."""
        if station != self._at:
            self._at = station
            self.station = []
        for some in (self.all, self.part, self.station):
            some.append(seconds)

    def holds(self, seconds: Decimal) -> bool:
        """Return whether a time is one of the sums of several rows."""
        some = [(len(one), sum(one, Decimal(0))) for one in (self.all, self.part, self.station)]
        return any(n > 1 and abs(total - seconds) <= _CLOSE * total for n, total in some)

    def in_words(self, number: int, label: str, seconds: Decimal) -> str:
        """Return what is said of a row that is a sum."""
        name = f"row {number}, {shown(label)}," if MAY_BE_TOTAL.match(label) else f"row {number}"
        if self.holds(seconds) or len(self.all) < 2:
            return f"{name} is the sum of rows above ({written(seconds)} s), left out."
        return (
            f"{name} left out; it says {written(seconds)} s, and the rows above that are read add up to "
            f"{written(sum(self.all, Decimal(0)))} s."
        )


def _is_sum(name: str, seconds: Decimal, sums: _Sums, label: str) -> bool:
    """Return whether a row that may look like a task is the sum of rows above."""
    return (not name or any(MAY_BE_TOTAL.match(text) for text in (name, label))) and sums.holds(seconds)
