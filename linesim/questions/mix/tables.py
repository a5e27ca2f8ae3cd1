"""The tables of a mix."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from linesim.capacity.loads import Loads
from linesim.capacity.mix_loads import LoadSpread, crew_spread, station_spread
from linesim.plan.plan import Plan
from linesim.questions.answer_table import AnswerTable
from linesim.questions.csv_tables import Cell
from linesim.questions.mix.books import Rule
from linesim.questions.mix.drivers import Driver
from linesim.questions.mix.figures import labels, output, overload, own_stops
from linesim.questions.varying import Factor
from linesim.questions.verdicts import verdict
from linesim.runs.cases import Case, CaseRuns
from linesim.runs.rows import Row, change_row, row_of
from linesim.stats import joint_confidence

Gain = tuple[Rule, Row, Row]  #: A rule, the jobs it gives back, and the overload it takes away.


class MixLevel(NamedTuple):
    """One mix.

    Attributes:
        case: Its name.
        value: What the varied input is set to, as text; empty for the line as it is and the new mix.
        output, stops, overload: Jobs a shift, minutes of stops that begin on the line itself, and seconds of
            work left at the limits per job, all stations together.
        more_output, more_stops, more_overload: The same minus the line as it is; None for that line.
        plan_met: Share of shifts that make the plan; None without one.
    """

    case: str
    value: str
    output: Row
    stops: Row
    overload: Row
    more_output: Row | None
    more_stops: Row | None
    more_overload: Row | None
    plan_met: float | None


def levels_of(
    runs: CaseRuns, values: Mapping[str, str], confidence: float, target: float | None
) -> tuple[MixLevel, ...]:
    """Return each mix by itself, and against the first, kind by kind holding together.

    Args:
        runs: The replications.
        values: For each mix what the varied input is set to.
        confidence: Of all mixes together.
        target: Jobs per shift that the plan asks for.
    """
    named, base = labels(runs), next(iter(values))
    alone, count = joint_confidence(confidence, len(values)), max(1, len(values) - 1)
    found = []
    for name, value in values.items():
        kinds = (("output", output), ("stops", own_stops), ("overload", overload))
        made, stops, left = (row_of(named[kind], of(runs, name).tolist(), alone) for kind, of in kinds)
        more: list[Row | None] = [None, None, None]
        if name != base:
            more = [
                change_row(named[kind], of(runs, name), of(runs, base), confidence, count)
                for kind, of in kinds
            ]
        met = _met(runs, name, target)
        found.append(MixLevel(name, value, made, stops, left, more[0], more[1], more[2], met))
    return tuple(found)


def _met(runs: CaseRuns, name: str, target: float | None) -> float | None:
    """Return the share of whole shifts that make a target."""
    shifts = [shift.jobs for replication in runs.found[name].finished for shift in replication.shifts]
    return sum(jobs >= target for jobs in shifts) / len(shifts) if shifts and target is not None else None


def spacing_gains(
    runs: CaseRuns, focus: str, tried: Sequence[tuple[Rule, Case]], confidence: float
) -> tuple[Gain, ...]:
    """Return what each rule gives back against the line without it."""
    named, count = labels(runs), max(1, len(tried))
    return tuple(
        (
            rule,
            change_row(named["output"], output(runs, case.name), output(runs, focus), confidence, count),
            change_row(
                named["overload"], overload(runs, focus), overload(runs, case.name), confidence, count
            ),
        )
        for rule, case in tried
    )


def levels_table(
    levels: Sequence[MixLevel], built: Mapping[str, Mapping[str, float]], factor: Factor | None
) -> AnswerTable:
    """Return output, stops and overload of each mix, one row a mix and figure."""
    rows: list[tuple[Cell, ...]] = []
    for level in levels:
        share = _share_built(built[level.case], factor)
        for row, more in (
            (level.output, level.more_output),
            (level.stops, level.more_stops),
            (level.overload, level.more_overload),
        ):
            against = (None, None, None, "") if more is None else (*more[4:7], verdict(more))
            rows.append((level.case, level.value or None, share, *row, *against, level.plan_met))
    columns = (
        "case", "value", "built_share", *Row._fields, "difference", "difference_low", "difference_high",
        "verdict", "plan_met_share",
    )  # fmt: skip
    return AnswerTable.of("mixes", columns, rows, "Each mix by itself, and minus the line as it is.")


def _share_built(built: Mapping[str, float], factor: Factor | None) -> float | None:
    """Return the share of jobs that have what is varied, which packages and needs can make larger."""
    if factor is None or len(factor.path) < 3 or factor.path[0] not in ("option", "model"):
        return None
    return built.get(factor.path[1])


def drivers_table(costs: Sequence[Driver]) -> AnswerTable:
    """Return what each option costs, one row an option and figure."""
    rows: list[tuple[Cell, ...]] = []
    for driver in costs:
        kinds = (("all", driver.overload), ("own", driver.own_overload), ("all", driver.output),
                 ("own", driver.own_output), ("all", driver.stops))  # fmt: skip
        for part, row in kinds:
            each = driver.overload_each if row is driver.overload and part == "all" else None
            rows.append(
                (driver.option, ";".join(driver.others), driver.share, part, *row, each, verdict(row))
            )
    columns = ("option", "goes_with", "built_share", "part", *Row._fields, "per_job_with_it_s", "verdict")
    return AnswerTable.of(
        "drivers", columns, rows,
        "What each option costs: overload and stops with it minus without, jobs without it minus with; part "
        "own: what remains once the options that need it are gone.",
    )  # fmt: skip


def grid_table(costs: Sequence[Driver]) -> AnswerTable:
    """Return the overload that each option brings at each station."""
    rows = [
        (
            driver.option,
            row.where,
            *row[4:],
            row.mean / driver.share if row.mean is not None else None,
            verdict(row),
        )
        for driver in costs
        for row in driver.by_station
    ]
    columns = ("option", "station", *Row._fields[4:], "per_job_with_it_s", "verdict")
    return AnswerTable.of(
        "overload",
        columns,
        rows,
        "Seconds of work left at the limit per job that an option brings, by station.",
    )


def spacing_table(gains: Sequence[Gain], focus: str, runs: CaseRuns) -> AnswerTable:
    """Return what spacing rules give back."""
    rows = [
        (str(rule), rule.of, rule.at_most, rule.in_any, *row, verdict(row))
        for rule, *both in gains
        for row in both
    ]
    columns = ("rule", "of", "at_most", "in_any", *Row._fields, "verdict")
    return AnswerTable.of("spacing", columns, rows, f"What a rule gives back in {focus!r}.")


def built_table(built: Mapping[str, Mapping[str, float]]) -> AnswerTable:
    """Return the share of jobs of each model and with each option."""
    rows = [(case, name, share) for case, found in built.items() for name, share in found.items()]
    return AnswerTable.of(
        "built", ("case", "name", "share"), rows, "What is built, packages and needs included."
    )


def loads_table(base: Plan, focus: Plan) -> AnswerTable:
    """Return the load of each station and crew, as it is and in the mix taken apart."""
    before, after = Loads(base), Loads(focus)
    rows: list[tuple[Cell, ...]] = []
    for s, load in enumerate(after.stations):
        rows.append(
            _load("station", load.station, load.takt_s, station_spread(before, s), station_spread(after, s))
        )
    for c, crew in enumerate(after.crews):
        then, now = crew_spread(before, c), crew_spread(after, c)
        if then is not None and now is not None:
            rows.append(_load("crew", crew.name, crew.takt_s, then, now))
    columns = (
        "kind", "name", "as_it_is_share", "load_share", "p95_share", "heaviest_share", "heaviest",
        "over_takt_share",
    )  # fmt: skip
    return AnswerTable.of(
        "loads",
        columns,
        rows,
        "Work per job as a share of the takt, by mean times: the shortest time at a station, the work per "
        "person of a crew; on average, for nineteen jobs in twenty, for the heaviest, and the share of jobs "
        "above the takt.",
    )


def _load(kind: str, name: str, takt_s: float, then: LoadSpread, now: LoadSpread) -> tuple[Cell, ...]:
    shares = (then.mean / takt_s, now.mean / takt_s, now.p95 / takt_s, now.high / takt_s)
    return kind, name, *shares, now.heaviest, now.over
