"""Setting up a line: everything a plan names, put in its place."""

from __future__ import annotations

from linesim.engine.bays import Bay
from linesim.engine.breakdowns import Mode
from linesim.engine.buffers import Buffer, Carrier
from linesim.engine.calendars import WorkingTime
from linesim.engine.crews import Crew
from linesim.engine.free import FreeSection, Stalls
from linesim.engine.gates import RemovalEnd, ScrapEnd, SupplyEnd
from linesim.engine.line import Line
from linesim.engine.paced import PacedSection
from linesim.engine.robots import Robot, Tool
from linesim.engine.sections import Element, Join, Section
from linesim.engine.stations import Station
from linesim.plan.arrays import int_array
from linesim.plan.tables import CONVEYOR, FREE, NONE, ROBOT, SECTION, STATION, Flow, Gate


def set_up(line: Line) -> None:
    """Put everything that ``line``'s plan names in its place."""
    _equip(line)
    _lay_sections(line)
    _connect(line)
    _staff(line)
    _add_modes(line)


def _equip(line: Line) -> None:
    plan = line.plan
    line.robots = [Robot(r) for r in range(len(plan.names.robot))]
    line.tools = [Tool(int(n)) for n in plan.equipment.tool_count]
    line.calendars = [WorkingTime(calendar) for calendar in plan.calendars]


def _lay_sections(line: Line) -> None:
    plan = line.plan
    stations: dict[int, Station] = {}
    for s, pacing in enumerate(plan.sections.pacing.tolist()):
        section: Section = FreeSection(s, line) if pacing == FREE else PacedSection(s, line)
        section.stations = [Station(k, section, line) for k in plan.sections.stations[s].tolist()]
        stations.update((station.index, station) for station in section.stations)
        if isinstance(section, FreeSection):
            for station in section.stations:
                places = int(plan.stations.places[station.index])
                section.stalls.append(Stalls(line, section, station, places))
            section.stalls[-1].is_last = True
        elif isinstance(section, PacedSection):
            section.places = [None] * len(section.stations)
        line.sections.append(section)
    line.stations = [stations[k] for k in range(len(stations))]


def entrance(section: Section) -> Element:
    """Return the element that takes jobs onto ``section``."""
    return section.stalls[0] if isinstance(section, FreeSection) else section


def exit_of(section: Section) -> Element:
    """Return the element from which jobs leave ``section``."""
    return section.stalls[-1] if isinstance(section, FreeSection) else section


def _connect(line: Line) -> None:
    """Chain the elements, supply first: feeders, then the line itself, each section followed by its bays."""
    plan = line.plan
    line.buffers = [Buffer(line, b) for b in range(len(plan.names.buffer))]
    line.bays = [Bay(line, b) for b in range(len(plan.names.bay))]
    for f, flow in enumerate(plan.feeders.flows):
        joined = line.sections[int(plan.feeders.joins[f])]
        join = Join(line, f, entrance(joined))
        joined.feeders.append(join)
        gate = SupplyEnd(line, Gate(NONE, int_array([])), f)
        line.supplies.append(gate)
        _chain(line, gate, flow, join)
    line.supply = SupplyEnd(line, plan.supply)
    line.removal = RemovalEnd(line, plan.removal)
    line.scrap = ScrapEnd(line)
    line.supplies.append(line.supply)
    _chain(line, line.supply, plan.flow, line.removal)
    _place(line, line.removal)
    for bay in line.bays:
        section = line.sections[bay.section]
        bay.inlets = [exit_of(section), *section.bays]
        section.bays.append(bay)
        rejoin = int(plan.bays.rejoin[bay.index])
        if rejoin != NONE:
            bay.below = line.buffers[rejoin]
            bay.below.inlets.insert(0, bay)
            between = line.elements[bay.order + 1 : bay.below.order]
            bay.skipped = [station.index for element in between for station in _stations_of(element)]
    for k, section_index in enumerate(plan.carriers.boards.tolist()):
        section = line.sections[section_index]
        section.carriers_in.append(k)
        line.carriers.append(Carrier(line, k, entrance(section)))
        line.sections[int(plan.carriers.leaves[k])].carriers_out.append(k)


def _stations_of(element: Element) -> list[Station]:
    if isinstance(element, Stalls):
        return [element.station]
    return element.stations if isinstance(element, PacedSection) else []


def _chain(line: Line, first: Element, flow: Flow, last: Element) -> None:
    _place(line, first)
    above = first
    for kind, index in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
        if kind != SECTION:
            buffer = line.buffers[index]
            _link(above, buffer)
            _place(line, buffer)
            above = buffer
            continue
        section = line.sections[index]
        if isinstance(section, FreeSection):
            for stalls in section.stalls:
                _link(above, stalls)
                _place(line, stalls)
                above = stalls
        else:
            _link(above, section)
            _place(line, section)
            above = section
        for b, at in enumerate(line.plan.bays.section.tolist()):
            if at == index:
                _place(line, line.bays[b])
    _link(above, last)


def _link(above: Element, below: Element) -> None:
    above.below = below
    below.inlets.append(above)
    if isinstance(above, Stalls) and above.is_last:
        above.section.below = below


def _place(line: Line, element: Element) -> None:
    element.order = len(line.elements)
    line.elements.append(element)


def _staff(line: Line) -> None:
    plan = line.plan
    crews = plan.crews
    for c in range(len(plan.names.crew)):
        crew = Crew(
            c, int(crews.first[c]), int(crews.people[c]), int(crews.walk[c]), float(crews.walk_speed[c]),
            int(crews.response[c]),
        )  # fmt: skip
        line.crews.append(crew)
    line.crew_stations = [[] for _ in line.crews]
    line.robot_stations = [[] for _ in line.robots]
    line.tool_stations = [[] for _ in line.tools]
    for depth, section in enumerate(sorted(line.sections, key=lambda s: exit_of(s).order)):
        for station in section.stations:
            station.depth = depth * len(line.stations) + station.position
    for station in line.stations:
        k = station.index
        station.crews = [line.crews[c] for c in plan.stations.crews[k].tolist()]
        station.floaters = [line.crews[c] for c in plan.stations.floaters[k].tolist()]
        for crew in station.crews:
            crew.stations.append(station)
            line.crew_stations[crew.index].append(k)
    for t, k in enumerate(plan.tasks.station.tolist()):
        for r in line.task_need[t].robots:
            if k not in line.robot_stations[r]:
                line.robot_stations[r].append(k)
        for tool in line.task_need[t].tools:
            if k not in line.tool_stations[tool]:
                line.tool_stations[tool].append(k)


def _add_modes(line: Line) -> None:
    kinds, owners = line.plan.modes.owner_kind.tolist(), line.plan.modes.owner.tolist()
    for m, (kind, owner) in enumerate(zip(kinds, owners, strict=True)):
        mode = Mode(line, m)
        line.modes.append(mode)
        if kind == ROBOT:
            line.robots[owner].modes.append(mode)
        elif kind == CONVEYOR:
            line.sections[owner].modes.append(mode)
        elif kind == STATION:
            line.stations[owner].modes.append(mode)
