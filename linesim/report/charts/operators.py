"""What each place in a crew really does for a job, against takt."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.wording import count_of, listed, number
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import INK, RULE, SMALL, SOFT, TIMES, Paint
from linesim.report.table import estimated, numeric, plain_number, table
from linesim.runs.result import together
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A work balance chart (Y. Monden, Toyota Production System, 1983), turned to lie, from what was "
    "simulated instead of what is planned."
)
MOST_PEOPLE = 80  #: Of more people a drawing shows nothing that a table does not.
#: What a bar is made of, from the left, and the states in it.
STATES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"works": ("working",), "walks": ("walking",), "helps or repairs": ("helping", "repairing")}
)
_PAINTS: Mapping[str, Paint] = MappingProxyType(
    {"works": TIMES["working"], "walks": TIMES["walking"], "helps or repairs": TIMES["helping"]}
)
_PITCH = 17


class OperatorPile(NamedTuple):
    """A place in a crew.

    Attributes:
        name: Its name, the crew's with a number.
        number: The number, counted from 1.
        busy: All that it is busy with, per finished job [s].
        parts: The same by `STATES`.
    """

    name: str
    number: int
    busy: Row
    parts: tuple[Row, ...]


class Group(NamedTuple):
    """A crew.

    Attributes:
        crew: Its name.
        takt_s: Longest takt it works to [s].
        operators: Its people.
    """

    crew: str
    takt_s: float
    operators: tuple[OperatorPile, ...]


def operator_groups(told: Told) -> tuple[Group, ...]:
    """Return every crew with people and what each of them is busy with, in file order."""
    plan, result = told.plan, told.result
    found = []
    for c, load in enumerate(told.loads.crews):
        first = int(plan.crews.first[c])
        operators = []
        for k in range(int(plan.crews.people[c])):
            name = plan.names.operator[first + k]
            parts = [
                together(result, "operator_load", name, frozenset(states).__contains__)
                for states in STATES.values()
            ]
            busy = together(result, "operator_load", name, lambda _: True)
            operators.append(OperatorPile(name, k + 1, busy, tuple(parts)))
        if any(operator.busy.mean is not None for operator in operators):
            found.append(Group(load.name, load.takt_s, tuple(operators)))
    return tuple(found)


def operators(told: Told) -> Figure | None:
    """Return the figure; None for a line without people, or with more than a drawing can show.

    A work balance chart (Monden) of what was measured, one bar a place in a crew.
    """
    found = operator_groups(told)
    if not 0 < sum(len(group.operators) for group in found) <= MOST_PEOPLE:
        return None
    return figure(
        "operators",
        "What each place in a crew really does for a job, against takt",
        "One bar a place in a crew: busy seconds per finished job as it went, with repeats, walking, help "
        "and repairs; the black stroke is the takt, the line at a bar's end its interval. Of several who are "
        "free the first by number goes, so the first is busiest, and the last shows how often the rest is. "
        "Numbers are places, not persons: a crew shares its work as it likes, and a short bar says nothing "
        f"about anybody. {_over(found)}",
        table(
            "Busy seconds per finished job",
            ["operator", *numeric("takt, s", "busy, s", "interval", "of takt, %",
                                  *(f"{head}, s" for head in STATES))],
            [
                (
                    one.name, plain_number(group.takt_s), *estimated(one.busy.estimate),
                    estimated(one.busy.estimate.scaled(100 / group.takt_s, "%"))[0],
                    *(estimated(part.estimate)[0] for part in one.parts),
                )
                for group in found
                for one in group.operators
            ],
        ),
        METHOD,
        lambda width: _draw(width, found),
    )  # fmt: skip


def _over(found: tuple[Group, ...]) -> str:
    """Return which crews are busy for longer than the takt."""
    over = [
        group.crew
        for group in found
        if math.fsum(one.busy.mean or 0.0 for one in group.operators) > group.takt_s * len(group.operators)
    ]
    if not over:
        return "No crew is busy for longer than its takt."
    return f"Busy for longer than the takt, so that the line falls behind: {listed(over)}."


def _draw(width: int, found: tuple[Group, ...]) -> Drawing:
    is_wide = width > 500
    left = 34.0
    every = [one for group in found for one in group.operators]
    most = max(*(one.busy.high or one.busy.mean or 0.0 for one in every), *(group.takt_s for group in found))
    scale = Scale(0, most * 1.02, left, width - (60 if is_wide else 46), marks=5 if is_wide else 4)
    top = 26.0
    pen = Pen(width, top + len(every) * _PITCH + len(found) * 26 + 44)
    _legend(pen, [head for k, head in enumerate(STATES) if any(one.parts[k].mean for one in every)])
    pen.axis_below(scale, pen.height - 38, top, "busy seconds per finished job")
    y = top
    for group in found:
        says = f"{count_of(len(group.operators), 'person', 'people')}, takt {group.takt_s:g} s"
        pen.tint(0, y + 4, width, 20, "#ffffff")
        pen.words(0, y + 15, group.crew, bold=True, size=SMALL + 0.5, room=0.55 * width)
        pen.words(
            min(room_for([group.crew], SMALL + 0.5, bold=True), 0.55 * width) + 8, y + 15, says,
            size=SMALL, colour=SOFT,
        )  # fmt: skip
        y += 26
        for one in group.operators:
            _bar(pen, scale, one, group.takt_s, y, left)
            y += _PITCH
    return pen.figure


def _legend(pen: Pen, heads: list[str]) -> None:
    x = 0.0
    for head in heads:
        pen.box(x, 3, 12, 10, _PAINTS[head])
        pen.words(x + 17, 8, head, size=SMALL)
        x += room_for([head], SMALL) + 34


def _bar(pen: Pen, scale: Scale, one: OperatorPile, takt_s: float, y: float, left: float) -> None:
    middle, end = y + _PITCH / 2, scale.start
    pen.words(left - 7, middle, str(one.number), side="right", size=SMALL)
    pen.line((scale.start, scale.start), (y, y + _PITCH), colour=RULE, width=0.8)
    for part, paint in zip(one.parts, _PAINTS.values(), strict=True):
        long = scale.at(part.mean or 0.0) - scale.start
        if long >= 0.3:
            pen.box(end, middle - 5.5, long, 11, paint)
            end += long
    takt = scale.at(takt_s)
    pen.line((takt, takt), (y, y + _PITCH), colour="#ffffff", width=4)
    pen.line((takt, takt), (y, y + _PITCH), width=2.2, colour=INK)
    busy = one.busy
    if busy.low is not None and busy.high is not None and busy.high > busy.low:
        pen.whisker(scale.at(busy.low), scale.at(busy.high), middle)
        end = max(end, scale.at(busy.high))
    share = number(100 * (busy.mean or 0.0) / takt_s, 0)
    pen.words(max(end, takt) + 6, middle, f"{share} %", size=SMALL, bold=(busy.mean or 0.0) > takt_s)
