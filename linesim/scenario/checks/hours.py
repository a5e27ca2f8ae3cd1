"""Whether working time adds up, what is paid for, and a run of a size that can be simulated.

Every limit is far above any line that is built, and far below what would fill the memory or never end.
`limit_factor` in `[run]` raises them all, for whoever means it.
"""

from __future__ import annotations

from collections.abc import Iterable

from linesim.scenario.checks.checker import Checker
from linesim.scenario.origins import Path
from linesim.scenario.problems import has, shown
from linesim.scenario.run import DAY_MIN, DAYS, WEEK_MIN, Calendar, minutes_of
from linesim.ticks import Duration

Span = tuple[int, int]


def check_calendars(checker: Checker) -> None:
    """Check that shifts do not overlap and that breaks lie inside them."""
    for name, calendar in checker.scenario.calendar.items():
        path: Path = ("calendar", name)
        for number, day in enumerate(calendar.days):
            if day in calendar.days[:number]:
                checker.say((*path, "days", number), "name-twice", f"{shown(day)} is named twice; keep one.")
        shifts = [span for text in calendar.shifts if (span := minutes_of(text))]
        for number, text in enumerate(calendar.shifts):
            if any(
                _meet(calendar, shifts[number], other, number == at)
                for at, other in enumerate(shifts[: number + 1])
            ):
                checker.say(
                    (*path, "shifts", number),
                    "shifts-overlap",
                    f"the shift {shown(text)} overlaps another one; move it.",
                )
        breaks: list[Span] = []
        for number, text in enumerate(calendar.breaks):
            if not (span := minutes_of(text)):
                continue
            here = (*path, "breaks", number)
            if not any(_inside(span, shift) for shift in shifts):
                checker.say(
                    here, "break-outside", f"the break {shown(text)} lies inside no shift; move it into one."
                )
            elif any(_overlap(span, (other[0] + day, other[1] + day)) for other in breaks for day in _AROUND):
                checker.say(
                    here, "shifts-overlap", f"the break {shown(text)} overlaps another one; join them."
                )
            breaks.append(span)
        if sum(end - begin for begin, end in breaks) >= sum(end - begin for begin, end in shifts):
            checker.say((*path, "breaks"), "break-outside", "the breaks leave no working time; shorten them.")


def check_prices(checker: Checker) -> None:
    """Check that whatever has a price of its own is there."""
    scenario = checker.scenario
    known = [*scenario.robot, *scenario.tool, *scenario.buffer]
    for name in scenario.cost.equipment:
        if name not in known and all(checker.is_whole(kind) for kind in ("robot", "tool", "buffer")):
            there = has(known, name, "robot, tool or buffer")
            checker.say(
                ("cost", "equipment", name),
                "unknown-equipment",
                f"{shown(name)} is no robot, tool or buffer of this scenario; {there}.",
            )


_AROUND = (-DAY_MIN, 0, DAY_MIN)


def _overlap(one: Span, two: Span) -> bool:
    return one[0] < two[1] and two[0] < one[1]


def _inside(part: Span, whole: Span) -> bool:
    return any(whole[0] <= part[0] + day and part[1] + day <= whole[1] for day in _AROUND)


def _on_days(calendar: Calendar, span: Span) -> Iterable[Span]:
    """Yield the spans of a week in minutes from its beginning."""
    for day in dict.fromkeys(calendar.days):
        begin = DAYS.index(day) * DAY_MIN
        yield begin + span[0], begin + span[1]


def _meet(calendar: Calendar, one: Span, two: Span, is_same: bool) -> bool:
    """Return whether two shifts overlap on some day of a week that repeats."""
    for first in _on_days(calendar, one):
        for second in _on_days(calendar, two):
            for week in (-WEEK_MIN, 0, WEEK_MIN):
                moved = (second[0] + week, second[1] + week)
                if _overlap(first, moved) and not (is_same and moved == first):
                    return True
    return False


def check_run(checker: Checker) -> None:
    """Check that there is something to run, and that calendars that are followed exist."""
    scenario = checker.scenario
    run = scenario.run
    for key in ("length", "shift"):
        if getattr(run, key).ticks == 0:
            checker.say(("run", key), "out-of-range", f'found "{getattr(run, key)}"; write more than 0.')
    if run.shift.unit == "shift":
        checker.say(("run", "shift"), "bad-time", 'the length of a shift is written in hours, such as "8 h".')
    if run.calendar is not None:
        checker.expect(("run", "calendar"), run.calendar, "calendar")
    for kind in ("section", "robot"):
        for name, thing in getattr(scenario, kind).items():
            if thing.calendar is not None:
                checker.expect((kind, name, "calendar"), thing.calendar, "calendar")


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
