"""The words for states and causes, in the fixed order in which every table lists them.

They stand left of the engine because ledger, engine and measures must agree on them.
"""

from __future__ import annotations

#: Why a section stands; disturbances of the scenario add their own words behind these.
STOP_CAUSES = ("overrun", "waiting", "breakdown", "repeat", "blocked", "starved")
OVERRUN, WAITING, BREAKDOWN, REPEAT, BLOCKED, STARVED = range(6)
#: Causes that pass on what happened elsewhere; every other stop begins where it is booked.
HANDED_ON = ("blocked", "starved")

#: What a station is at any moment. Disturbance words follow as "waiting: <word>".
STATION_STATES = (
    "working",
    "waiting: crew",
    "waiting: tool",
    "waiting: robot",
    "waiting: zone",
    "waiting: earlier work",
    "down",
    "spare",
    "stopped",
    "blocked",
    "starved",
    "off",
)
(
    S_WORKING,
    S_WAIT_CREW,
    S_WAIT_TOOL,
    S_WAIT_ROBOT,
    S_WAIT_ZONE,
    S_WAIT_EARLIER,
    S_DOWN,
    S_SPARE,
    S_STOPPED,
    S_BLOCKED,
    S_STARVED,
    S_OFF,
) = range(12)

#: What an operator is at any moment.
OPERATOR_STATES = (
    "working",
    "walking",
    "helping",
    "repairing",
    "waiting: job",
    "waiting: tool",
    "waiting: zone",
    "waiting: earlier work",
    "waiting: line stop",
    "off",
)
(
    O_WORKING,
    O_WALKING,
    O_HELPING,
    O_REPAIRING,
    O_WAIT_JOB,
    O_WAIT_TOOL,
    O_WAIT_ZONE,
    O_WAIT_EARLIER,
    O_WAIT_STOP,
    O_OFF,
) = range(10)

#: What a robot is at any moment; it is waiting too where it has a task that people or the conveyor hold up.
ROBOT_STATES = ("working", "waiting", "down", "off")
R_WORKING, R_WAITING, R_DOWN, R_OFF = range(4)

#: Steps at which the time from a call to help is counted [s].
RESPONSE_STEPS_S = (15, 30, 60, 120, 300)

#: What a section is at any moment; the causes of "stopped" are accounted for separately.
SECTION_STATES = ("running", "stopped", "off")
C_RUNNING, C_STOPPED, C_OFF = range(3)
