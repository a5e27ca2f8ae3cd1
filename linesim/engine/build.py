"""From a plan to the tables of a line that has not begun."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linesim.draws.draws import Draws
from linesim.engine.calendars import PlaceHours
from linesim.engine.job_records import ColumnRecord, Entry, FaultRecord, TaskRecord
from linesim.engine.line_records import (
    BayRecord,
    BufferRecord,
    CarrierRecord,
    CrewRecord,
    ElementRecord,
    GateRecord,
    Mode,
    Operator,
    RobotRecord,
    SectionRecord,
    StationRecord,
    ToolRecord,
)
from linesim.engine.people import hire
from linesim.engine.tables import BAY, BUFFER, JOIN, PACED, REMOVAL, SCRAP, STALLS, SUPPLY, State, World
from linesim.plan.columns import ORDER
from linesim.plan.plan import Plan
from linesim.plan.tables import AT_TASK, CONVEYOR, FREE, NONE, ROBOT, STATION, Flow
from linesim.plan.tables import SECTION as IS_SECTION
from linesim.plan.words import (
    OPERATOR_STATES,
    R_WAITING,
    RESPONSE_STEPS_S,
    ROBOT_STATES,
    S_STARVED,
    SECTION_STATES,
    STATION_STATES,
    STOP_CAUSES,
)


def tables_of(plan: Plan, draws: Draws) -> State:
    """Return the tables of the line of ``plan``, before it begins, as they are for all draws of the plan."""
    return _Builder(plan, draws).state


class _Builder:
    """Fills the tables, one family of things after the other."""

    def __init__(self, plan: Plan, draws: Draws) -> None:
        self.plan = plan
        self.state = s = State()
        names = plan.names
        n_tasks = len(names.task)
        w = World(
            n_sections=len(names.section), n_stations=len(names.station), n_bays=len(names.bay),
            n_crews=len(names.crew), n_operators=len(names.operator), n_robots=len(names.robot),
            n_modes=len(names.mode), n_buffers=len(names.buffer), n_calendars=len(plan.calendars),
            n_carriers=len(names.carrier), n_feeders=len(names.feeder), n_tasks=n_tasks,
            n_causes=len(names.cause), n_faults=len(names.fault), n_zones=len(names.zone),
            job_cells=2 * n_tasks + len(names.zone) + len(names.carrier) + len(names.feeder) + len(names.bay),
        )  # fmt: skip
        s.w = [w]
        s.jobs, s.visits, s.pieces, s.items = [], [], [], []
        s.events, s.levels, s.timers, s.due = [], [], [], []
        s.cells, s.ticks, s.drawn = [0] * (2 * n_tasks), [], [0]
        s.room = []
        s.ints = [*plan.equipment.zone_people.tolist(), *range(w.n_crews)]
        self.hours = PlaceHours(s, plan.calendars)
        w.inside = self.hours.account([plan.run.calendar])
        self.columns = plan.columns
        s.columns = [
            ColumnRecord(draws.constant(column.shape) if column.shape != NONE else -1, draws.bits(c))
            for c, column in enumerate(plan.columns.all)
        ]
        s.columns[ORDER].bits = 6  # sixty-four at a time
        if plan.run.starts_full:
            w.begin_levels, _ = self._row(plan.buffers.level.tolist())
        self._tasks()
        self._stations()
        self._sections()
        self._crews()
        self._equipment()
        self._modes()
        self._elements()
        self.hours.add_calendars(self._row)
        w.n_accounts = len(s.accounts)

    def _ticks(self, n: int) -> int:
        """Return the first of ``n`` new time accounts."""
        first = len(self.state.ticks)
        self.state.ticks.extend([0] * n)
        return first

    def _row(self, values: Sequence[int]) -> tuple[int, int]:
        """Write a row of indices behind the others; return its first place and its length."""
        ints = self.state.ints
        first = len(ints)
        ints.extend(values)
        return first, len(ints) - first

    # What is to be done

    def _tasks(self) -> None:
        s, tasks, faults = self.state, self.plan.tasks, self.plan.faults
        looks = {int(a) for a, kind in zip(faults.found_at, faults.found, strict=True) if kind == AT_TASK}
        people, zones, again = tasks.people.tolist(), tasks.zone.tolist(), tasks.again.tolist()
        rows = zip(
            tasks.crews.tolists(), tasks.robots.tolists(), tasks.tools.tolists(), tasks.faults.tolists(),
            strict=True,
        )  # fmt: skip
        s.tasks = []
        for t, (crews, robots, tools, left) in enumerate(rows):
            task = TaskRecord(
                station=int(tasks.station[t]), people=people[t], zone=zones[t], again=int(again[t])
            )
            task.crews, task.n_crews = self._row(crews)
            task.robots, task.n_robots = self._row(robots)
            task.tools, task.n_tools = self._row(tools)
            task.faults, task.n_faults = self._row(left)
            task.inspects = int(t in looks)
            s.tasks.append(task)
        s.faults = [
            FaultRecord(
                task=int(faults.task[f]), found=int(faults.found[f]), found_at=int(faults.found_at[f]),
                detect=float(faults.detect[f]), tries=int(faults.tries[f]), right=int(faults.right[f]),
                right_at=int(faults.right_at[f]),
                repair=NONE if faults.repair[f] == NONE else self.columns.repair + f,
                made=self.columns.made + f, seen=self.columns.seen + f,
            )
            for f in range(len(self.plan.names.fault))
        ]  # fmt: skip

    # Where

    def _stations(self) -> None:
        s, plan, w = self.state, self.plan, self.state.w[0]
        table, n_states = plan.stations, len(STATION_STATES) + w.n_causes - len(STOP_CAUSES)
        at = plan.tasks.station.tolist()
        s.stations = []
        for k in range(w.n_stations):
            place = int(table.open_station[k])
            if place == NONE:
                bay = int(table.open_bay[k])
                place = w.n_stations + (w.n_bays if bay == NONE else bay)
            st = StationRecord(
                section=int(table.section[k]), position=int(table.position[k]), places=int(table.places[k]),
                early=int(table.early[k]), late=int(table.late[k]),
                stops_at_limit=int(table.stops_at_limit[k]), open_to=place, call_at=int(table.call_at[k]),
                first_task=at.index(k) if k in at else 0, state=S_STARVED, ticks=self._ticks(n_states),
                call_within=self._ticks(len(RESPONSE_STEPS_S)),
            )  # fmt: skip
            st.crews, st.n_crews = self._row(table.crews[k].tolist())
            st.floaters, st.n_floaters = self._row(table.floaters[k].tolist())
            st.people = sum(int(plan.crews.people[c]) for c in table.crews[k])
            w.most_tasks = max(w.most_tasks, at.count(k))
            s.stations.append(st)

    def _sections(self) -> None:
        s, plan, w = self.state, self.plan, self.state.w[0]
        table = plan.sections
        s.sections, s.agenda = [], []
        for x in range(w.n_sections):
            stations = table.stations[x].tolist()
            section = SectionRecord(
                is_paced=int(table.pacing[x] != FREE), takt=int(table.takt[x]),
                transfer=int(table.transfer[x]), lets_gaps_pass=int(not table.waits_on_gap[x]),
                calendar=int(table.calendar[x]), first=stations[0], last=stations[-1],
                hours=self.hours.of([int(table.calendar[x])]), ticks=self._ticks(len(SECTION_STATES)),
                stop=self._ticks((w.n_stations + 1) * w.n_causes),
                stops=self._ticks((w.n_stations + 1) * w.n_causes), agenda=len(s.agenda),
            )  # fmt: skip
            section.stations, section.n_stations = self._row(stations)
            bays = [b for b in range(w.n_bays) if plan.bays.section[b] == x]
            section.bays, section.n_bays = self._row(bays)
            boards = [k for k in range(w.n_carriers) if plan.carriers.boards[k] == x]
            section.boards, section.n_boards = self._row(boards)
            leaves = [k for k in range(w.n_carriers) if plan.carriers.leaves[k] == x]
            section.leaves, section.n_leaves = self._row(leaves)
            if section.is_paced:
                for k in stations:
                    st = s.stations[k]
                    # At most one of a kind comes with every job, and stays for as long as it lies ahead.
                    ahead = [2 * section.takt + st.late, 2 * section.takt, section.takt + max(0, st.call_at)]
                    s.agenda += [Entry() for lasts in ahead for _ in range(lasts // section.takt + 2)]
            s.sections.append(section)

    # Who

    def _crews(self) -> None:
        s, plan = self.state, self.plan
        table, covers = plan.crews, plan.stations.crews.tolists()
        s.crews, s.operators = [], []
        for c in range(s.w[0].n_crews):
            crew = CrewRecord(
                first=int(table.first[c]), people=int(table.people[c]), walk=int(table.walk[c]),
                walk_speed=float(table.walk_speed[c]), response=int(table.response[c]),
                calendar=int(table.calendar[c]), n_free=int(table.people[c]),
            )  # fmt: skip
            crew.stations, crew.n_stations = self._row([k for k, crews in enumerate(covers) if c in crews])
            s.crews.append(crew)
            people = [Operator(crew=c, ticks=self._ticks(len(OPERATOR_STATES))) for _ in range(crew.people)]
            hire(s, plan, c, people, self._row)
            s.operators += people

    def _equipment(self) -> None:
        s, plan = self.state, self.plan
        at = plan.tasks.station.tolist()

        def used(rows: list[list[int]], one: int) -> list[int]:
            return list(dict.fromkeys(at[t] for t, row in enumerate(rows) if one in row))

        robots, tools = plan.tasks.robots.tolists(), plan.tasks.tools.tolists()
        s.robots, s.tools = [], []
        for r in range(len(plan.names.robot)):
            robot = RobotRecord(
                calendar=int(plan.equipment.robot_calendar[r]), state=R_WAITING,
                ticks=self._ticks(len(ROBOT_STATES)),
            )  # fmt: skip
            robot.stations, robot.n_stations = self._row(used(robots, r))
            s.robots.append(robot)
        for i, count in enumerate(plan.equipment.tool_count.tolist()):
            tool = ToolRecord(count=count, free=count)
            stations = used(tools, i)
            tool.stations, tool.n_stations = self._row(stations)
            sections = {s.stations[k].section for k in stations}
            calendars = [s.sections[x].calendar for x in sections] or [plan.run.calendar]
            tool.busy = self.hours.account(calendars)
            self._row([NONE] * (len(s.stations) - tool.n_stations))  # room for those that open work adds
            s.tools.append(tool)

    def _modes(self) -> None:
        s, table, columns = self.state, self.plan.modes, self.columns
        s.modes = [
            Mode(
                owner_kind=int(table.owner_kind[m]), owner=int(table.owner[m]), per=int(table.per[m]),
                every=columns.every + m, every_jobs=int(table.every_jobs[m]), lasts=columns.lasts + m,
                crew=int(table.crew[m]), crews=len(self.plan.names.zone) + int(table.crew[m]),
                people=int(table.people[m]), cause=int(table.cause[m]),
            )
            for m in range(s.w[0].n_modes)
        ]  # fmt: skip
        owners: tuple[tuple[int, Sequence[Any]], ...] = (
            (ROBOT, s.robots), (CONVEYOR, s.sections), (STATION, s.stations),
        )  # fmt: skip
        for kind, things in owners:
            for i, thing in enumerate(things):
                own = [m for m, mode in enumerate(s.modes) if mode.owner_kind == kind and mode.owner == i]
                thing.modes, thing.n_modes = self._row(own)

    # The way of a job

    def _elements(self) -> None:
        """Chain the elements, supply first: feeders, then the line, each section followed by its bays."""
        s, plan = self.state, self.plan
        table = plan.buffers
        s.elements, s.gates = [], []
        s.buffers = [
            BufferRecord(
                capacity=int(table.capacity[b]), travel=int(table.travel[b]) if table.capacity[b] else 0,
                levels=self._ticks(int(table.capacity[b]) + 1),
                levels_clock=self._ticks(int(table.capacity[b]) + 1),
            )
            for b in range(len(plan.names.buffer))
        ]  # fmt: skip
        self._bays()
        w = s.w[0]
        joins: list[list[int]] = [[] for _ in s.sections]
        for f, flow in enumerate(plan.feeders.flows):
            gate = GateRecord(feeder=f, element=self._place(SUPPLY, f))
            s.gates.append(gate)
            last = self._chain(gate.element, flow)
            join = self._place(JOIN, f)
            self._link(last, join)
            joins[int(plan.feeders.joins[f])].append(join)
        w.supply, w.removal = w.n_feeders, w.n_feeders + 1
        gates = ((SUPPLY, plan.supply), (REMOVAL, plan.removal))
        for i, (kind, ends) in enumerate(gates):
            gate = GateRecord(is_removal=i, column=NONE if ends.every == NONE else self.columns.gap + i)
            gate.schedule, gate.n_schedule = self._row(ends.schedule.tolist())
            gate.is_rated = int(gate.column != NONE or gate.n_schedule > 0)
            if kind == SUPPLY:
                gate.element = self._place(kind, w.supply)
                last = self._chain(gate.element, plan.flow)
            else:
                gate.element = self._place(kind, w.removal)
                self._link(last, gate.element)
            s.gates.append(gate)
        w.scrap = self._place(SCRAP, 0)
        w.n_elements = len(s.elements)
        for x, section in enumerate(s.sections):
            section.feeders, section.n_feeders = self._row(joins[x])
            for e in joins[x]:
                s.elements[e].entrance = section.entrance
        self._rejoin()
        for buffer in s.buffers:
            buffer.hours = self._section_of(buffer).hours
        for depth, x in enumerate(sorted(range(w.n_sections), key=lambda x: s.sections[x].exit)):
            section = s.sections[x]
            for k in s.ints[section.stations : section.stations + section.n_stations]:
                s.stations[k].depth = depth * w.n_stations + s.stations[k].position
        carriers = plan.carriers
        s.carriers = [
            CarrierRecord(
                count=int(carriers.count[k]), free=int(carriers.count[k]), returns=int(carriers.returns[k]),
                boards=int(carriers.boards[k]), leaves=int(carriers.leaves[k]),
                entrance=s.sections[int(carriers.boards[k])].entrance,
                busy=self.hours.account([s.sections[int(carriers.boards[k])].calendar]),
                short=self.hours.account([s.sections[int(carriers.boards[k])].calendar]),
            )
            for k in range(w.n_carriers)
        ]  # fmt: skip

    def _section_of(self, buffer: BufferRecord) -> SectionRecord:
        """Return the section to which a buffer belongs: the next one down, or that which its feeder joins."""
        s = self.state
        e = buffer.element
        while s.elements[e].section == NONE:
            e = s.elements[e].entrance if s.elements[e].kind == JOIN else s.elements[e].below
        return s.sections[s.elements[e].section]

    def _bays(self) -> None:
        s, bays = self.state, self.plan.bays
        s.bays = []
        for b in range(s.w[0].n_bays):
            x = int(bays.section[b])
            bay = BayRecord(
                section=x, place=sum(other.section == x for other in s.bays),
                waiting_places=int(bays.waiting[b]), places=int(bays.places[b]), people=int(bays.people[b]),
                max_passes=int(bays.max_passes[b]), holds=int(bays.holds[b]), success=float(bays.success[b]),
                column=self.columns.bay + b,
            )  # fmt: skip
            crews = bays.crews[b].tolist()
            bay.crews, bay.n_crews = self._row(crews)
            of_people = [s.crews[c].calendar for c in crews] or [s.sections[x].calendar]
            bay.hours = self.hours.of(of_people)
            bay.waiting, bay.working = self.hours.account(of_people), self.hours.account(of_people)
            bay.holding = self.hours.account([s.sections[x].calendar])
            s.bays.append(bay)

    def _place(self, kind: int, index: int, section: int = NONE) -> int:
        self.state.elements.append(ElementRecord(kind=kind, index=index, section=section))
        return len(self.state.elements) - 1

    def _link(self, above: int, below: int) -> None:
        self.state.elements[above].below = below
        self.state.elements[below].above = above

    def _chain(self, above: int, flow: Flow) -> int:
        """Place the elements of a flow below ``above``; return the last of them."""
        s = self.state
        for kind, index in zip(flow.kind.tolist(), flow.index.tolist(), strict=True):
            if kind != IS_SECTION:
                e = s.buffers[index].element = self._place(BUFFER, index)
                self._link(above, e)
                above = e
                continue
            section = s.sections[index]
            stations = s.ints[section.stations : section.stations + section.n_stations]
            for i, k in enumerate(stations[:1] if section.is_paced else stations):
                e = self._place(PACED, index, index) if section.is_paced else self._place(STALLS, k, index)
                if not section.is_paced:
                    s.stations[k].element = e
                self._link(above, e)
                above = e
                el = s.elements[e]
                el.is_first = int(i == 0)
                el.is_last = int(section.is_paced or i == len(stations) - 1)
                section.exit = e
                if i == 0:
                    section.entrance = e
            for b, bay in enumerate(s.bays):
                if bay.section == index:
                    bay.element = self._place(BAY, b)
        return above

    def _rejoin(self) -> None:
        """Let bays take jobs from their section and hand them on to where these rejoin."""
        s = self.state
        inlets: list[list[int]] = [[] if el.above == NONE else [el.above] for el in s.elements]
        for b, bay in enumerate(s.bays):
            section = s.sections[bay.section]
            before = s.ints[section.bays : section.bays + bay.place]
            inlets[bay.element] = [section.exit, *(s.bays[other].element for other in before)]
            rejoin = int(self.plan.bays.rejoin[b])
            if rejoin == NONE:
                continue
            below = s.elements[bay.element].below = s.buffers[rejoin].element
            inlets[below].insert(0, bay.element)
            skipped: list[int] = []
            for el in s.elements[bay.element + 1 : below]:
                if el.kind == STALLS:
                    skipped.append(el.index)
                elif el.kind == PACED:
                    at = s.sections[el.index]
                    skipped += s.ints[at.stations : at.stations + at.n_stations]
            bay.skipped, bay.n_skipped = self._row(skipped)
        for el, row in zip(s.elements, inlets, strict=True):
            el.inlets, el.n_inlets = self._row(row)
