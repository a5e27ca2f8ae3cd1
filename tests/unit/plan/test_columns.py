"""Columns: everything that is drawn has a number, and a block of it is what is asked one by one."""

import numpy as np
import pytest

from linesim.draws.draws import Draws
from linesim.draws.streams import to_ticks
from linesim.plan.build import build
from linesim.plan.columns import name_key
from linesim.scenario import from_dict
from tests.lines import tables
from tests.luck import sheet

SHAPES = {
    "constant": '"31 s"',
    "lognormal": '{ mean = "30 s", cv = 0.2 }',
    "normal": '{ shape = "normal", mean = "30 s", sd = "4 s" }',
    "triangular": '{ shape = "triangular", low = "20 s", mode = "30 s", high = "50 s" }',
    "pert": '{ shape = "pert", low = "20 s", mode = "30 s", high = "50 s" }',
    "uniform": '{ shape = "uniform", low = "20 s", high = "50 s" }',
    "exponential": '{ shape = "exponential", mean = "30 s" }',
    "erlang": '{ shape = "erlang", mean = "30 s", stages = 3 }',
    "gamma": '{ shape = "gamma", mean = "30 s", cv = 0.5 }',
    "weibull": '{ shape = "weibull", mean = "30 s", cv = 0.5 }',
    "empirical": '{ shape = "empirical", values_s = [20, 31, 47] }',
}
TASKS = "".join(
    f"[station.S.task.{name}]\npeople = 0\ntime = {time}\ntime_for = {{ roof = '41.0004 s', cab = {time} }}\n"
    for name, time in SHAPES.items()
)
LINE = build(
    from_dict(
        tables(
            f"""
            [section.free]
            pacing = "free"
            stations = ["S"]
            [model.cab]
            [model.base]
            [option.roof]
            take = 0.4
            [robot.R]
            [robot.R.failure.jam]
            every = {SHAPES["exponential"]}
            lasts = {SHAPES["gamma"]}
            [supply]
            every = {SHAPES["erlang"]}
            [bay.yard]
            section = "free"
            rejoin = "out"
            success = 0.8
            [crew.yard]
            people = 1
            covers = ["yard"]
            {TASKS}
            [station.S.task.gamma.fault.leak]
            chance = 0.1
            found = "S"
            detect = 0.5
            right = "yard"
            repair = {SHAPES["weibull"]}
            """,
            length="1 h",
        )
    )
)
ROWS = 300  #: more than a block


def column(number: int, attempt: int) -> list[int]:
    """Return the first rows of a column, block by block."""
    draws = Draws(LINE, 7, 3)
    size = 1 << draws.bits(number)
    blocks = [draws.block(number, attempt, b, size) for b in range(-(-ROWS // size))]
    rows: list[int] = np.concatenate(blocks)[:ROWS].tolist()
    return rows


def through(shape: int, kind: str, name: str, attempt: int) -> list[int]:
    """Return the first rows of a stream, one by one through a shape, or as chances."""
    drawn = sheet(7, 3, kind, name, attempt)
    numbers = [drawn[row] for row in range(ROWS)]
    if shape < 0:
        return [int(number * 2**53) for number in numbers]
    rows: list[int] = [int(to_ticks(LINE.shapes[shape].quantile(number))) for number in numbers]
    return rows


@pytest.mark.parametrize("attempt", [0, 1])
def test_columns_of_tasks_are_their_streams_through_their_times(attempt: int) -> None:
    """For every shape of time, task by task and time by time, a column is its stream, row by row."""
    number = LINE.columns.task
    for t, shapes in enumerate(LINE.tasks.time_shape.tolists()):
        for shape in shapes:
            name = LINE.names.task[t]
            assert column(number, attempt) == through(shape, "task", name, attempt), name
            number += 1


def test_columns_of_all_else_are_their_streams() -> None:
    """Repairs, failures, gaps and chances, in the order in which the columns number them."""
    columns, (leak,), (yard,), (jam,) = LINE.columns, LINE.names.fault, LINE.names.bay, LINE.names.mode
    for number, kind, name, attempt in (
        (columns.repair, "repair", leak, 1),
        (columns.every, "every", jam, 0),
        (columns.lasts, "lasts", jam, 0),
        (columns.gap, "gap", "supply", 0),
        (columns.made, "chance:fault", leak, 0),
        (columns.seen, "chance:detect", leak, 0),
        (columns.bay, "chance:bay", yard, 0),
    ):
        assert column(number, attempt) == through(columns.all[number].shape, kind, name, attempt), kind


def test_columns_number_everything_once() -> None:
    """Orders first, then kind by kind without a gap; a key has 64 bytes, whatever the texts are."""
    columns, n_times = LINE.columns, len(LINE.tasks.time_shape.values)
    firsts = [columns.task, columns.made, columns.seen, columns.repair, columns.bay]
    firsts += [columns.every, columns.lasts, columns.gap]
    assert firsts == [1, 1 + n_times, *(n_times + k for k in (2, 3, 4, 5, 6, 7))]
    assert len(columns.all) == columns.gap + 2
    assert {len(found.key) for found in columns.all} == {64}
    assert columns is LINE.columns and name_key("ab", "c") != name_key("a", "bc")


def test_columns_of_what_is_done_again() -> None:
    """Times of tasks for every pass, and times and chance of one redone until a fault is no more found."""
    line = build(
        from_dict(
            tables(
                """
                section.line = "free: A"
                station.A.task.fit.time = "1 s"
                station.A.task.test = { time = "2 s", time_for = { cab = "3 s" }, again = true }
                station.A.task.glue.time = "4 s"
                station.A.task.fit.fault.late = { chance = 0.1, found = "A", repair = "1 s" }
                station.A.task.glue.fault.soon = { chance = 0.1, found = "at once", tries = 2 }
                crew.all = { people = 1, covers = ["A"] }
                [model.cab]
                [model.base]
                """,
                length="1 h",
            )
        )
    )
    columns = line.columns
    assert [columns.all[c] for c in columns.again] == [
        *(columns.all[columns.task + k] for k in (1, 2, 3)), columns.all[columns.made + 1],
    ]  # fmt: skip
    assert line.names.fault[1] == "A.glue.soon"


def test_variants_are_worked_out_once_for_all_replications() -> None:
    """A plan keeps the work of each model with its options."""
    assert LINE.variants.get(0, 1) is LINE.variants.get(0, 1)
    shapes = [LINE.variants.get(model, options).work[0].shapes for model, options in ((0, 0), (0, 1), (1, 1))]
    assert shapes[0] != shapes[1] == shapes[2]
