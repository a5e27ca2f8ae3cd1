"""Random lines, first half: what is built, when, and what stands where."""

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


class Builder:
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
            table[self.pick(("failure", "disturbance"))] = {"chain": self.mode()}
        self.raw["section"][name] = table
        self.sections[name], self.pacing[name] = names, pacing
        self.stations += names
        for station in names:
            self.raw["station"][station] = {}
        flow.append(name)

    def mode(self) -> Tables:
        """Return a way to fail."""
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
