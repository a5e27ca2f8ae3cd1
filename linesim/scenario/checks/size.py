"""Whether a scenario is of a size that can be simulated; most often a slip of the pen says otherwise.

Every limit is far above any line that is built, and far below what would fill the memory or never end.
`limit_factor` in `[run]` raises them all, for whoever means it.
"""

from __future__ import annotations

from linesim.scenario.checks.checker import Checker
from linesim.scenario.origins import Path
from linesim.scenario.run import DAY_MIN, DAYS, minutes_of
from linesim.ticks import Duration

MOST_PEOPLE = 10_000  #: People of all crews.
MOST_STANDING = 20_000  #: Jobs that free stations can hold, or that stand on the line at the start.
MOST_PLACES = 10_000_000  #: Places of all buffers.
MOST_SHIFTS = 100_000  #: Shifts of a run, warm-up included: some 90 years of three a day.
MOST_TASKS = 1e10  #: Tasks of all replications: some days of computing.


def check_pace(checker: Checker) -> None:
    """Check that something takes time: else endless jobs would pass in one instant."""
    scenario = checker.scenario
    parts = ("section", "station", "buffer", "supply", "removal", "carrier", "feeder", "flow")
    if not scenario.section or not all(checker.is_whole(part) for part in parts):
        return
    ends = (scenario.supply, scenario.removal)
    if any(section.pacing != "free" for section in scenario.section.values()) or any(
        end.every is not None or end.at_s for end in ends
    ):
        return
    tasks = (task for station in scenario.station.values() for task in station.task.values())
    works = any(time.mean_s > 0 for task in tasks for time in (task.time, *task.time_for.values()))
    travels = any(buffer.capacity and buffer.travel.ticks for buffer in scenario.buffer.values())
    returns = any(carrier.returns.ticks for carrier in scenario.carrier.values())
    if not (works or travels or returns):
        checker.say(
            ("station",),
            "no-time",
            "no task, travel, supply or removal takes any time, so endless jobs would pass at once; "
            "give the tasks their times.",
        )


def check_size(checker: Checker) -> None:
    """Check that people, places, shifts and the work of all replications stay within their limits."""
    scenario = checker.scenario
    _limit(
        checker,
        ("crew",),
        sum(crew.people for crew in scenario.crew.values()),
        MOST_PEOPLE,
        "people in all crews",
    )
    _limit(checker, ("station",), _free_places(checker), MOST_STANDING, "places in free stations")
    _limit(
        checker,
        ("buffer",),
        sum(buffer.capacity for buffer in scenario.buffer.values()),
        MOST_PLACES,
        "places in all buffers",
    )
    if scenario.run.start == "full":
        standing = sum(
            (buffer.capacity + 1) // 2 if buffer.level is None else buffer.level
            for buffer in scenario.buffer.values()
        )
        _limit(checker, ("buffer",), standing, MOST_STANDING, "jobs in the buffers at the start")
    path: Path = ("run", "length")
    _limit(checker, path, _shifts(checker), MOST_SHIFTS, "shifts, warm-up included")
    _limit(checker, path, _tasks(checker), MOST_TASKS, "tasks in all replications")


def _limit(checker: Checker, path: Path, found: float, most: float, what: str) -> None:
    factor = checker.scenario.run.limit_factor
    if found > most * factor:
        checker.say(
            path,
            "too-much",
            f"this asks for {_number(found)} {what}, and the limit is {_number(most * factor)}; ask for "
            f"less, or raise all such limits with `limit_factor = {_next_power(found / most)}` in `[run]`.",
        )


def _number(value: float) -> str:
    return f"{value:,.0f}" if value < 1e12 else f"{value:.2g}"


def _next_power(ratio: float) -> int:
    factor = 10
    while factor < ratio:
        factor *= 10
    return factor


def _free_places(checker: Checker) -> int:
    return sum(station.places for station in checker.scenario.station.values() if station.places > 1)


def _span_s(checker: Checker) -> float:
    """Return warm-up and length [s]; shifts of a calendar are spread over its week."""
    run = checker.scenario.run
    return sum(_clock_s(checker, duration) for duration in (run.warm_up, run.length))


def _clock_s(checker: Checker, duration: Duration) -> float:
    per_week = _shifts_a_week(checker)
    if duration.unit == "shift" and per_week:
        return duration.amount / per_week * len(DAYS) * DAY_MIN * 60.0
    return duration.seconds


def _shifts_a_week(checker: Checker) -> int:
    scenario = checker.scenario
    calendar = scenario.calendar.get(scenario.run.calendar or "")
    if calendar is None:
        return 0
    return len(set(calendar.days)) * sum(minutes_of(text) is not None for text in calendar.shifts)


def _shifts(checker: Checker) -> float:
    per_week = _shifts_a_week(checker)
    if per_week:
        return _span_s(checker) / (len(DAYS) * DAY_MIN * 60.0) * per_week
    shift_s = checker.scenario.run.shift.seconds
    return _span_s(checker) / shift_s if shift_s > 0 else 0.0


def _tasks(checker: Checker) -> float:
    """Return how many tasks begin if every section keeps its takt; an empty station counts as one."""
    scenario = checker.scenario
    per_s = 0.0
    for section in scenario.section.values():
        takt_s = (section.takt or scenario.takt).seconds
        if takt_s > 0:
            tasks = sum(
                max(1, len(scenario.station[name].task))
                for name in section.stations
                if name in scenario.station
            )
            per_s += tasks / takt_s
    return per_s * _span_s(checker) * scenario.run.replications
