"""Work against takt, as bars: of each station over the mix, and what each place in a crew really does."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Estimate
from linesim.answers.wording import count_of, listed, number
from linesim.capacity.loads import LoadSpread, station_spread
from linesim.report.canvas import IS_WIDE, Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import INK, MAIN, RULE, SMALL, TIMES, Paint
from linesim.report.table import PageCell, estimated, numeric, plain_number, rounded, table
from linesim.runs.result import together
from linesim.runs.rows import Row

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

_BALANCE = (
    "A work balance chart as used in standardised work (Y. Monden, Toyota Production System, 1983), turned "
    "to lie in line order; its whiskers over the mix follow the box-and-whisker idea of J. W. Tukey (1977)."
)
_SIMULATED = (
    "A work balance chart (Y. Monden, Toyota Production System, 1983), turned to lie, from what was "
    "simulated instead of what is planned."
)
_RARE = Paint("#ffffff", INK)
_MOST_NAMED = 4


class Load(NamedTuple):
    """A station.

    Attributes:
        station, section: Names.
        takt_s: Its takt [s].
        spread: Shortest time per job over the mix [s].
        work_s: Work content, weighted by the mix [person-seconds].
        overruns: Of a hundred jobs those that reached the station's limit with work open, as it was run;
            None where nothing has a limit.
    """

    station: str
    section: str
    takt_s: float
    spread: LoadSpread
    work_s: float
    overruns: Estimate | None


def station_loads(told: Told) -> tuple[Load, ...]:
    """Return the load of every station, in line order."""
    index = {name: s for s, name in enumerate(told.plan.names.station)}
    over = {row.where: told.result.estimate_of(row) for row in told.result.rows("overruns")}
    found = []
    for section, _, stations in told.stations:
        for name in stations:
            load = told.loads.stations[index[name]]
            found.append(
                Load(
                    name,
                    section,
                    load.takt_s,
                    station_spread(told.loads, index[name]),
                    load.work_s,
                    over.get(name),
                )
            )
    return tuple(found)


def station_work(told: Told) -> Figure:
    """Return the figure.

    A work balance chart (Monden) with whiskers over the mix (Tukey): the mean alone hides the overload.
    """
    loads = station_loads(told)
    has_mix = any(load.spread.high > load.spread.low for load in loads)
    return figure(
        "station-work",
        "Shortest time that the work takes at each station, against takt",
        _says(loads, has_mix),
        table(
            "Work at each station, in line order",
            ["station", "section",
             *numeric("takt, s", "mean, s", "of takt, %", "lightest, s", "19 in 20 within, s", "heaviest, s",
                      "jobs over takt, %", "overruns as run, 1/100 jobs", "interval",
                      "work content, person-s"),
             "heaviest variant"],
            [
                (
                    load.station, load.section, plain_number(load.takt_s), rounded(load.spread.mean),
                    rounded(100 * load.spread.mean / load.takt_s, 0), rounded(load.spread.low),
                    rounded(load.spread.p95), rounded(load.spread.high), rounded(100 * load.spread.over),
                    *(estimated(load.overruns) if load.overruns else (PageCell("–"), PageCell(""))),
                    rounded(load.work_s), load.spread.heaviest,
                )
                for load in loads
            ],
        ),
        _BALANCE,
        lambda width: _draw_stations(width, loads, has_mix),
    )  # fmt: skip


def _says(loads: tuple[Load, ...], has_mix: bool) -> str:
    says = "One bar a station, in line order, from mean times: as if nothing ever waited for anything. "
    if has_mix:
        says += (
            "The bar is weighted by how often each variant is built, its line reaches from the lightest "
            "variant to the heaviest, and nineteen jobs in twenty lie at or below the ring. "
        )
    says += "The black stroke is the takt. "
    by_mix = _named([(load.station, 100 * load.spread.over) for load in loads])
    if by_mix:
        says += f"By mean times some jobs need more than the takt at {by_mix}. "
    else:
        says += "By mean times no variant needs more than the takt at any station. "
    as_run = [(load.station, load.overruns.mean or 0.0) for load in loads if load.overruns]
    if not as_run:
        return says.strip()
    over = _named(as_run)
    if not over:
        return f"{says}As it was run, no job reached a station's limit with work open."
    return (
        f"{says}As it was run, where times scatter and work waits, jobs reached the limit with work open at "
        f"{over}: “over” behind a bar."
    )


def _named(shares: Sequence[tuple[str, float]]) -> str:
    """Return the stations at which some of a hundred jobs are too long, the worst named; empty for none."""
    found = sorted((item for item in shares if item[1] > 0), key=lambda item: -item[1])
    if not found:
        return ""
    named = listed([f"{station} ({number(share, 0 if share >= 1 else 1)} % of jobs)"
                    for station, share in found[:_MOST_NAMED]])  # fmt: skip
    more = f" and {len(found) - _MOST_NAMED} more" if len(found) > _MOST_NAMED else ""
    return f"{count_of(len(found), 'station')}: {named}{more}"


def _draw_stations(width: int, loads: tuple[Load, ...], has_mix: bool) -> Drawing:
    is_wide = width > IS_WIDE
    pitch = 21
    sections = [load.section for load in loads]
    headed = [i for i, name in enumerate(sections) if i == 0 or sections[i - 1] != name]
    left = min(room_for([load.station for load in loads]), 0.3 * width) + 10
    most = max(max(load.spread.high, load.takt_s) for load in loads)
    ends = [_share_and_overruns(load) for load in loads]
    right = width - room_for(ends, SMALL, bold=True) - 12
    scale = Scale(0, most * 1.02, left, right, marks=5 if is_wide else 4)
    pen = Pen(width, len(loads) * pitch + len(headed) * 24 + 44)
    pen.axis_below(scale, pen.height - 38, 8, "seconds per job")
    y = 0.0
    for i, load in enumerate(loads):
        if i in headed:
            pen.note(0, y + 14, f"{load.section}, takt {load.takt_s:g} s", side="left")
            y += 24
        middle, spread, takt = y + pitch / 2, load.spread, scale.at(load.takt_s)
        pen.about = load.station
        pen.words(left - 7, middle, load.station, side="right", room=left - 7)
        pen.box(scale.start, middle - 6.5, scale.at(spread.mean) - scale.start, 13, MAIN)
        pen.stroke((takt, takt), (y, y + pitch))
        end = max(scale.at(spread.mean), takt)
        if has_mix and spread.high > spread.low:
            end = max(end, pen.interval(scale, spread, middle))
            pen.marks((scale.at(spread.p95),), (middle,), "o", 5.5, _RARE)
        pen.words(end + 6, middle, ends[i], size=SMALL, bold=spread.mean > load.takt_s)
        pen.about = ""
        y += pitch
    return pen.figure


def _share_and_overruns(load: Load) -> str:
    """Return what stands behind a bar: the share of the takt, and how many of a hundred jobs overran."""
    share = f"{number(100 * load.spread.mean / load.takt_s, 0)} %"
    over = load.overruns.mean if load.overruns is not None else None
    return f"{share}, {number(over, 0 if over >= 1 else 1)} % over" if over else share


MOST_PEOPLE = 80  #: Of more people a drawing shows nothing that a table does not.
#: What a bar is made of, from the left: the states in it, and its paint.
BUSY: Mapping[str, tuple[tuple[str, ...], Paint]] = MappingProxyType(
    {
        "works": (("working",), TIMES["working"]),
        "walks": (("walking",), TIMES["walking"]),
        "helps or repairs": (("helping", "repairing"), TIMES["helping"]),
    }
)
_PITCH = 17


class OperatorPile(NamedTuple):
    """A place in a crew.

    Attributes:
        name: Its name, the crew's with a number.
        number: The number, counted from 1.
        busy: All that it is busy with, per finished job [s].
        parts: The same by `BUSY`.
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
                for states, _ in BUSY.values()
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
                                  *(f"{head}, s" for head in BUSY))],
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
        _SIMULATED,
        lambda width: _draw_operators(width, found),
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


def _draw_operators(width: int, found: tuple[Group, ...]) -> Drawing:
    is_wide = width > IS_WIDE
    left, top = 34.0, 26.0
    every = [one for group in found for one in group.operators]
    most = max(*(one.busy.high or one.busy.mean or 0.0 for one in every), *(group.takt_s for group in found))
    scale = Scale(0, most * 1.02, left, width - (60 if is_wide else 46), marks=5 if is_wide else 4)
    pen = Pen(width, top + len(every) * _PITCH + len(found) * 26 + 44)
    x = 0.0
    for k, (head, (_, paint)) in enumerate(BUSY.items()):
        if any(one.parts[k].mean for one in every):
            pen.box(x, 3, 12, 10, paint)
            pen.words(x + 17, 8, head, size=SMALL)
            x += room_for([head], SMALL) + 34
    pen.axis_below(scale, pen.height - 38, top, "busy seconds per finished job")
    y = top
    for group in found:
        says = f"{count_of(len(group.operators), 'person', 'people')}, takt {group.takt_s:g} s"
        room = min(room_for([group.crew], SMALL + 0.5, bold=True), 0.55 * width)
        pen.tint(0, y + 4, width, 20, "#ffffff")
        pen.words(0, y + 15, group.crew, bold=True, size=SMALL + 0.5, room=0.55 * width)
        pen.note(room + 8, y + 15, says, side="left")
        y += 26
        for one in group.operators:
            _bar(pen, scale, one, group.takt_s, y)
            y += _PITCH
    return pen.figure


def _bar(pen: Pen, scale: Scale, one: OperatorPile, takt_s: float, y: float) -> None:
    middle, end, takt = y + _PITCH / 2, scale.start, scale.at(takt_s)
    pen.words(scale.start - 7, middle, str(one.number), side="right", size=SMALL)
    pen.line((scale.start, scale.start), (y, y + _PITCH), colour=RULE, width=0.8)
    for part, (_, paint) in zip(one.parts, BUSY.values(), strict=True):
        long = scale.at(part.mean or 0.0) - scale.start
        if long >= 0.3:
            pen.box(end, middle - 5.5, long, 11, paint)
            end += long
    pen.stroke((takt, takt), (y, y + _PITCH))
    end = max(end, pen.interval(scale, one.busy, middle), takt)
    share = number(100 * (one.busy.mean or 0.0) / takt_s, 0)
    pen.words(end + 6, middle, f"{share} %", size=SMALL, bold=(one.busy.mean or 0.0) > takt_s)
