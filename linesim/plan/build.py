"""From a checked scenario to a plan."""

from __future__ import annotations

from dataclasses import replace

from linesim.plan import layout, people, work, working_time
from linesim.plan.index import Index
from linesim.plan.orders import orders
from linesim.plan.plan import Names, Plan
from linesim.scenario.models import Scenario


def build(scenario: Scenario) -> Plan:
    """Return the plan of ``scenario``: names become indices, tables become read-only arrays.

    The shapes come last, because every other table adds those it meets.
    """
    index = Index(scenario)
    calendars = working_time.calendars(index)
    names = Names(
        section=tuple(index.section),
        station=tuple(index.station),
        buffer=tuple(index.buffer),
        bay=tuple(index.bay),
        crew=tuple(index.crew),
        operator=people.operator_names(index),
        robot=tuple(index.robot),
        tool=tuple(index.tool),
        zone=tuple(index.zone),
        task=tuple(index.task),
        fault=work.fault_names(index),
        mode=work.mode_names(index),
        carrier=tuple(index.carrier),
        feeder=tuple(index.feeder),
        calendar=tuple(index.calendar),
        cause=tuple(index.cause),
    )
    without_shapes = Plan(
        title=scenario.title,
        names=names,
        run=working_time.run(index, calendars),
        target=scenario.target.jobs_per_shift,
        flow=layout.flow(index, scenario.flow),
        sections=layout.sections(index),
        stations=layout.stations(index),
        buffers=layout.buffers(index),
        feeders=layout.feeders(index),
        bays=layout.bays(index),
        carriers=layout.carriers(index),
        crews=people.crews(index),
        equipment=people.equipment(index),
        tasks=work.tasks(index),
        faults=work.faults(index),
        modes=work.modes(index),
        supply=layout.gate(index, scenario.supply),
        removal=layout.gate(index, scenario.removal),
        calendars=calendars,
        shapes=(),
        orders=orders(index),
        prices=people.prices(scenario),
    )
    return replace(without_shapes, shapes=index.shapes)
