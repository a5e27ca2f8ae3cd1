"""Small lines whose balance can be gone through by hand or by enumeration."""

from collections.abc import Sequence
from typing import Any

import numpy as np

#: K1 has more work than its takt, K2 has room: a job every 70 s, and every 60 s with `b` at K2.
TWO = """
title = "Two people"
takt = "60 s"
flow = ["line"]
[run]
length = "1 shift"
shift = "1 h"
warm_up = "10 min"
replications = 4
[cost]
margin_per_job = 100
currency = "EUR"
[section.line]
pacing = "moving"
stations = ["K1", "K2", "K3"]
[crew.one]
people = 1
covers = ["K1"]
[crew.two]
people = 1
covers = ["K2"]
[crew.three]
people = 1
covers = ["K3"]
[station.K1.task]
a = { time = "50 s" }
b = { time = "20 s", after = ["a"] }
[station.K2.task]
c = { time = "30 s", after = ["K1.b"] }
[station.K3.task]
d = { time = "55 s", after = ["K2.c"] }
"""


def random_line(seed: int, *, spread: float = 0.0, shared: bool = False) -> dict[str, Any]:
    """Return a line of three stations with six tasks, two options and some precedence, drawn from a seed.

    Args:
        seed: What it is drawn from.
        spread: Coefficient of variation of every time.
        shared: Whether one crew of three covers all stations, or each has its own person.
    """
    luck = np.random.Generator(np.random.Philox(seed))
    stations = ["K1", "K2", "K3"]
    raw: dict[str, Any] = {
        "takt": "60 s", "flow": ["line"], "run": {"length": "1 h"},
        "section": {"line": {"pacing": "moving", "stations": stations}},
        "station": {name: {"task": {}, "late": 0.2 if name != "K3" else 0.0} for name in stations},
        "option": {"x": {"take": 0.4}, "y": {"take": 0.7}},
        "crew": {"all": {"people": 3, "covers": stations}} if shared
        else {f"c{name}": {"people": 1, "covers": [name]} for name in stations},
    }  # fmt: skip
    homes: Sequence[int] = sorted(luck.integers(0, 3, 6).tolist())
    for t, home in enumerate(homes):
        time = {"mean": f"{int(luck.integers(10, 50))} s", "cv": spread}
        task: dict[str, Any] = {"time": time}
        if luck.random() < 0.5:
            task["options"] = [str(luck.choice(["x", "y"]))]
        if t and luck.random() < 0.5:
            before = int(luck.integers(0, t))
            task["after"] = [f"K{homes[before] + 1}.t{before}"]
        raw["station"][stations[home]]["task"][f"t{t}"] = task
    return raw
