"""Random lines that mix everything a scenario can say; valid by construction, short to run."""

from collections.abc import Sequence
from typing import Any

from hypothesis import strategies as st

Tables = dict[str, Any]
Draw = Any  #: what `st.composite` hands over

SHIFT_MIN = 40  #: length of a run with a calendar [min]


def maybe(draw: Draw, percent: int) -> bool:
    """Return yes in about so many of a hundred cases; no is the simpler one."""
    return draw(st.integers(0, 99)) >= 100 - percent


def seconds(draw: Draw, low: int, high: int) -> str:
    """Return a whole number of seconds as text."""
    return f"{draw(st.integers(low, high))} s"


def time(draw: Draw, low: int, high: int) -> Any:
    """Return a time: constant (often whole seconds, so that instants coincide) or random."""
    kind = draw(st.sampled_from(("constant", "constant", "constant", "lognormal", "uniform", "exponential")))
    mean = draw(st.integers(low, high))
    if kind == "constant" or mean == 0:
        return f"{mean} s"
    if kind == "lognormal":
        return {"mean": f"{mean} s", "cv": draw(st.sampled_from((0.1, 0.4)))}
    if kind == "uniform":
        return {"shape": "uniform", "low": f"{mean // 2} s", "high": f"{mean + mean // 2} s"}
    return {"shape": "exponential", "mean": f"{mean} s"}


class _Builder:
    """Puts one scenario together; each method adds one family of things."""

    def __init__(self, draw: Draw) -> None:
        self.draw = draw
        self.takt = draw(st.sampled_from((20, 30, 60)))
        self.raw: Tables = {"title": "any line", "takt": f"{self.takt} s"}
        self.flow: list[str] = []
        self.sections: dict[str, list[str]] = {}
        self.pacing: dict[str, str] = {}
        self.main: list[str] = []  #: stations of the main line
        self.stations: list[str] = []
        self.calendars: list[str] = []
        self.options: list[str] = []
        self.models: list[str] = []
        self.bays: dict[str, str] = {}  #: bay: section
        self.covered: dict[str, int] = {}  #: people who cover a station or bay

    def pick(self, items: Sequence[Any]) -> Any:
        return self.draw(st.sampled_from(list(items)))

    def yes(self, percent: int) -> bool:
        return maybe(self.draw, percent)

    def number(self, low: int, high: int) -> int:
        return int(self.draw(st.integers(low, high)))

    def seconds(self, low: int, high: int) -> str:
        return seconds(self.draw, low, high)

    def time(self, low: int, high: int) -> Any:
        return time(self.draw, low, high)

    # What is built

    def mix(self) -> None:
        self.models = [f"m{k}" for k in range(self.number(1, 2))]
        self.raw["model"] = {name: {"share": self.number(1, 3)} for name in self.models}
        self.options = [f"o{k}" for k in range(self.number(0, 2))]
        if self.options:
            self.raw["option"] = {name: {"take": self.pick((0.2, 0.5, 1.0))} for name in self.options}
        sequence = self.pick(("random", "random", "levelled", "listed"))
        orders: Tables = {"sequence": sequence}
        if sequence == "listed":
            n = self.number(1, 12)
            orders["list"] = [
                "+".join([self.pick(self.models), *[o for o in self.options if self.yes(40)]])
                for _ in range(n)
            ]
            orders["after_last"] = self.pick(("end", "repeat"))
        self.raw["orders"] = orders

    # Working time

    def hours(self) -> None:
        if not self.yes(35):
            self.raw["run"] = {
                "length": f"{self.number(8, 25)} min", "warm_up": f"{self.pick((0, 0, 3, 7))} min",
                "shift": f"{self.pick((5, 10))} min", "replications": 1,
                "start": self.pick(("empty", "empty", "full")),
            }  # fmt: skip
            return
        tables: Tables = {}
        for name in ("day", "other")[: self.number(1, 2)]:
            spans = (self.number(3, 10), self.number(1, 4)), (self.number(16, 24), self.number(1, 6))
            breaks = [f"06:{at:02d}-06:{at + n:02d}" for at, n in spans if self.yes(60)]
            tables[name] = {"shifts": [f"06:00-06:{SHIFT_MIN}"], "breaks": breaks}
        self.calendars = list(tables)
        self.raw["calendar"] = tables
        self.raw["run"] = {
            "length": f"{SHIFT_MIN} min", "warm_up": f"{self.pick((0, 0, 5))} min", "calendar": "day",
            "replications": 1, "start": self.pick(("empty", "full")),
        }  # fmt: skip

    def follows(self) -> Tables:
        """Return the key for a calendar of its own, at times."""
        if len(self.calendars) > 1 and self.yes(40):
            return {"calendar": "other"}
        return {}

    # What stands

    def line(self) -> None:
        self.raw["section"], self.raw["buffer"], self.raw["station"] = {}, {}, {}
        for k in range(self.pick((1, 2, 2, 3))):
            if k and self.yes(80):
                self._buffer(f"b{k}", self.flow)
            self._section(f"s{k}", f"{'ABC'[k]}", self.flow)
        self.main = list(self.stations)
        self.raw["flow"] = self.flow
        if self.yes(15):
            flow: list[str] = []
            self._section("feed", "F", flow)
            if self.yes(50):
                self._buffer("bf", flow)
            self.raw["feeder"] = {"side": {"flow": flow, "joins": self.pick([*self.main, *self.flow[:1]])}}

    def _buffer(self, name: str, flow: list[str]) -> None:
        self.raw["buffer"][name] = {"capacity": self.pick((0, 1, 2, 3))}
        if self.yes(40):
            self.raw["buffer"][name]["travel"] = self.seconds(1, self.takt)
        flow.append(name)

    def _section(self, name: str, letter: str, flow: list[str]) -> None:
        pacing = self.pick(("moving", "indexed", "free"))
        names = [f"{letter}{k + 1}" for k in range(self.number(1, 3))]
        table: Tables = {"pacing": pacing, "stations": names, **self.follows()}
        if pacing == "indexed" and self.yes(70):
            table["transfer"] = self.seconds(1, self.takt // 2)
        if pacing != "free":
            if self.yes(30):
                table["on_gap"] = "wait"
            if self.yes(20):
                table["takt"] = f"{self.takt + self.pick((-5, 5, 10))} s"
        if self.yes(25):
            table[self.pick(("failure", "disturbance"))] = {"chain": self._mode()}
        self.raw["section"][name] = table
        self.sections[name], self.pacing[name] = names, pacing
        self.stations += names
        for station in names:
            self.raw["station"][station] = {}
        flow.append(name)

    def _mode(self) -> Tables:
        per = self.pick(("running", "calendar", "jobs"))
        mode: Tables = {"per": per, "lasts": self.time(0, 2 * self.takt)}
        mode["every"] = self.number(1, 6) if per == "jobs" else self.time(2 * self.takt, 10 * self.takt)
        return mode

    def bays_at_ends(self) -> None:
        at = [name for name in self.flow if name in self.sections]
        if not self.yes(35):
            return
        table: Tables = {}
        for k in range(self.number(1, 2)):
            section = self.pick(at)
            roomy = [b for b in self.flow if self.raw["buffer"].get(b, {}).get("capacity")]
            above = [b for b in roomy if self.flow.index(b) < self.flow.index(section)]
            bay: Tables = {
                "section": section, "waiting": self.number(0, 2), "places": self.number(1, 2),
                "rejoin": self.pick(["out", *above, *above, *roomy]),
                "on_full": self.pick(("hold", "carry on")),
            }  # fmt: skip
            if self.yes(50) or bay["rejoin"] != "out":
                bay["max_passes"] = self.number(1, 2)
            if self.yes(60):
                bay["success"] = self.pick((0.0, 0.5))
            table[f"bay{k}"] = bay
            self.bays[f"bay{k}"] = section
        self.raw["bay"] = table

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
                robot["failure"] = {f"way{i}": self._mode() for i in range(self.number(1, 2))}
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
                    self.raw["station"][station]["disturbance"] = {self.pick(("parts", "kit")): self._mode()}
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
                table["late"] = self.pick((0.25, 0.5, 1.0, 1.5))
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
            later = [s for s in self._later(station) if s in self.stations]
            fault["found"] = self.pick([station, *later])
            fault["detect"] = self.pick((0.5, 1.0))
        start = station if fault["found"] == "at once" else fault["found"]
        later = self._later(start)
        fault["right"] = self.pick(["there", *later, *(place for place in later if place in self.bays)])
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
    builder = _Builder(draw)
    builder.mix()
    builder.hours()
    builder.line()
    builder.bays_at_ends()
    builder.people()
    builder.equipment()
    builder.work()
    builder.surroundings()
    return builder.raw
