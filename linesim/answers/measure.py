"""The measure that a question goes by, and how it is spoken of."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from linesim.errors import WrongQuestionError
from linesim.measures import SEGMENT
from linesim.measures.definitions import DEFINITIONS

#: More of it, less of it, and what follows in a sentence; ``{}`` is where it is measured.
_WORDS = MappingProxyType(
    {
        "throughput": ("more", "fewer", "jobs an hour"),
        "jobs_per_shift": ("more", "fewer", "jobs a shift"),
        "jobs_per_day": ("more", "fewer", "jobs a day"),
        "jobs_per_week": ("more", "fewer", "jobs a week"),
        "plan_met": ("points more", "points fewer", "of the shifts make the plan"),
        "net_money": ("more", "less", "net money a shift"),
        "net_money_per_week": ("more", "less", "net money a week"),
        "line_stop": ("more", "fewer", "minutes of stop a shift at {}"),
        "line_stops": ("more", "fewer", "stops a shift of {}"),
        "stop_turns": ("more", "fewer", "stops a shift begun or taken over at {}"),
        "own_stop": ("more", "fewer", "minutes of stop a shift that begin on {}"),
        "availability": ("points more", "points fewer", "of its hours in which {} runs"),
        "overload": ("more", "fewer", "seconds over the limit per job at {}"),
        "lead_time": ("working minutes longer", "working minutes shorter", "from line-on to line-off"),
        "lead_time_clock": (
            "minutes longer",
            "minutes shorter",
            "from line-on to line-off, nights and breaks included",
        ),
        "in_progress": ("more", "fewer", "jobs inside"),
        "first_time_through": ("points more", "points fewer", "of the jobs right first time"),
        "crew_busy": ("points more", "points fewer", "of the time in which {} is busy"),
    }
)
#: What the line of a table is called.
_LABELS = MappingProxyType(
    {
        "throughput": "net jobs an hour",
        "jobs_per_shift": "jobs a shift",
        "jobs_per_day": "jobs a day",
        "jobs_per_week": "jobs a week",
        "plan_met": "plan made, % of shifts",
        "jobs_per_shift_p10": "one shift in ten makes fewer, jobs",
        "jobs_per_shift_p90": "one shift in ten makes more, jobs",
        "net_money": "net money a shift",
        "net_money_per_week": "net money a week",
        "line_stop": "stops {}, min/shift",
        "own_stop": "own stops of {}, min/shift",
        "lead_time": "lead time, min",
        "lead_time_clock": "lead time on the clock, min",
        "in_progress": "jobs inside",
        "first_time_through": "right first time, %",
    }
)
#: Measures of which less is better; of the others more is.
_LESS_IS_BETTER = frozenset(
    {
        "line_stop", "line_stops", "stop_turns", "own_stop", "overruns", "overload", "unfinished", "calls",
        "calls_stopped", "call_response", "lead_time", "lead_time_clock", "in_progress", "in_progress_clock",
        "out_of_sequence", "reworked", "scrapped", "escaped", "bay_visits", "bay_waiting",
        "bay_waiting_clock", "bay_hold", "bay_carried_on", "faults_made", "faults_escaped",
        "faults_not_put_right",
    }
)  # fmt: skip


class Measure(NamedTuple):
    """A measure by name: one row of the table of measures.

    Attributes:
        measure, where, cause: As in the table.
    """

    measure: str
    where: str = SEGMENT
    cause: str = ""

    def __str__(self) -> str:
        parts = [self.measure]
        if self.where != SEGMENT or self.cause:
            parts.append(self.where)
        if self.cause:
            parts.append(self.cause)
        return ":".join(parts)

    @property
    def is_share(self) -> bool:
        """Whether it is a share, shown in percent."""
        return DEFINITIONS[self.measure].unit == "share"

    @property
    def scale(self) -> float:
        """Factor from the table to the page: shares are shown in percent."""
        return 100.0 if self.is_share else 1.0

    @property
    def more_is_better(self) -> bool:
        """Whether one wants more of it."""
        return self.measure not in _LESS_IS_BETTER

    @property
    def sign(self) -> int:
        """1 if more of it is better, -1 if less is."""
        return 1 if self.more_is_better else -1

    def currency(self, unit: str) -> str:
        """Return the word or sign of the money that its unit names; empty if it is no money."""
        if not self.measure.startswith("net_money"):
            return ""
        return unit.removesuffix("/shift").removesuffix("/week")

    @property
    def label(self) -> str:
        """What the line of a table is called."""
        where = f"{self.where}, {self.cause}" if self.cause else self.where
        if self.measure in _LABELS:
            return _LABELS[self.measure].format(self._whole(where)) + self._part
        name = self.measure.replace("_", " ")
        if self.measure not in DEFINITIONS:  # a figure that only one question knows
            return name if self.where == SEGMENT else f"{name} {where}"
        return f"{name} {where}, {'%' if self.is_share else DEFINITIONS[self.measure].unit}"

    @property
    def _part(self) -> str:
        """What of the whole line's figure it is, such as the jobs of net money; empty if it is all of it."""
        return f", {self.cause} alone" if self.cause and self.where == SEGMENT else ""

    def _whole(self, where: str) -> str:
        return "the line" if self.where == SEGMENT else where

    def words(self) -> tuple[str, str, str]:
        """Return how more of it and less of it are said, and what follows."""
        where = f"{self.where} ({self.cause})" if self.cause else self.where
        if self.measure in _WORDS:
            more, less, rest = _WORDS[self.measure]
            return more, less, rest.format(self._whole(where)) + self._part
        unit = "points" if self.is_share else DEFINITIONS[self.measure].unit
        return f"{unit} more", f"{unit} less", f"{self.measure} at {where}"

    def amount(self, value: float) -> str:
        """Return so much of it in words.

        Examples:
            >>> Measure("jobs_per_shift").amount(1), Measure("jobs_per_shift").amount(0.1)
            ('1 job a shift', '0.1 jobs a shift')
        """
        rest = self.words()[2]
        first, _, more = rest.partition(" ")
        return f"{value:g} {first.removesuffix('s')} {more}" if value == 1 else f"{value:g} {rest}"


#: What a planner reads first.
OUTPUT = Measure("jobs_per_shift")
RATE = Measure("throughput")


def measure_named(text: str) -> Measure:
    """Return the measure that a text names: ``measure``, ``measure:where`` or ``measure:where:cause``.

    Raises:
        WrongQuestionError: If there is no such measure.

    Examples:
        >>> measure_named("line_stop:trim")
        Measure(measure='line_stop', where='trim', cause='')
    """
    measure, _, rest = text.partition(":")
    where, _, cause = rest.partition(":")
    if measure not in DEFINITIONS or text.endswith(":"):
        from difflib import get_close_matches

        near = get_close_matches(measure, DEFINITIONS, n=3) or list(DEFINITIONS)[:8]
        raise WrongQuestionError(
            f"{text!r} names no measure; write one such as {', '.join(near)}, with :where and :cause where "
            "it has them (line_stop:trim)."
        )
    return Measure(measure, where or SEGMENT, cause)
