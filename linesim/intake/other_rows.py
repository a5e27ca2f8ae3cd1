"""Stations, orders, shift records and time studies of a plant, each as rows of a table of ours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from linesim.answers.wording import count_of
from linesim.intake.body import Body, BodyTold, is_total
from linesim.intake.figures import UnclearError, flag_of, name_of, parts_of, written
from linesim.intake.headings import ColumnHeading
from linesim.intake.sheets import SheetRow, safe_text
from linesim.intake.words import LEFT_OUT
from linesim.scenario.problems import shown

_REACHES = ("late", "early")


@dataclass(frozen=True, slots=True)
class StationRow:
    """A station as a plant lists it; what the list does not say is empty or None.

    Attributes:
        name, title: What it is called, and its words.
        section, crew: Where it belongs and who works there.
        people: How many work there.
        late, early: Reaches, as shares of a takt.
    """

    name: str
    title: str
    section: str
    crew: str
    people: int | None
    late: Decimal | None
    early: Decimal | None


def read_stations(body: Body, told: BodyTold) -> tuple[StationRow, ...]:
    """Return the stations of a sheet, in its order."""
    found: list[StationRow] = []
    texts: dict[str, str] = {}
    section = ""
    percents = body.percents(_REACHES)
    for row in body.rows:
        text = body.text(row, "station")
        if not text or is_total(row, [body.headed.by_column["station"].place]):
            told.row(body.sheet, row.number, f"{_label(row)}, left out")
            continue
        if text in texts:
            told.row(body.sheet, row.number, f"station {shown(text)} once more, left out")
            continue
        own = body.text(row, "section")
        if not own and section:
            told.row(body.sheet, row.number, "the section is blank and is that of the row above")
        section = own or section
        texts[text] = name_of(text, set(texts.values()))
        title = safe_text(body.text(row, "title"))
        people = body.number(row, "people", told)
        late, early = (body.share(row, name, percents, told) for name in _REACHES)
        found.append(
            StationRow(
                texts[text], title or (text if text != texts[text] else ""),
                _name(section), _name(body.text(row, "crew")),
                None if people is None else int(people), late, early,
            )
        )  # fmt: skip
    told.tell_rows()
    return tuple(found)


def _label(row: SheetRow) -> str:
    return shown(next(text for text in row.texts if text))


def _name(text: str) -> str:
    return name_of(text) if text else ""


def with_options(body: Body) -> Body:
    """Return a list of orders with its columns of marks as options, each called as its heading."""
    headings = []
    for one in body.headed.headings:
        flags = [flag_of(row.values[one.place]) for row in body.rows]
        is_marks = one.column == LEFT_OUT and one.how == "" and None not in flags and True in flags
        headings.append(replace(one, column="has", how="word") if is_marks else one)
    return replace(body, headed=replace(body.headed, headings=tuple(headings)))


def read_orders(body: Body, told: BodyTold) -> tuple[Mapping[str, str], ...]:
    """Return the orders of a sheet in sequence, as rows of a table with ``model`` and ``options``."""
    marks = [one for one in body.headed.headings if one.column == "has"]
    place = body.headed.by_column["model"].place
    found: list[tuple[Decimal | None, Mapping[str, str]]] = []
    renamed: dict[str, str] = {}

    def named(text: str) -> str:
        name = name_of(text)
        if name != text:
            renamed[text] = name
        return name

    for row in body.rows:
        if not row.texts[place] or is_total(row, [place]):
            told.row(
                body.sheet, row.number, f"{shown(next(filter(None, row.texts)))} names no model, left out"
            )
            continue
        options = [named(part) for part in parts_of(body.cell(row, "options"))]
        options += [named(one.text) for one in marks if flag_of(row.values[one.place])]
        sequence = body.number(row, "sequence", told) if "sequence" in body.headed.by_column else None
        cells = {"model": named(row.texts[place]), "options": ";".join(dict.fromkeys(options))}
        found.append((sequence, cells))
    told.tell_rows()
    if renamed:
        text, name = next(iter(renamed.items()))
        told.change(
            body.sheet,
            f"{count_of(len(renamed), 'name')} of models and options made fit, such as {name} from "
            f"{shown(text)}.",
        )
    numbers = [number for number, _ in found]
    if None not in numbers and numbers != sorted(numbers, key=lambda number: number or 0):
        told.change(body.sheet, f"orders stand in the order of {body.headed.by_column['sequence'].text}.")
        found.sort(key=lambda one: one[0] or 0)
    return tuple(cells for _, cells in found)


def read_shifts(body: Body, told: BodyTold) -> tuple[Mapping[str, str], ...]:
    """Return the shift records of a sheet, as rows of a table that `validate` reads."""
    by = body.headed.by_column
    labels = [name for name in ("date", "shift") if name in by]
    stops = [one for one in body.headed.headings if one.column == "stop"]
    found = []
    for row in body.rows:
        label = " ".join(text for text in (body.text(row, name) for name in labels) if text)
        if not label or is_total(row, [by[name].place for name in labels]):
            told.row(
                body.sheet, row.number, f"{shown(next(filter(None, row.texts)))} names no shift, left out"
            )
            continue
        cells = {"shift": safe_text(label)}
        for name in ("jobs", "reworked"):
            if name in by:
                number = body.number(row, name, told)
                cells[name] = "" if number is None else written(number)
        for one in stops:
            try:
                seconds = body.seconds(row, one)
            except UnclearError as error:
                told.row(body.sheet, row.number, f"{one.text} {shown(str(error))} is no time and is left out")
                seconds = None
            name = f"stop_min_{name_of(one.of)}" if one.of else "stop_min"
            cells[name] = "" if seconds is None else written(seconds / 60)
        if any(cells[name] for name in cells if name != "shift"):
            found.append(cells)
        else:
            told.row(body.sheet, row.number, "no figures, left out")
    told.tell_rows()
    return tuple(found)


@dataclass(frozen=True, slots=True)
class RowsRead:
    """One measured time.

    Attributes:
        station, task, title: What was measured; the task is a name, the title its words.
        cycle: Which time it was, as the sheet says it.
        seconds: The time [s].
        row: Its row in the sheet.
    """

    station: str
    task: str
    title: str
    cycle: str
    seconds: Decimal
    row: int


def read_times(body: Body, told: BodyTold) -> tuple[RowsRead, ...]:
    """Return the measured times of a sheet in its order, one or several a row."""
    by = body.headed.by_column
    columns = [one for one in body.headed.headings if one.column == "reading"] or [by["time"]]
    names = [by[name].place for name in ("station", "task", "title") if name in by]
    found = []
    station = task = title = ""
    for row in body.rows:
        if is_total(row, names):
            told.row(body.sheet, row.number, f"{_label(row)}, left out")
            continue
        own = (body.text(row, "task"), safe_text(body.text(row, "title")))
        here = body.text(row, "station")
        if any(own) or here:
            station, (task, title) = here or station, own if any(own) else (task, title)
        elif any(row.texts):
            told.row(body.sheet, row.number, "the task is blank and is that of the row above")
        if not (task or title):
            told.row(body.sheet, row.number, "a time without a task, left out")
            continue
        for one in columns:
            seconds = _seconds(body, row, one, told)
            if seconds is not None:
                name = name_of(task or title)
                cycle = body.text(row, "cycle") or (one.text if one.column == "reading" else "")
                words = title or (task if task != name else "")
                found.append(RowsRead(_name(station), name, words, cycle, seconds, row.number))
    told.tell_rows()
    return tuple(found)


def _seconds(body: Body, row: SheetRow, one: ColumnHeading, told: BodyTold) -> Decimal | None:
    try:
        return body.seconds(row, one)
    except UnclearError as error:
        told.row(body.sheet, row.number, f"{shown(str(error))} is no time and is left out")
        return None


def times_rows(readings: tuple[RowsRead, ...]) -> tuple[Mapping[str, str], ...]:
    """Return measured times as rows of a table that `fit` reads."""
    return tuple(
        {"station": one.station, "task": one.task, "title": one.title, "cycle": one.cycle,
         "time_s": written(one.seconds)}
        for one in readings
    )  # fmt: skip
