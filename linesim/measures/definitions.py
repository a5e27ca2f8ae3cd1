"""One figure of one replication, and what each measure means: a sentence that stands beside the figure."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

SEGMENT = "segment"  #: ``where`` of figures that speak of the whole piece of line


class Value(NamedTuple):
    """One figure of one replication.

    Attributes:
        measure: What is measured; `linesim.measures.DEFINITIONS` says it in a sentence.
        where: Section, station, crew … that it speaks of, or ``segment``.
        cause: Cause or state that it is booked to; empty where there is none.
        unit: Unit of ``value``.
        value: The figure; None where the replication gives none (a share of no jobs).
    """

    measure: str
    where: str
    cause: str
    unit: str
    value: float | None


def share(part: float, whole: float) -> float | None:
    """Return ``part / whole``, or None where there is no whole to speak of.

    Examples:
        >>> share(1, 4), share(1, 0)
        (0.25, None)
    """
    return float(part) / float(whole) if whole else None


class Definition(NamedTuple):
    """What a measure means.

    Attributes:
        unit: Unit of its values, as in the table of measures.
        where: What its rows stand for.
        says: One sentence; complete without the table.
    """

    unit: str
    where: str
    says: str


ON_CLOCK = "_clock"  #: Ends the names of measures that count nights and breaks too.
_CLOCK = "on the clock, nights and breaks included"
_NEXT = "the hours of the section after it"

#: Every measure that a row can carry, in the order of the table.
DEFINITIONS: Mapping[str, Definition] = MappingProxyType(
    {
        "throughput": Definition(
            "jobs/h", "segment", "Finished jobs per hour of working time, stops included."
        ),
        "jobs_per_shift": Definition("jobs", "segment", "Finished jobs in a whole shift, on average."),
        "jobs_per_shift_p10": Definition(
            "jobs",
            "segment",
            "One single shift in ten makes fewer jobs than this (10th percentile over shifts).",
        ),
        "jobs_per_shift_p90": Definition(
            "jobs",
            "segment",
            "One single shift in ten makes more jobs than this (90th percentile over shifts).",
        ),
        "jobs_per_day": Definition(
            "jobs",
            "segment",
            "Finished jobs in a working day: those of a whole shift times the shifts of a day of the run's "
            "calendar.",
        ),
        "jobs_per_week": Definition(
            "jobs",
            "segment",
            "Finished jobs in a week: those of a whole shift times the shifts of a week, to compare shift "
            "models.",
        ),
        "plan_met": Definition(
            "share", "segment", "Share of whole shifts that make at least the planned jobs."
        ),
        "net_money": Definition(
            "money/shift",
            "segment",
            "Jobs of a whole shift at their margin, less own stops, people and equipment at their prices, in "
            "the scenario's money; the rows with a cause are these parts. A study counts the stops of a case "
            "only as far as their section stands longer or shorter than on the line it is compared with.",
        ),
        "net_money_per_week": Definition(
            "money/week",
            "segment",
            "Net money of a shift times the shifts of a week, premiums included, to compare shift models.",
        ),
        "line_stop": Definition(
            "min/shift",
            "section, station",
            "Time in which the section should run by its calendar and stands, booked once, to the place and "
            "cause that began the stop; the row without a cause is the section's total.",
        ),
        "line_stops": Definition(
            "1/shift",
            "section",
            "How often the section comes to a stand; one stop until it runs again or its working time ends. "
            "What still stands when working time begins again is a stop anew.",
        ),
        "stop_turns": Definition(
            "1/shift",
            "section, station",
            "How often this place and cause begin a stop or take one over: one that is handed from place to "
            "place or cause to cause is a turn of each, so turns may add up to more than `line_stops`.",
        ),
        "availability": Definition(
            "share", "section", "Time in which the section runs, as a share of the time in which it should."
        ),
        "own_stop": Definition(
            "min/shift",
            "segment, section, station",
            "Minutes of the stops that begin on the line itself, without what a section only passes on "
            "because there is no room ahead or no job comes: one event counts once.",
        ),
        "station_state": Definition(
            "share", "station", "Time the station is in this state, as a share of its working hours."
        ),
        "overruns": Definition(
            "1/100 jobs", "station", "Jobs that reached the station's limit with work open."
        ),
        "overload": Definition(
            "s/job", "station", "Work left when a job reached the station's limit, averaged over all jobs."
        ),
        "unfinished": Definition(
            "1/100 jobs", "station", "Jobs that went on from the station with open work."
        ),
        "calls": Definition("1/100 jobs", "station", "Calls for help that the station made."),
        "calls_answered": Definition("share", "station", "Share of the station's calls that help reached."),
        "calls_stopped": Definition(
            "share", "station", "Share of the station's calls that became a line stop."
        ),
        "call_response": Definition(
            "s", "station", "Time from call to help, over the calls that help reached."
        ),
        "call_within": Definition(
            "share", "station", "Share of the station's calls that help reached within this time (the cause)."
        ),
        "crew_busy": Definition(
            "share",
            "crew",
            "Time in which the crew's people work, walk, help or repair, as a share of their duty.",
        ),
        "operator_state": Definition(
            "share", "crew", "Time the crew's people are in this state, as a share of their duty."
        ),
        "operator_load": Definition(
            "s/job",
            "operator",
            "Time that this place in the crew spends in this state, per finished job: what stands against "
            "the takt. Of several who are free the first by number goes, so the numbers are no persons.",
        ),
        "robot_state": Definition(
            "share", "robot", "Time the robot is in this state, as a share of its working hours."
        ),
        "tool_busy": Definition(
            "share",
            "tool",
            "Time in which a piece of this tool is taken, as a share of the hours of sections that use it.",
        ),
        "tool_busy_clock": Definition(
            "share", "tool", f"Time in which a piece of this tool is taken, {_CLOCK}."
        ),
        "carrier_busy": Definition(
            "share",
            "carrier",
            "Time in which a carrier is with a job or on its way back, as a share of the hours of the "
            "section where jobs board it.",
        ),
        "carrier_busy_clock": Definition(
            "share", "carrier", f"Time in which a carrier is with a job or on its way back, {_CLOCK}."
        ),
        "carrier_short": Definition(
            "share",
            "carrier",
            "Working time in which the place where jobs board is empty because none is free, as a share.",
        ),
        "buffer_level": Definition("jobs", "buffer", f"Jobs in the buffer, averaged over {_NEXT}."),
        "buffer_full": Definition(
            "share", "buffer", f"Time in which the buffer has no place left, as a share of {_NEXT}."
        ),
        "buffer_empty": Definition(
            "share", "buffer", f"Time in which the buffer holds no job, as a share of {_NEXT}."
        ),
        "buffer_at": Definition(
            "share", "buffer", f"Time in which the buffer holds this many jobs, as a share of {_NEXT}."
        ),
        "buffer_level_clock": Definition(
            "jobs", "buffer", f"Jobs in the buffer, averaged over time {_CLOCK}."
        ),
        "buffer_full_clock": Definition(
            "share", "buffer", f"Time in which the buffer has no place left, {_CLOCK}."
        ),
        "buffer_empty_clock": Definition(
            "share", "buffer", f"Time in which the buffer holds no job, {_CLOCK}."
        ),
        "lead_time": Definition(
            "min",
            "segment",
            "Working time from line-on to line-off of a finished job: what it spends in a section, buffer "
            "or bay counts while that place works.",
        ),
        "lead_time_clock": Definition(
            "min", "segment", f"Time from line-on to line-off of a finished job, {_CLOCK}."
        ),
        "in_progress": Definition("jobs", "segment", "Jobs inside the segment, averaged over working time."),
        "in_progress_clock": Definition(
            "jobs", "segment", f"Jobs inside the segment, averaged over time {_CLOCK}."
        ),
        "out_of_sequence": Definition(
            "share", "segment", "Share of finished jobs that a later one overtook."
        ),
        "first_time_through": Definition(
            "share",
            "segment",
            "Share of finished jobs with no fault found and nothing redone, repaired or left open.",
        ),
        "reworked": Definition(
            "share", "segment, bay", "Share of finished jobs that a bay or a later station put right."
        ),
        "scrapped": Definition("share", "segment", "Share of jobs that were given up."),
        "escaped": Definition(
            "share",
            "segment",
            "Share of finished jobs that left with a fault, found or not, or with open work.",
        ),
        "bay_visits": Definition("1/shift", "bay", "Jobs put through the bay, each visit counted."),
        "bay_good": Definition("share", "bay", "Share of visits that put everything right."),
        "bay_waiting": Definition(
            "jobs", "bay", "Jobs that wait at the bay, averaged over the hours in which its people are on."
        ),
        "bay_waiting_clock": Definition(
            "jobs", "bay", f"Jobs that wait at the bay, averaged over time {_CLOCK}."
        ),
        "bay_working": Definition(
            "jobs", "bay", "Jobs in work in the bay, averaged over the hours in which its people are on."
        ),
        "bay_working_clock": Definition(
            "jobs", "bay", f"Jobs in work in the bay, averaged over time {_CLOCK}."
        ),
        "bay_by_hour": Definition(
            "jobs",
            "bay",
            "Jobs in the bay in this hour of a shift (the cause), averaged over whole shifts: those that "
            "wait, are in work, or are done and not yet gone on.",
        ),
        "bay_hold": Definition(
            "min/shift", "bay", "Working time in which the full bay held up the end of its section."
        ),
        "bay_carried_on": Definition("1/100 jobs", "bay", "Jobs that passed the bay by because it was full."),
        "faults_made": Definition("1/100 jobs", "fault", "Faults that the task left."),
        "faults_found": Definition(
            "1/100 jobs",
            "fault",
            "Faults of the task that were found; one found again after a repair in vain counts again.",
        ),
        "faults_escaped": Definition(
            "1/100 jobs", "fault", "Faults of the task that left the segment with a job, never found."
        ),
        "faults_not_put_right": Definition(
            "1/100 jobs",
            "fault",
            "Faults of the task that were found and left the segment with a job all the same: past a full "
            "bay, after a repair in vain, or because nobody could do it any more.",
        ),
        "fault_grid": Definition(
            "1/100 jobs",
            "station",
            "Faults by the station that made them (where) and the place that found them.",
        ),
        "units_started": Definition("units/h", "feeder", "Units that came onto the feeder."),
        "units_merged": Definition(
            "units/h", "feeder", "Units of the feeder that joined a job of the main line."
        ),
    }
)

#: Words that people on a paced line tell apart, for the foot of a page.
GLOSSARY: Mapping[str, str] = MappingProxyType(
    {
        "takt": "planned time between two jobs leaving a section: what is asked for",
        "pitch time": "time in which the running conveyor carries a job one place on: the speed",
        "cycle": "time that the work on a job takes at a station: what it needs",
        "gross jobs per hour": "one job per takt, as if nothing ever stood",
        "net jobs per hour": "jobs that really came out per hour of working time",
        "working": "a task is in progress",
        "waiting": "a job is there with open work, and what the work needs is not",
        "down": "robot or conveyor is failed and nothing is in progress",
        "spare": "the job is finished before the mark",
        "stopped": "ready, but the section is held by another place",
        "blocked": "ready, but what follows has no room",
        "starved": "no job, though the section could bring one",
    }
)
