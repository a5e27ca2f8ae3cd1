"""Random lines that mix everything a scenario can say; valid by construction, short to run."""

from hypothesis import strategies as st

from tests.invariants.any_layout import Builder, Draw, Tables


class _Everything(Builder):
    """Puts the second half to a scenario: people, equipment, work, and what surrounds the line."""

    # Who works

    def people(self) -> None:
        crews: Tables = {}
        places = [*self.stations, *self.bays]
        for k in range(self.number(1, 3)):
            covers = [p for p in places if self.yes(60)] or places[:1]
            crews[f"crew{k}"] = self._crew(covers)
        left = [p for p in places if p in self.bays and not any(p in c["covers"] for c in crews.values())]
        if left:
            crews["rework"] = self._crew(left)
        if self.yes(40):
            crews["float"] = {
                "people": self.number(1, 2), "covers": self.stations, "floater": True,
                "response": self.seconds(0, 20), **self.follows(),
            }  # fmt: skip
        if self.yes(25):
            crews["tech"] = {"people": self.number(1, 2), **self.follows()}
        self.raw["crew"] = crews
        for crew in crews.values():
            if not crew.get("floater"):
                for place in crew.get("covers", ()):
                    self.covered[place] = self.covered.get(place, 0) + crew["people"]

    def _crew(self, covers: list[str]) -> Tables:
        crew: Tables = {"people": self.number(1, 3), "covers": covers, **self.follows()}
        homes = {s: p for name, p in self.pacing.items() for s in self.sections[name]}
        if self.yes(30) and all(homes.get(place) == "moving" for place in covers):
            crew["walk_speed"] = self.pick((2.0, 5.0))
        elif self.yes(30):
            crew["walk"] = self.seconds(1, 5)
        return crew

    def equipment(self) -> None:
        self.raw["robot"] = {}
        for k in range(self.number(0, 2)):
            robot: Tables = self.follows()
            if self.yes(60):
                robot["failure"] = {f"way{i}": self.mode() for i in range(self.number(1, 2))}
            self.raw["robot"][f"r{k}"] = robot
        if self.yes(30):
            self.raw["tool"] = {"gun": {"count": self.number(1, 2)}}
        if self.yes(30):
            self.raw["zone"] = {"left": {"people": self.number(1, 2)}}

    # What is done

    def work(self) -> None:
        done: list[tuple[str, str]] = []
        for section, names in self.sections.items():
            for position, station in enumerate(names):
                self._reaches(section, station, position, len(names))
                self._tasks(section, station, done)
                if self.yes(15):
                    self.raw["station"][station]["disturbance"] = {self.pick(("parts", "kit")): self.mode()}
        for bay, section in self.bays.items():
            self._fault_for(bay, section)

    def _fault_for(self, bay: str, section: str) -> None:
        """Give one task up to the end of ``section`` a fault for ``bay``, found in that section."""
        order = [name for name in self.flow if name in self.sections]
        before = [s for name in order[: order.index(section) + 1] for s in self.sections[name]]
        tasks = [task for s in before for task in self.raw["station"][s]["task"].values()]
        if tasks and self.yes(80):
            self.pick(tasks)["fault"] = {
                "chance": self.pick((0.1, 0.4)), "repair": self.time(0, self.takt),
                "found": self.sections[section][-1], "right": bay,
            }  # fmt: skip

    def _reaches(self, section: str, station: str, position: int, n: int) -> None:
        table, pacing = self.raw["station"][station], self.pacing[section]
        if pacing == "free":
            if self.yes(25):
                table["places"] = self.number(1, 3)
            return
        if pacing == "moving":
            if position and self.yes(35):
                table["early"] = self.pick((0.25, 0.5, 1.0))
            if position < n - 1 and self.yes(35):
                table["late"] = self.pick((0.25, 0.5, 1.0, 1.5 if position < n - 2 else 1.0))
        if self.yes(50):
            table["call_at"] = self.pick((0.0, 0.5, 0.8))
        if self.yes(30):
            later = self._later(station)
            if later:
                table["on_limit"], table["open_to"] = "pass", self.pick(later)

    def _later(self, station: str) -> list[str]:
        """Return later stations and bays on the line of ``station``."""
        if station not in self.main:
            return []
        later = self.main[self.main.index(station) + 1 :]
        home = {s: name for name, names in self.sections.items() for s in names}
        order = [name for name in self.flow if name in self.sections]
        after = order[order.index(home[station]) :]
        return [*later, *[bay for bay, at in self.bays.items() if at in after]]

    def _joined(self, station: str) -> list[str]:
        """Return the stations of the main line to which what is built at ``station`` of a feeder comes."""
        if station in self.main:
            return []
        joins = self.raw["feeder"]["side"]["joins"]
        first = self.sections[joins][0] if joins in self.sections else joins
        return self.main[self.main.index(first) :]

    def _tasks(self, section: str, station: str, done: list[tuple[str, str]]) -> None:
        n = self.number(0 if self.pacing[section] != "free" else 1, 3)
        tasks: Tables = {}
        for k in range(n):
            name = f"t{k}"
            low = 1 if self.pacing[section] == "free" and k == 0 else 0
            task: Tables = {"time": self.time(low, self.takt * 6 // (5 * n))}
            if self.yes(20) and [*self.options, *self.models]:
                task["time_for"] = {self.pick([*self.options, *self.models]): self.time(low, self.takt)}
            self._who(task, station)
            is_main = station in self.main
            before = [f"{at}.{other}" for at, other in done if (at in self.main) == is_main]
            if before and self.yes(40):
                task["after"] = [self.pick(before)]
            if k and self.options and self.yes(25):
                task[self.pick(("options", "unless"))] = [self.pick(self.options)]
            if k and len(self.models) > 1 and self.yes(15):
                task["models"] = [self.pick(self.models)]
            if self.yes(20):
                task["again"] = True
            if self.yes(25):
                task["fault"] = self._fault(station)
            tasks[name] = task
            done.append((station, name))
        self.raw["station"][station]["task"] = tasks

    def _who(self, task: Tables, station: str) -> None:
        here, robots = self.covered.get(station, 0), list(self.raw["robot"])
        if robots and self.yes(30):
            task["robot"] = robots if self.yes(20) else [self.pick(robots)]
            if here and self.yes(30):
                task["people"] = 1
        elif here:
            task["people"] = min(here, self.pick((1, 1, 1, 2)))
        else:
            task["people"] = 0
        if "tool" in self.raw and self.yes(30):
            task["tool"] = "gun"
        room = self.raw["zone"]["left"]["people"] if "zone" in self.raw else -1
        if task.get("people", 0) <= room and self.yes(40):
            task["zone"] = "left"

    def _fault(self, station: str) -> Tables:
        fault: Tables = {"chance": self.pick((0.1, 0.4)), "repair": self.time(0, self.takt)}
        if self.yes(40):
            fault["found"], fault["tries"] = "at once", self.number(1, 3)
        else:
            later = [s for s in self._later(station) if s in self.stations] or self._joined(station)
            fault["found"] = self.pick([station, *later])
            fault["detect"] = self.pick((0.5, 1.0))
        start = station if fault["found"] == "at once" else fault["found"]
        later = self._later(start)
        places = ["there", *later, *(place for place in later if place in self.bays), "scrap"]
        fault["right"] = self.pick(places)
        if fault["right"] == "scrap":
            del fault["repair"]
        return fault

    # What surrounds it

    def surroundings(self) -> None:
        if self.yes(20):
            self.raw["supply"] = {"every": self.time(self.takt // 2, 2 * self.takt)}
            if self.yes(40):
                self.raw["supply"]["outage"] = {"paint": self._outage()}
        if self.yes(20):
            self.raw["removal"] = {"every": self.time(self.takt // 2, self.takt + 10)}
            if self.yes(40):
                self.raw["removal"]["outage"] = {"yard": self._outage()}
        if self.yes(15):
            order = [name for name in self.flow if name in self.sections]
            first = self.number(0, len(order) - 1)
            last = self.number(first, len(order) - 1)
            loop = [self.raw["section"][name] for name in order[first : last + 1]]
            waits = any(section.get("on_gap") == "wait" for section in loop)
            fewest = 1 + sum(len(section["stations"]) for section in loop) if waits else 1
            self.raw["carrier"] = {
                "skillet": {
                    "count": self.number(fewest, fewest + 5), "boards": order[first], "leaves": order[last],
                    "returns": self.seconds(0, 60),
                }
            }  # fmt: skip
        if "tech" in self.raw["crew"]:
            for mode in _modes(self.raw):
                if self.yes(60):
                    mode["repaired_by"] = "tech"

    def absences(self) -> None:
        for crew in self.raw["crew"].values():
            if self.yes(20):
                crew["absence"] = self.pick((0.2, 0.5))

    def _outage(self) -> Tables:
        return {"every": self.time(3 * self.takt, 9 * self.takt), "lasts": self.time(1, 3 * self.takt)}


def _modes(raw: Tables) -> list[Tables]:
    """Return the tables of all failures, disturbances and outages."""
    found: list[Tables] = []
    for kind in ("section", "station", "robot"):
        for thing in raw.get(kind, {}).values():
            for key in ("failure", "disturbance"):
                found += thing.get(key, {}).values()
    for kind in ("supply", "removal"):
        found += raw.get(kind, {}).get("outage", {}).values()
    return found


@st.composite
def any_line(draw: Draw) -> Tables:
    """Return the tables of a random scenario."""
    builder = _Everything(draw)
    builder.mix()
    builder.hours()
    builder.line()
    builder.bays_at_ends()
    builder.people()
    builder.equipment()
    builder.work()
    builder.surroundings()
    builder.absences()
    return builder.raw
