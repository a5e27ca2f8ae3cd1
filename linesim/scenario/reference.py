"""The scenario language in words: the reference and the JSON Schema, written from the models themselves."""

from __future__ import annotations

import types
from collections.abc import Iterator
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import Tag
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from linesim.scenario.base import Chance, Opened, ReadBy, Record, Weighed, as_name
from linesim.scenario.cells import COLUMNS
from linesim.scenario.line import Bay, Buffer, Carrier, Feeder, Removal, Section, Station, Supply
from linesim.scenario.models import Model, Option, Orders, Package, Scenario, Spacing
from linesim.scenario.people import Breakdown, Crew, Learning, Outage, Robot, Tool, Zone
from linesim.scenario.run import Calendar, Cost, Premium, Run, Study, Target, as_span
from linesim.scenario.shapes import SHAPES
from linesim.scenario.validate import annotation_of, fields_of
from linesim.scenario.work import Fault, Task
from linesim.ticks import Duration

HEAD = """# Scenario reference

This page is written from the program; do not edit it by hand. The folder holds shipped scenarios:
`tractor/` is a compact electric utility tractor from bare frame to test stand (all of its data is
invented), `textbook/` holds small published lines with known answers, `features/` one small
scenario a feature.

A scenario is a TOML file. Everything is keyed by name, so that one mechanism serves all changes:

- `extends = "line.toml"` lays a scenario over another one, table by table. Tables are merged, every
  other value, lists too, is replaced. A time of another `shape`, with figures of its own, replaces the
  one below.
- `--set 'crew.cab.people = 4'` lays a line of the same TOML over the scenario; it may be given several
  times, and the last one is on top. A name that the scenario does not have is refused: what is new is
  said by `--add 'tool.gun.count = 2'`. In Python: `scenario.replace({"crew.cab.people": 4})`, and
  `add={"tool.gun.count": 2}` beside it.
- Task tables lie below the scenario: a table `[station.K1.task.bolt-cab]` changes that row of the table.

Names have letters, digits, `-` and `_`. Times carry a unit: `"61 s"`, `"2 min"`, `"1.5 h"`,
`"2 days"`, `"1 week"` (24 hours a day, seven days a week), `"5 shifts"`; a bare number is refused. A share
may stand as `0.4` or `"40%"`. Where a list of names is expected, one name alone will do. Files that a
scenario names lie in its folder or below, are UTF-8, and are never executed. A shift, as a unit, is as long
as the first shift of the run's calendar, or else as `run.shift` says.

Check a scenario with `linesim check FILE`, read it back in sentences with `linesim explain FILE`, and get
the language as JSON Schema from `linesim schema`."""

#: Heading, model and introduction of each table, in the order of the page.
TABLES: tuple[tuple[str, type[Record], str], ...] = (
    (
        "At the top",
        Scenario,
        "Text, times and lists stand before the first table; tables are described below.",
    ),
    ("`[study]`", Study, "The question in words; printed at the top of every report."),
    ("`[target]`", Target, "What the plan asks of the line."),
    ("`[run]`", Run, "How long to simulate, how often, from which state."),
    (
        "`[calendar.NAME]`",
        Calendar,
        "Working time. Sections, crews and robots may follow different ones. Manual work pauses in breaks, "
        "automatic work finishes its task, repairs go on; planned breaks are never line stop. Figures of "
        "time count working time: for a buffer that of the section after it, for a tool that of the sections "
        "that use it, for a carrier that of the section where jobs board, for a bay that of its people, and "
        "for the way of a job, part by part, that of the place it is in. A measure that counts nights and "
        "breaks too ends in `_clock`.",
    ),
    ("`[model.NAME]`", Model, "Kinds of job, with their shares."),
    ("`[option.NAME]`", Option, "Options, with the share of jobs that have them."),
    ("`[package.NAME]`", Package, "Options that come together."),
    ("`[orders]`", Orders, "The sequence in which jobs come."),
    ("`[orders.spacing.NAME]`", Spacing, "Rules that the sequence keeps."),
    ("`[section.NAME]`", Section, "Stations that share one conveyor and stop together."),
    (
        "`[station.NAME]`",
        Station,
        "Only needed where a station differs from the defaults; every station is listed in the `stations` of "
        "its section.",
    ),
    (
        "`[station.NAME.task.NAME]`",
        Task,
        "Work. It starts when its predecessors are done, the job is in reach, and its people, robots, "
        "tools and room in its zone are free together. Nothing is kept for it before that: a task of two "
        "people waits for a moment at which two are free, and until then other work may take them one by "
        "one, however long. Of the work that is ready at one moment, that nearest its station's limit starts "
        "first, then that furthest down the line, then by place in the file. A person alone comes from "
        "the first crew named that has anybody free; of the people free, who is already at the job is taken "
        "first, then the first by number.",
    ),
    (
        "`[station.NAME.task.NAME.fault]`",
        Fault,
        "A defect that the task may leave. Several stand by name, as `[station.NAME.task.NAME.fault.NAME]`.",
    ),
    (
        "`[buffer.NAME]`",
        Buffer,
        "Places between two sections. Without a buffer, the upstream section hands over at the moment the "
        "downstream one takes.",
    ),
    ("`[carrier.NAME]`", Carrier, "Carriers that travel with the jobs and return empty."),
    ("`[crew.NAME]`", Crew, "People."),
    (
        "`[crew.NAME.learning]`",
        Learning,
        "New people of a crew, who are slower until they have done a task often enough. The n-th time takes "
        "them `first` × n to the power of log2(`rate`) times as long as the task's time, and no less than "
        "once; who works at a task with others sets their pace too. Counted by person and task from the "
        "beginning of the run, warm-up included; repairs in a bay take everybody the same.",
    ),
    ("`[robot.NAME]`", Robot, "Automatic equipment."),
    ("`[tool.NAME]`", Tool, "Shared tools."),
    ("`[zone.NAME]`", Zone, "Sides or areas of the job."),
    (
        "`[….failure.NAME]` and `[….disturbance.NAME]`",
        Breakdown,
        "What interrupts a robot, a conveyor or a station: any number of ways, each with its own name.",
    ),
    ("`[bay.NAME]`", Bay, "Off-line rework. The repair time is the sum of what is open."),
    ("`[supply]`", Supply, "How jobs come to the first section."),
    ("`[removal]`", Removal, "How jobs leave the last section."),
    ("`[….outage.NAME]`", Outage, "Times in which supply or removal does not work."),
    ("`[feeder.NAME]`", Feeder, "Short lines that deliver one unit a job."),
    (
        "`[cost]`",
        Cost,
        "Money. Net money a shift is jobs times their margin, less own stops, people and equipment at their "
        "prices; what has no price is left out. A study charges minutes of stop only as far as their section "
        "stands longer than on the line compared with: own minutes that take the place of minutes passed on "
        "cost nothing, and save nothing the other way round.",
    ),
    ("`[cost.premium.NAME]`", Premium, "Hours in which people cost more: nights, weekends."),
)

TIMES = """A time is text (`"48 s"`, constant) or a table with a shape: `{ mean = "61 s", cv = 0.15 }`.
Without `shape`, a table with `mean` and `cv` is lognormal and one with `mean` alone is constant."""

CHANCES = """A chance is a number from 0 to 1, or a table with `value` where something is to be said
about it: `{ value = 0.02, confidence = "guess" }`."""

WEIGHT = """These may stand in the table of any time, chance, failure or disturbance; `source` and
`confidence` also in a task itself. `linesim explain` lists the guesses first."""

TASK_TABLES = """`tasks = "tasks.csv"` names a table with one row a task: CSV with commas, semicolons
or tabs, or the sheet `tasks` (or the first one) of an Excel workbook; `linesim import` makes one from a
plant's own workbook (`IMPORT.md`). Lists are joined by `;`, blank cells
mean the default, times have their unit in the heading. `station`, `task` and a time are needed. A column
such as `mean_s_for_Field` holds other times for one model or option (`time_for`), with the row's `cv` and
`shape`; where it is blank, the time is the row's. These headings are known besides:"""

OTHER_TABLES = """Orders have the columns `model` and `options` (joined by `;`). Measured times stand in a
column whose heading ends in `_s`, `_min` or `_h`. Moments of supply and removal stand in a column
`at_s`, in seconds from the beginning of the run. Other columns of these tables are left alone."""


def reference() -> str:
    """Return the reference as Markdown: every table, every key, its kind, default and meaning."""
    parts = [HEAD]
    for heading, table, about in TABLES:
        parts.append(f"## {heading}\n\n{about}\n\n{_rows(table)}")
    parts.append(f"## Times\n\n{TIMES}\n\n{_shapes()}")
    parts.append(f"## Chances\n\n{CHANCES}\n\n{_rows(Chance)}")
    parts.append(f"## How well a figure is known\n\n{WEIGHT}\n\n{_rows(Weighed)}")
    parts.append(f"## Task tables\n\n{TASK_TABLES}\n\n{_columns()}")
    parts.append(f"## Other tables\n\n{OTHER_TABLES}")
    return "\n\n".join(parts) + "\n"


def _rows(table: type[Record]) -> str:
    lines = ["| key | takes | default | meaning |", "|---|---|---|---|"]
    weight = (
        frozenset(Weighed.model_fields)
        if issubclass(table, Weighed) and table is not Weighed
        else frozenset()
    )
    for name, field in fields_of(table).items():
        if name not in weight:
            lines.append(f"| `{name}` | {_kind(annotation_of(field))} | {_default(field)} | {_cell(field)} |")
    if weight:
        lines.append("| `source`, `confidence`, `range` | | | see *How well a figure is known* |")
    return "\n".join(lines)


def _cell(field: FieldInfo) -> str:
    return " ".join((field.description or "").split()).replace("|", "\\|")


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
    value = field.default
    if field.annotation is Chance:
        return "`1`"
    if value is PydanticUndefined or value is None or value == () or value == "":
        return "–"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, tuple):
        return "all" if len(value) > 3 else ", ".join(f'`"{item}"`' for item in value)
    return f'`"{value}"`' if isinstance(value, str | Duration) else f"`{value:g}`"


def _kind(kind: Any) -> str:
    """Return what a field takes, in words."""
    return " or ".join(dict.fromkeys(_kinds(kind)))


def _kinds(kind: Any, notes: tuple[Any, ...] = ()) -> Iterator[str]:
    origin = get_origin(kind)
    if origin is Annotated:
        yield from _kinds(get_args(kind)[0], (*get_args(kind)[1:], *notes))
    elif origin in (Union, types.UnionType):
        yield from _union(kind, notes)
    elif origin is Literal:
        yield ", ".join(f'`"{word}"`' for word in get_args(kind))
    elif origin is tuple:
        yield from _list(kind, notes)
    elif origin is dict:
        inner = _kind(get_args(kind)[1])
        yield f"table of {inner}s by name" if inner in ("time", "chance") else "tables by name"
    elif kind is Duration:
        yield "time with unit"
    elif kind is Chance:
        yield "chance"
    elif kind is bool:
        yield "true or false"
    elif kind in (int, float):
        yield ("whole number" if kind is int else "number") + _limits(notes)
    elif kind is str:
        yield _text(notes)
    elif isinstance(kind, type) and issubclass(kind, Record):
        yield "table"


def _text(notes: tuple[Any, ...]) -> str:
    for note in notes:
        if isinstance(note, ReadBy):
            return "name" if note.read is as_name else "span" if note.read is as_span else "text"
    return "text"


def _union(kind: Any, notes: tuple[Any, ...]) -> Iterator[str]:
    arms = [arm for arm in get_args(kind) if arm is not types.NoneType]
    tags = {note.tag for arm in arms for note in get_args(arm)[1:] if isinstance(note, Tag)}
    if "constant" in tags:
        yield "time"
        return
    for arm in arms:
        yield from _kinds(arm, notes)


def _list(kind: Any, notes: tuple[Any, ...]) -> Iterator[str]:
    arguments = [arm for arm in get_args(kind) if arm is not Ellipsis]
    inner = _kind(arguments[0])
    if any(isinstance(note, Opened) for note in notes):
        yield inner
    yield f"list of {inner}s" if len(arguments) == 1 and " " not in inner else "list"


def _limits(notes: tuple[Any, ...]) -> str:
    found: dict[str, float] = {}
    for note in notes:
        inside = note.metadata if isinstance(note, FieldInfo) else [note]
        for limit in inside:
            for word in ("ge", "gt", "le", "lt"):
                if (value := getattr(limit, word, None)) is not None:
                    found[word] = max(value, found[word]) if word in ("ge", "gt") and word in found else value
    low = f"{found['ge']:g}" if "ge" in found else (f"more than {found['gt']:g}" if "gt" in found else "")
    high = f"{found['le']:g}" if found.get("le", 1e6) < 1e6 else ""
    if low and high:
        return f" {low} to {high}"
    return (
        f", {low} or more"
        if low and "ge" in found and found["ge"] > -1e9
        else (f", {low}" if "gt" in found else "")
    )


def _shapes() -> str:
    lines = ["| shape | takes | what it is |", "|---|---|---|"]
    for shape in SHAPES:
        keys = [name for name in fields_of(shape) if name not in {*Weighed.model_fields, "shape"}]
        about = " ".join((shape.__doc__ or "").split("\n\n")[0].split())  # what follows is mathematics
        takes = ", ".join(f"`{key}`" for key in keys)
        lines.append(f"| `{shape.kind}` | {takes} | {about} |")
    lines += ["", "| key | of | meaning |", "|---|---|---|"]
    said: dict[tuple[str, str], list[str]] = {}
    for shape in SHAPES:
        for name, field in fields_of(shape).items():
            if name not in {*Weighed.model_fields, "shape"}:
                said.setdefault((name, _cell(field)), []).append(shape.kind)
    order = list(dict.fromkeys(name for name, _ in said))
    rows = sorted(said.items(), key=lambda item: order.index(item[0][0]))
    lines += [f"| `{name}` | {', '.join(shapes)} | {text} |" for (name, text), shapes in rows]
    return "\n".join(lines)


def _columns() -> str:
    return ", ".join(f"`{name}`" for name in COLUMNS)


DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a scenario file.

    It describes what a complete scenario may say. Rules between tables, such as that a crew
    covers stations that exist, cannot be said in a schema; `linesim check` knows them.
    """
    schema = Scenario.model_json_schema(mode="validation", by_alias=True)
    return {"$schema": DIALECT, "title": "Scenario of a line", **schema}
