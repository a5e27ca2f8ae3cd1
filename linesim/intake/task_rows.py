"""Tasks of a plant as a table of ours: names made from titles, people of a station, predecessors found."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from linesim.answers.wording import count_of
from linesim.intake.body import Body, BodyTold
from linesim.intake.drafts import WORK, Draft, drafts_of, times_of, with_stations
from linesim.intake.figures import UnclearError, flag_of, name_of, parts_of, unit_in, written
from linesim.intake.headings import ColumnHeading
from linesim.intake.sheets import Value, safe_text, text_of
from linesim.intake.words import SIZES
from linesim.scenario.problems import shown
from linesim.scenario.times import SHAPE_NAMES

_LISTS = ("robot", "tool", "options", "unless", "models")
_SHARES = ("cv", "fault_chance", "fault_detect")
_NAME = re.compile(r"[^\W_][\w-]{0,63}")


@dataclass(frozen=True, slots=True)
class TaskTable:
    """The tasks of a sheet.

    Attributes:
        rows: One table row a task, by the columns of a task table.
        seconds: Mean time of each, of the model or option that takes longest [s].
        stations: Name of each station -> what the sheet calls it.
        people: People of each station where the sheet gives them once a station.
        sections: Section of each station, where the sheet says it.
        models: Models that have columns of times of their own, where there is no column for all.
    """

    rows: tuple[Mapping[str, str], ...]
    seconds: tuple[Decimal, ...]
    stations: Mapping[str, str]
    people: Mapping[str, int]
    sections: Mapping[str, str]
    models: tuple[str, ...]


def read_tasks(body: Body, told: BodyTold, *, at: str = "") -> TaskTable:
    """Return the tasks of a sheet.

    Args:
        body: Its rows of data.
        told: Where changes and doubts go.
        at: Station of all of them where no column says it; empty if there is none such.
    """
    times = times_of(body, told)
    drafts = drafts_of(body, with_stations(body, told, at), times, told)
    names = _station_names(drafts)
    ids = _ids(body, drafts, told)
    people, station_people = _people(body, drafts, told)
    after = _after(body, drafts, names, ids, told)
    units = {name: _unit_of(body, one) for name, one in times.items()}
    percents = body.percents(_SHARES)
    rows = []
    for k, draft in enumerate(drafts):
        title = draft.title or (draft.task if draft.task != ids[k] else "")
        cells = {"station": names[draft.station], "task": ids[k], "title": title if title != ids[k] else ""}
        cells |= _time_cells(body, draft, times, units, told)
        cells["people"] = people[k]
        cells |= _other_cells(body, draft, percents, told)
        if draft.models and "models" not in cells:
            cells["models"] = ";".join(draft.models)
        cells["after"] = after[k]
        rows.append({name: text for name, text in cells.items() if text})
    told.tell_rows()
    varies = {"cv", "sd", "shape"} & set(body.headed.by_column) or "low" in times
    if rows and not varies:
        told.change(
            body.sheet,
            "no column says how much times vary, so each is the same every time; add a column cv, or "
            "measured times with `linesim fit --into`.",
        )
    titles = {names[text]: text for text in names}
    return TaskTable(
        tuple(rows),
        tuple(max(draft.middle, *draft.own.values(), Decimal(0)) for draft in drafts),
        titles,
        {names[text]: number for text, number in station_people.items()},
        {names[one.station]: name_of(one.section) for one in reversed(drafts) if one.section},
        () if "mean" in body.headed.by_column else tuple(body.headed.by_variant),
    )


def _station_names(drafts: Sequence[Draft]) -> dict[str, str]:
    """Return the name of each station by its text."""
    names: dict[str, str] = {}
    for draft in drafts:
        if draft.station not in names:
            names[draft.station] = name_of(draft.station, set(names.values()))
    return names


def _ids(body: Body, drafts: Sequence[Draft], told: BodyTold) -> list[str]:
    """Return the names of the tasks: those that the sheet gives, or names made from their titles."""
    by_task = all(draft.task and _NAME.fullmatch(draft.task) for draft in drafts)
    ids: list[str] = []
    taken: dict[str, set[str]] = {}
    made: list[tuple[Draft, str]] = []
    again: list[tuple[Draft, str]] = []
    for draft in drafts:
        text = draft.task if by_task or not draft.title else draft.title
        mine = taken.setdefault(draft.station, set())
        name = name_of(text or WORK, mine)
        if name != text and text:
            (again if _NAME.fullmatch(text) else made).append((draft, name))
        mine.add(name)
        ids.append(name)
    if made:
        draft, name = made[0]
        told.change(
            body.sheet,
            f"{count_of(len(made), 'name')} of tasks made from their words, such as {name} from "
            f"{shown(draft.called)}; the words are kept as titles.",
        )
    for draft, name in again:
        told.row(body.sheet, draft.row.number, f"{shown(draft.called)} once more at its station, now {name}")
    return ids


def _time_cells(
    body: Body, draft: Draft, times: Mapping[str, ColumnHeading], units: Mapping[str, str], told: BodyTold
) -> dict[str, str]:
    cells = {}
    by = body.headed.by_column
    for name, unit in units.items():
        cells[f"{name}_{unit}"] = written(draft.times[name] / Decimal(f"{SIZES[unit]:g}"))
    for variant, seconds in draft.own.items():
        unit = _unit_of(body, body.headed.by_variant[variant])
        cells[f"mean_{unit}_for_{variant}"] = written(seconds / Decimal(f"{SIZES[unit]:g}"))
    if "sd" in by and "cv" not in by and draft.times.get("mean"):
        try:
            sd = body.seconds(draft.row, by["sd"])
        except UnclearError as error:
            told.row(
                body.sheet, draft.row.number, f"{by['sd'].text} {shown(str(error))} is no time, left out"
            )
            sd = None
        if sd is not None:
            cells["cv"] = written(round(sd / draft.times["mean"], 4))
    if "shape" not in by and "mean" not in times:
        cells["shape"] = "triangular" if "mode" in times else "uniform"
    return cells


def _unit_of(body: Body, one: ColumnHeading) -> str:
    """Return the unit in which a column of times is written: its own, or seconds where its cells differ."""
    is_plain = one.unit in ("s", "min", "h") and not any(unit_in(row.values[one.place]) for row in body.rows)
    return one.unit if is_plain else "s"


def _people(body: Body, drafts: Sequence[Draft], told: BodyTold) -> tuple[list[str], dict[str, int]]:
    """Return the people that each task needs as text, or those of each station where they stand once."""
    one = body.headed.by_column.get("people")
    if one is None:
        return [""] * len(drafts), {}
    numbers: list[int | None] = []
    for draft in drafts:
        found = body.number(draft.row, "people", told)
        if found is not None and (found != int(found) or found < 0):
            told.row(body.sheet, draft.row.number, f"{one.text} {found:f} is no whole number and is left out")
            found = None
        numbers.append(None if found is None else int(found))
    firsts = [k for k, draft in enumerate(drafts) if not k or drafts[k - 1].station != draft.station]
    filled = [one.place in draft.row.filled for draft in drafts]
    own = [k for k, number in enumerate(numbers) if number is not None and not filled[k]]
    is_once = set(own) <= set(firsts) and len(firsts) < len(drafts)
    is_of_station = body.settled.get("people") == "of the station"
    if "people" not in body.settled and one.how != "ours" and (len(own) == len(firsts) or any(filled)):
        is_of_station = is_once
    if is_once and is_of_station and "people" not in body.settled:
        told.settle("tasks", "people", "of the station")
        told.doubt(
            body.sheet,
            f"{one.text} stands once a station: it is the people of the station, not of each task.",
        )
    if not (is_once and is_of_station):
        usual = [None if body.text(draft.row, "robot") else 1 for draft in drafts]
        pairs = zip(numbers, usual, strict=True)
        return ["" if number in (None, most) else str(number) for number, most in pairs], {}
    return [""] * len(drafts), {drafts[k].station: int(numbers[k] or 0) for k in own}


def _other_cells(body: Body, draft: Draft, percents: frozenset[str], told: BodyTold) -> dict[str, str]:
    cells: dict[str, str] = {}
    by = body.headed.by_column

    def lost(name: str, what: str) -> None:
        text = shown(body.text(draft.row, name))
        told.row(body.sheet, draft.row.number, f"{by[name].text} {text} is no {what} and is left out")

    for name in by:
        value: Value = body.cell(draft.row, name)
        if value == "":
            continue
        if name in _LISTS or name in ("crew", "zone"):
            cells[name] = ";".join(name_of(part) for part in parts_of(value))
        elif name in _SHARES:
            share = body.share(draft.row, name, percents, told)
            cells[name] = "" if share is None else written(share)
        elif name in ("shape", "confidence"):
            word = text_of(value).casefold()
            if word in (*SHAPE_NAMES, "measured", "estimated", "guess"):
                cells[name] = word
            else:
                lost(name, "shape" if name == "shape" else "word of how well a time is known")
        elif name == "again" and (flag := flag_of(value)) is not None:
            cells[name] = "yes" if flag else "no"
        elif name == "fault_repair":
            unit = by[name].unit or "s"
            seconds = body.seconds(draft.row, by[name])
            cells[f"fault_repair_{unit}"] = written((seconds or Decimal(0)) / Decimal(f"{SIZES[unit]:g}"))
        elif name in ("source", "fault_found", "fault_right", "fault_tries"):
            cells[name] = safe_text(text_of(value))
    return cells


def _after(
    body: Body,
    drafts: Sequence[Draft],
    names: Mapping[str, str],
    ids: Sequence[str],
    told: BodyTold,
) -> list[str]:
    """Return the tasks that must come before each, wherever the sheet gives their number or words."""
    if "after" not in body.headed.by_column:
        return [""] * len(drafts)
    called: dict[str, list[int]] = {}
    called_here: dict[tuple[str, str], list[int]] = {}
    for j, draft in enumerate(drafts):
        own = (draft.task, draft.title, ids[j], f"{names[draft.station]}.{ids[j]}")
        for word in {text.casefold() for text in own if text}:
            called.setdefault(word, []).append(j)
            called_here.setdefault((draft.station, word), []).append(j)
    found = []
    for k, mine in enumerate(drafts):
        value = body.cell(mine.row, "after")
        whole = text_of(value)
        before = []
        for part in [whole] if whole.casefold() in called else parts_of(value):
            word = part.casefold()
            here = [j for j in called_here.get((mine.station, word), ()) if j != k]
            fits = here or [j for j in called.get(word, ()) if j != k]
            if len(fits) == 1:
                j = fits[0]
                before.append(ids[j] if here else f"{names[drafts[j].station]}.{ids[j]}")
            else:
                what = "names several tasks" if fits else "names no task"
                told.row(body.sheet, mine.row.number, f"predecessor {shown(part)} {what} and is left out")
        found.append(";".join(before))
    return found
