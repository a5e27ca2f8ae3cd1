"""A plan and a ledger made by hand: two sections, a lane, a bay, one of everything that can be measured."""

from dataclasses import fields, replace

import numpy as np

from linesim.ledger.ledger import Ledger
from linesim.plan.orders import PlannedOrders
from linesim.plan.plan import Names, Plan
from linesim.plan.tables import (
    AT_ONCE,
    AT_STATION,
    BUFFER,
    FREE,
    IN_BAY,
    INDEXED,
    MOVING,
    NONE,
    SECTION,
    STATION,
    THERE,
    Bays,
    Carriers,
    Crews,
    Equipment,
    Faults,
    Feeders,
    Flow,
    Modes,
    PlannedBuffers,
    PlannedGate,
    PlannedRun,
    Ragged,
    Sections,
    Stations,
    Tasks,
    float_array,
    int_array,
)
from linesim.plan.words import STOP_CAUSES
from linesim.scenario.shapes import Constant

MINUTE, HOUR = 60_000, 3_600_000


def small_plan(**changes: object) -> Plan:
    """Return frame (indexed: F1, F2) → lane (2 places) → trim (moving: T1) and test (free: E1) with bay."""
    plan = Plan(
        title="Made by hand",
        names=Names(
            section=("frame", "trim", "test"),
            station=("F1", "F2", "T1", "E1"),
            buffer=("lane",),
            bay=("corner",),
            crew=("frame-crew", "trim-crew"),
            operator=("frame-crew 1", "frame-crew 2", "trim-crew 1"),
            robot=("R1",),
            tool=("gun",),
            zone=(),
            task=("F1.weld", "T1.bolt"),
            fault=("F1.weld", "T1.bolt"),
            mode=("station.T1.parts",),
            carrier=("skid",),
            feeder=(),
            calendar=(),
            cause=(*STOP_CAUSES, "parts"),
        ),
        run=PlannedRun(
            warm_up=0,
            length=16 * HOUR,
            replications=3,
            seed=1,
            shift=8 * HOUR,
            starts_full=False,
            calendar=NONE,
        ),
        target=200.0,
        flow=Flow(int_array([SECTION, BUFFER, SECTION, SECTION]), int_array([0, 0, 1, 2])),
        sections=Sections(
            pacing=int_array([INDEXED, MOVING, FREE]),
            takt=int_array([60_000] * 3),
            transfer=int_array([5_000, 0, 0]),
            waits_on_gap=int_array([0, 0, 0]),
            calendar=int_array([NONE] * 3),
            stations=Ragged.of([[0, 1], [2], [3]]),
        ),
        stations=Stations(
            section=int_array([0, 0, 1, 2]),
            position=int_array([0, 1, 0, 0]),
            places=int_array([1] * 4),
            early=int_array([0] * 4),
            late=int_array([0, 0, 12_000, 0]),
            stops_at_limit=int_array([1] * 4),
            open_station=int_array([NONE] * 4),
            open_bay=int_array([NONE] * 4),
            call_at=int_array([NONE, NONE, 40_000, NONE]),
            crews=Ragged.of([[0], [0], [1], []]),
            floaters=Ragged.of([[], [], [], []]),
        ),
        buffers=PlannedBuffers(int_array([2]), int_array([0]), int_array([1])),
        feeders=Feeders((), int_array([])),
        bays=Bays(
            section=int_array([2]),
            waiting=int_array([1]),
            places=int_array([1]),
            people=int_array([1]),
            crews=Ragged.of([[1]]),
            rejoin=int_array([NONE]),
            max_passes=int_array([NONE]),
            holds=int_array([1]),
            success=float_array([1.0]),
        ),
        carriers=Carriers(int_array([4]), int_array([0]), int_array([1]), int_array([0])),
        crews=Crews(
            people=int_array([2, 1]),
            first=int_array([0, 2]),
            walk=int_array([0, 0]),
            walk_speed=float_array([0.0, 0.0]),
            calendar=int_array([NONE, NONE]),
            floater=int_array([0, 0]),
            response=int_array([0, 0]),
            absence=float_array([0.0, 0.0]),
            new=int_array([0, 0]),
            curve=Ragged.of([[], []]),
        ),
        equipment=Equipment(int_array([NONE]), int_array([2]), int_array([])),
        tasks=Tasks(
            station=int_array([0, 2]),
            people=int_array([0, 1]),
            crews=Ragged.of([[], [1]]),
            robots=Ragged.of([[0], []]),
            tools=Ragged.of([[], [0]]),
            zone=int_array([NONE, NONE]),
            after=Ragged.of([[], []]),
            needs=int_array([0, 0]),
            bars=int_array([0, 0]),
            models=int_array([1, 1]),
            time_shape=Ragged.of([[0], [1]]),
            time_model=Ragged.of([[NONE], [NONE]]),
            time_option=Ragged.of([[NONE], [NONE]]),
            again=int_array([0, 0]),
            faults=Ragged.of([[0], [1]]),
        ),
        faults=Faults(
            task=int_array([0, 1]),
            chances=(((NONE, NONE, 0.1),), ((NONE, NONE, 0.05),)),
            found=int_array([AT_ONCE, AT_STATION]),
            found_at=int_array([NONE, 3]),
            detect=float_array([1.0, 0.9]),
            tries=int_array([1, 1]),
            right=int_array([THERE, IN_BAY]),
            right_at=int_array([NONE, 0]),
            repair=int_array([NONE, 0]),
        ),
        modes=Modes(
            owner_kind=int_array([STATION]),
            owner=int_array([2]),
            per=int_array([0]),
            every=int_array([0]),
            every_jobs=int_array([0]),
            lasts=int_array([0]),
            crew=int_array([NONE]),
            people=int_array([0]),
            cause=int_array([len(STOP_CAUSES)]),
        ),
        supply=PlannedGate(NONE, int_array([])),
        removal=PlannedGate(NONE, int_array([])),
        calendars=(),
        shapes=(Constant(mean="48 s"), Constant(mean="55 s")),
        orders=PlannedOrders("random", ("standard",), (), (1.0,)),
    )
    return replace(plan, **changes)  # type: ignore[arg-type]


def blank_ledger(plan: Plan, *, hours: int = 16, **changes: object) -> Ledger:
    """Return the ledger of a line on which nothing happened for ``hours`` hours, whole shifts of 8 h."""
    names, n_w = plan.names, hours // 8
    stations, causes = len(names.station), len(names.cause)
    zeros = {
        "windows": (n_w, 2),
        "window_jobs": n_w,
        "window_stop": (n_w, len(names.section)),
        "window_reworked": n_w,
        "window_bay": (n_w, len(names.bay), 0),
        "section_state": (len(names.section), 3),
        "stop": (len(names.section), stations + 1, causes),
        "stops": (len(names.section), stations + 1, causes),
        "station_state": (stations, 12 + causes - len(STOP_CAUSES)),
        "operator_state": (len(names.operator), 10),
        "robot_state": (len(names.robot), 4),
        "call_within": (stations, 5),
        "stands": len(names.section),
        **dict.fromkeys(("tool_busy", "tool_busy_clock", "tool_hours"), len(names.tool)),
        **{field.name: len(names.carrier) for field in fields(Ledger) if field.name.startswith("carrier_")},
        **dict.fromkeys(
            ("faults_made", "faults_found", "faults_escaped", "faults_not_put_right"), len(names.fault)
        ),
        **dict.fromkeys(("units_in", "units_merged"), len(names.feeder)),
        **{field.name: len(names.bay) for field in fields(Ledger) if field.name.startswith("bay_")},
    }
    given: dict[str, object] = {}
    for field in fields(Ledger):
        if field.type == "int":
            given[field.name] = 0
        elif field.name in ("buffer_level", "buffer_level_clock"):
            given[field.name] = tuple(np.zeros(int(c) + 1, dtype=np.int64) for c in plan.buffers.capacity)
        else:
            given[field.name] = np.zeros(zeros.get(field.name, stations), dtype=np.int64)
    given |= {"end": hours * HOUR, "working_time": hours * HOUR}
    given |= {
        f"{kind}_hours": np.full(len(things), hours * HOUR)
        for kind, things in (("tool", names.tool), ("carrier", names.carrier), ("bay", names.bay))
    }
    return Ledger(**{**given, **changes})  # type: ignore[arg-type]
