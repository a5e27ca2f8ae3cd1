"""The line as tables: flow, sections, stations, buffers, feeders, bays, carriers, and its two ends."""

from __future__ import annotations

from collections.abc import Sequence

from linesim.plan.index import Index
from linesim.plan.tables import (
    BUFFER,
    FREE,
    INDEXED,
    MOVING,
    NONE,
    SECTION,
    Bays,
    Carriers,
    Feeders,
    Flow,
    PlannedBuffers,
    PlannedGate,
    Ragged,
    Sections,
    Stations,
    float_array,
    int_array,
)
from linesim.scenario.line import Removal, Supply
from linesim.ticks import ticks

_PACING = (("moving", MOVING), ("indexed", INDEXED), ("free", FREE))


def flow(index: Index, names: Sequence[str]) -> Flow:
    """Return a line order as a table."""
    kinds = [SECTION if name in index.section else BUFFER for name in names]
    numbers = [
        (index.section if kind == SECTION else index.buffer)[name]
        for kind, name in zip(kinds, names, strict=True)
    ]
    return Flow(int_array(kinds), int_array(numbers))


def sections(index: Index) -> Sections:
    """Return the sections."""
    scenario = index.scenario
    tables = list(scenario.section.values())
    return Sections(
        pacing=int_array(dict(_PACING)[section.pacing] for section in tables),
        takt=int_array((section.takt or scenario.takt).ticks for section in tables),
        transfer=int_array(section.transfer.ticks for section in tables),
        waits_on_gap=int_array(section.on_gap == "wait" for section in tables),
        calendar=int_array(index.calendar_of(section.calendar) for section in tables),
        stations=Ragged.of([[index.station[name] for name in section.stations] for section in tables]),
    )


def stations(index: Index) -> Stations:
    """Return the stations, with reaches and limits in ticks of their section's takt."""
    scenario, line = index.scenario, sections(index)
    place = {
        int(s): (section, position)
        for section in range(len(line.takt))
        for position, s in enumerate(line.stations[section])
    }
    tables = list(scenario.station.values())
    takts = [int(line.takt[place[s][0]]) for s in range(len(tables))]
    late = [round(table.late * takt) for table, takt in zip(tables, takts, strict=True)]
    windows = [takts[s] - int(line.transfer[place[s][0]]) + late[s] for s in range(len(tables))]
    open_to = [_open_to(index, s, place[s][0]) for s in range(len(tables))]
    return Stations(
        section=int_array(place[s][0] for s in range(len(tables))),
        position=int_array(place[s][1] for s in range(len(tables))),
        places=int_array(table.places for table in tables),
        early=int_array(round(table.early * takt) for table, takt in zip(tables, takts, strict=True)),
        late=int_array(late),
        stops_at_limit=int_array(table.on_limit == "stop" for table in tables),
        open_station=int_array(station for station, _ in open_to),
        open_bay=int_array(bay for _, bay in open_to),
        call_at=int_array(
            NONE if table.call_at is None else round(table.call_at * window)
            for table, window in zip(tables, windows, strict=True)
        ),
        crews=Ragged.of([index.crews_of(name) for name in scenario.station]),
        floaters=Ragged.of([index.crews_of(name, floater=True) for name in scenario.station]),
    )


def _open_to(index: Index, s: int, section: int) -> tuple[int, int]:
    """Return (station, bay) where open work of ``s`` is done: as said, or the first bay downstream."""
    scenario = index.scenario
    station = list(scenario.station.values())[s]
    if station.on_limit == "stop":
        return NONE, NONE
    if station.open_to is not None:
        if station.open_to in index.station:
            return index.station[station.open_to], NONE
        return NONE, index.bay[station.open_to]
    order = [name for name in scenario.flow if name in index.section]
    own = list(scenario.section)[section]
    later = order[order.index(own) :] if own in order else []
    for name in later:
        for bay, table in scenario.bay.items():
            if table.section == name:
                return NONE, index.bay[bay]
    return NONE, NONE


def buffers(index: Index) -> PlannedBuffers:
    """Return the buffers."""
    tables = list(index.scenario.buffer.values())
    return PlannedBuffers(
        capacity=int_array(buffer.capacity for buffer in tables),
        travel=int_array(buffer.travel.ticks for buffer in tables),
        level=int_array(buffer.capacity // 2 if buffer.level is None else buffer.level for buffer in tables),
    )


def feeders(index: Index) -> Feeders:
    """Return the feeders; one that joins a station joins that station's section."""
    scenario = index.scenario
    home = {s: name for name, section in scenario.section.items() for s in section.stations}
    joins = [
        index.section[f.joins if f.joins in index.section else home[f.joins]]
        for f in scenario.feeder.values()
    ]
    return Feeders(tuple(flow(index, f.flow) for f in scenario.feeder.values()), int_array(joins))


def bays(index: Index) -> Bays:
    """Return the bays."""
    scenario = index.scenario
    tables = list(scenario.bay.values())
    return Bays(
        section=int_array(index.section[bay.section] for bay in tables),
        waiting=int_array(bay.waiting for bay in tables),
        places=int_array(bay.places for bay in tables),
        people=int_array(bay.people for bay in tables),
        crews=Ragged.of([index.crews_of(name) for name in scenario.bay]),
        rejoin=int_array(NONE if bay.rejoin == "out" else index.buffer[bay.rejoin] for bay in tables),
        max_passes=int_array(NONE if bay.max_passes is None else bay.max_passes for bay in tables),
        holds=int_array(bay.on_full == "hold" for bay in tables),
        success=float_array(bay.success.value for bay in tables),
    )


def carriers(index: Index) -> Carriers:
    """Return the carrier loops."""
    tables = list(index.scenario.carrier.values())
    return Carriers(
        count=int_array(carrier.count for carrier in tables),
        boards=int_array(index.section[carrier.boards] for carrier in tables),
        leaves=int_array(index.section[carrier.leaves] for carrier in tables),
        returns=int_array(carrier.returns.ticks for carrier in tables),
    )


def gate(index: Index, end: Supply | Removal) -> PlannedGate:
    """Return supply or removal."""
    every = NONE if end.every is None else index.shape(end.every)
    return PlannedGate(every, int_array(sorted(ticks(at) for at in end.at_s)))
