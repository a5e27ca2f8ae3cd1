"""Where blocked turns into starved along the line: the bottleneck lies between."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from linesim.report.figure import Figure, figure
from linesim.report.pen import Pen, room_for
from linesim.report.scale import Scale
from linesim.report.style import FAINT, SMALL, SOFT, TIMES
from linesim.report.table import estimated, numeric, table
from linesim.report.told import Told
from linesim.studies.figures import number
from linesim.studies.replication import Label
from linesim.studies.rows import Row, row_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "The turning point of blocked and starved time: L. Li, Q. Chang and J. Ni, International Journal of "
    "Production "
    "Research 47 (2009) 5019-5036; here with the stations of a paced section taken together."
)


_HEADS = (
    "blocked, min/shift", "interval", "starved, min/shift", "interval", "first minus second", "interval",
)  # fmt: skip


class Element(NamedTuple):
    """What hands on jobs by itself: a paced section, or a station of a free one.

    Attributes:
        name: Its name.
        blocked, starved: Minutes per shift, averaged over its stations.
        more_blocked: The first minus the second.
    """

    name: str
    blocked: Row
    starved: Row
    more_blocked: Row


def elements(told: Told) -> tuple[Element, ...]:
    """Return the elements in line order."""
    found = []
    for section, pacing, stations in told.stations:
        if pacing == "free":
            found += [_element(told, station, (station,)) for station in stations]
        elif stations:
            found.append(_element(told, section, stations))
    return tuple(found)


def _element(told: Told, name: str, stations: tuple[str, ...]) -> Element:
    blocked, starved = (_minutes(told, stations, state) for state in ("blocked", "starved"))
    both = [b - s for b, s in zip(blocked, starved, strict=True)]
    rows = [
        row_of(Label(what, name, "", "min/shift"), values, told.result.run.confidence)
        for what, values in (("blocked", blocked), ("starved", starved), ("more blocked than starved", both))
    ]
    return Element(name, *rows)


def _minutes(told: Told, stations: tuple[str, ...], state: str) -> list[float]:
    columns = [told.result.values("station_state", station, state) for station in stations]
    return [
        told.shift_min * sum(value or 0.0 for value in values) / len(stations)
        for values in zip(*columns, strict=True)
    ]


def turning_point(found: tuple[Element, ...]) -> str:
    """Return the element before which all others are rather blocked and after which all are rather starved.

    Of several, the one that is itself least blocked and starved. Empty if there is none, or if the data can't
    tell blocked from starved somewhere else.
    """
    fitting = [
        element
        for k, element in enumerate(found)
        if all(_sign(e) > 0 for e in found[:k]) and all(_sign(e) < 0 for e in found[k + 1 :])
    ]
    least = min(fitting, key=lambda e: (e.blocked.mean or 0.0) + (e.starved.mean or 0.0), default=None)
    return "" if least is None or len(found) < 2 else least.name


def _sign(element: Element) -> int:
    row = element.more_blocked
    if row.low is not None and row.low > 0:
        return 1
    return -1 if row.high is not None and row.high < 0 else 0


def turning(told: Told) -> Figure | None:
    """Return the figure; None for a line with fewer than three elements, or with nothing blocked or starved.

    Li, Chang and Ni's turning point, drawn as bars to both sides of one line.
    """
    found = elements(told)
    if len(found) < 3 or not any(e.blocked.mean or e.starved.mean for e in found):
        return None
    at = turning_point(found)
    says = (
        "Minutes of a shift in which each part of the line is blocked (no room ahead) to the left and "
        "starved (no "
        "job comes) to the right, in line order. What holds up the others is blocked before it and starved "
        "behind "
        "it. "
    )
    says += (
        f"Here everything before {at} is rather blocked and everything after it rather starved."
        if at
        else "Here the data show no single place of that kind."
    )
    return figure(
        "turning",
        "Blocked and starved along the line",
        says,
        table(
            "Blocked and starved, in line order",
            ["part of the line", *numeric(*_HEADS)],
            [
                (e.name, *estimated(e.blocked), *estimated(e.starved), *estimated(e.more_blocked))
                for e in found
            ],
        ),
        METHOD,
        lambda width: _draw(width, found, at),
    )  # fmt: skip


def _draw(width: int, found: tuple[Element, ...], at: str) -> Drawing:
    pitch, top = 22, 30.0
    left = min(room_for([e.name for e in found], bold=True), 0.3 * width) + 10
    right = width - 6.0
    side = max(max(e.blocked.mean or 0.0, e.starved.mean or 0.0) for e in found)
    room = room_for(["000"], SMALL) + 8
    middle = (left + right) / 2
    scale = Scale(0, side, 0, (right - left) / 2 - room)
    pen = Pen(width, top + len(found) * pitch + 8)
    pen.words(middle - 8, 10, "blocked", side="right", size=SMALL, bold=True)
    pen.words(middle + 8, 10, "starved", size=SMALL, bold=True)
    for i, e in enumerate(found):
        y = top + i * pitch + 11
        pen.words(left - 8, y, e.name, side="right", room=left - 8, bold=e.name == at)
        for row, word, way in ((e.blocked, "blocked", -1), (e.starved, "starved", 1)):
            long = scale.at(row.mean or 0.0)
            if long > 0.3:
                pen.box(middle if way > 0 else middle - long, y - 7, long, 14, TIMES[word])
            said = number(row.mean or 0.0, 1 if (row.mean or 0.0) < 9.95 else 0)
            pen.words(
                middle + way * (long + 5),
                y,
                said,
                side="left" if way > 0 else "right",
                size=SMALL,
                colour=SOFT,
            )
    pen.line((middle, middle), (top - 10, top + len(found) * pitch), colour=FAINT, width=1)
    return pen.figure
