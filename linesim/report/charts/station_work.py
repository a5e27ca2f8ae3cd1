"""Work at each station against takt, over the mix."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.answers.values import Estimate
from linesim.answers.wording import count_of, listed, number
from linesim.capacity.loads import LoadSpread, station_spread
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.page_input import Told
from linesim.report.scale import Scale
from linesim.report.style import INK, MAIN, SMALL, SOFT, Paint
from linesim.report.table import PageCell, estimated, numeric, plain_number, rounded, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

METHOD = (
    "A work balance chart as used in standardised work (Y. Monden, Toyota Production System, 1983), turned "
    "to lie "
    "in line order; its whiskers over the mix follow the box-and-whisker idea of J. W. Tukey (1977)."
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
        METHOD,
        lambda width: _draw(width, loads, has_mix),
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


def _draw(width: int, loads: tuple[Load, ...], has_mix: bool) -> Drawing:
    is_wide = width > 500
    pitch = 21
    sections = [load.section for load in loads]
    headed = [i for i, name in enumerate(sections) if i == 0 or sections[i - 1] != name]
    left = min(room_for([load.station for load in loads]), 0.3 * width) + 10
    most = max(max(load.spread.high, load.takt_s) for load in loads)
    ends = [_share_and_overruns(load) for load in loads]
    right = width - room_for(ends, SMALL, bold=True) - 12
    scale = Scale(0, most * 1.02, left, right, marks=5 if is_wide else 4)
    pen = Pen(width, len(loads) * pitch + len(headed) * 24 + 44)
    foot = pen.height - 38
    pen.axis_below(scale, foot, 8, "seconds per job")
    y = 0.0
    for i, load in enumerate(loads):
        if i in headed:
            pen.words(0, y + 14, f"{load.section}, takt {load.takt_s:g} s", size=SMALL, colour=SOFT)
            y += 24
        middle = y + pitch / 2
        pen.about = load.station
        pen.words(left - 7, middle, load.station, side="right", room=left - 7)
        pen.box(scale.start, middle - 6.5, scale.at(load.spread.mean) - scale.start, 13, MAIN)
        takt = scale.at(load.takt_s)
        pen.line((takt, takt), (middle - pitch / 2, middle + pitch / 2), colour="#ffffff", width=4)
        pen.line((takt, takt), (middle - pitch / 2, middle + pitch / 2), width=2.2)
        end = max(scale.at(load.spread.mean), takt)
        if has_mix and load.spread.high > load.spread.low:
            pen.whisker(scale.at(load.spread.low), scale.at(load.spread.high), middle)
            pen.marks((scale.at(load.spread.p95),), (middle,), "o", 5.5, _RARE)
            end = max(end, scale.at(load.spread.high))
        pen.words(end + 6, middle, ends[i], size=SMALL, bold=load.spread.mean > load.takt_s)
        pen.about = ""
        y += pitch
    return pen.figure


def _share_and_overruns(load: Load) -> str:
    """Return what stands behind a bar: the share of the takt, and how many of a hundred jobs overran."""
    share = f"{number(100 * load.spread.mean / load.takt_s, 0)} %"
    over = load.overruns.mean if load.overruns is not None else None
    return f"{share}, {number(over, 0 if over >= 1 else 1)} % over" if over else share
