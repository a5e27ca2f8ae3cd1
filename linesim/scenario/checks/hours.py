"""Whether working time adds up (calendars, breaks, the run itself), and what is paid for."""

from __future__ import annotations

from collections.abc import Iterable

from linesim.scenario.checks.checker import Checker
from linesim.scenario.origins import Path
from linesim.scenario.problems import has, shown
from linesim.scenario.run import DAY_MIN, DAYS, WEEK_MIN, Calendar, minutes_of

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
