"""What stands on the line and what its words are, as a page needs it beside what happens there."""

from __future__ import annotations

from typing import Any

from linesim.measures.places import station_state_words
from linesim.plan.plan import Plan
from linesim.plan.tables import BUFFER, NONE, SECTION
from linesim.plan.words import HANDED_ON, OPERATOR_STATES, STATION_STATES
from linesim.questions.run.sentences import cause_in_words
from linesim.report.page_input import pacing_in_words
from linesim.report.replay.record import Places

MOST_CHIPS = 4  #: People shown below a station; further ones are counted.

#: How a state of a station is filled (see `linesim.report.replay.page`), and its word where room is short.
_STATION_PAINT = ("working", *["waiting"] * 5, "down", "spare", "stopped", "blocked", "starved", "off")
_SHORT = tuple(
    word.replace("waiting: earlier work", "waits: earlier").replace("waiting:", "waits:")
    for word in STATION_STATES
)
_CHIPS = ("works", "walks", "helps", "works", *["waits"] * 6)


def line_of(plan: Plan) -> dict[str, Any]:
    """Return the line and its names, as plain lists and dictionaries of numbers and text."""
    names, places = plan.names, Places(plan)
    states = station_state_words(plan)
    extra = len(states) - len(STATION_STATES)
    kinds = {SECTION: 0, BUFFER: 2}  # as the page counts places
    joined = (NONE, *plan.feeders.joins.tolist())
    flows = zip(("", *names.feeder), joined, (plan.flow, *plan.feeders.flows), strict=True)
    return {
        "sections": [_section(plan, s, places.section[s]) for s in range(len(names.section))],
        "stations": [_station(plan, k) for k in range(len(names.station))],
        "buffers": [
            {"name": name, "capacity": int(plan.buffers.capacity[b]), "flow": places.buffer[b]}
            for b, name in enumerate(names.buffer)
        ],
        "bays": [
            {
                "name": name,
                "section": int(plan.bays.section[y]),
                "waiting": int(plan.bays.waiting[y]),
                "places": int(plan.bays.places[y]),
                "crews": plan.bays.crews[y].tolist(),
            }
            for y, name in enumerate(names.bay)
        ],
        "flows": [
            {
                "name": name,
                "joins": joins,
                "elements": [
                    [kinds[kind], i] for kind, i in zip(flow.kind.tolist(), flow.index.tolist(), strict=True)
                ],
            }
            for name, joins, flow in flows
        ],
        "operators": names.operator,
        "crew_of": [c for c, people in enumerate(plan.crews.people.tolist()) for _ in range(people)],
        "tasks": [_task(plan, t) for t in range(len(names.task))],
        "faults": names.fault,
        "modes": [_mode_words(name) for name in names.mode],
        "calendars": names.calendar,
        "causes": [
            {
                "words": cause_in_words(cause),
                "of_section": cause_in_words(cause, of_section=True),
                "passed_on": cause in HANDED_ON,
            }
            for cause in names.cause
        ],
        "station_states": [
            {"paint": paint, "word": short, "long": word}
            for paint, short, word in zip(
                (*_STATION_PAINT, *["waiting"] * extra),
                (*_SHORT, *(word.replace("waiting:", "waits:") for word in states[len(STATION_STATES) :])),
                states,
                strict=True,
            )
        ],
        "operator_states": [
            {"word": word, "chip": chip} for word, chip in zip(OPERATOR_STATES, _CHIPS, strict=True)
        ],
    }


def _section(plan: Plan, s: int, flow: int) -> dict[str, Any]:
    stations = plan.sections.stations[s].tolist()
    crews = plan.crews.people.tolist()
    covering = [
        sum(crews[c] for c in (*plan.stations.crews[k].tolist(), *plan.stations.floaters[k].tolist()))
        for k in stations
    ]
    return {
        "name": plan.names.section[s],
        "flow": flow,
        "stations": stations,
        "takt": int(plan.sections.takt[s]),
        "told": pacing_in_words(plan, s),
        "chips": min(MOST_CHIPS, max(covering, default=0)),
    }


def _station(plan: Plan, k: int) -> dict[str, Any]:
    stations = plan.stations
    section = int(stations.section[k])
    takt = int(plan.sections.takt[section])
    return {
        "name": plan.names.station[k],
        "section": section,
        "position": int(stations.position[k]),
        "places": int(stations.places[k]),
        "early": int(stations.early[k]) / takt,
        "late": int(stations.late[k]) / takt,
    }


def _task(plan: Plan, t: int) -> dict[str, Any]:
    station = int(plan.tasks.station[t])
    return {
        "name": plan.names.task[t].removeprefix(f"{plan.names.station[station]}."),
        "station": station,
        "robots": [plan.names.robot[r] for r in plan.tasks.robots[t].tolist()],
    }


def _mode_words(name: str) -> str:
    """Return the name of a failure mode in words.

    Examples:
        >>> _mode_words("robot.R1.jam")
        'robot R1 jam'
    """
    return name.replace(".", " ")
