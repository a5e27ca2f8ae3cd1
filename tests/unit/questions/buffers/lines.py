"""Small lines whose answers about buffers are known."""

from collections.abc import Sequence


def row(times: Sequence[str], places: Sequence[int], *, length: str = "1 shift", more: str = "") -> str:
    """Return a row of free stations M1, M2, ... with a buffer B1, B2, ... in each gap, as text.

    Args:
        times: Time of each station's task, as TOML.
        places: Places of each buffer.
        length: Length of the run.
        more: Further lines of the scenario.
    """
    flow = [
        f'"S{i + 1}"' if kind == "S" else f'"B{i}"'
        for i in range(len(times))
        for kind in ("BS" if i else "S")
    ]
    lines = [
        'title = "A row"', 'takt = "600 s"', f"flow = [{', '.join(flow)}]",
        f'run = {{ length = "{length}", warm_up = "1 h", replications = 10 }}',
    ]  # fmt: skip
    for i, time in enumerate(times, start=1):
        lines += [f'section.S{i} = {{ pacing = "free", stations = ["M{i}"] }}',
                  f"station.M{i}.task.work = {{ people = 0, time = {time} }}"]  # fmt: skip
    lines += [f"buffer.B{i}.capacity = {n}" for i, n in enumerate(places, start=1)]
    return "\n".join([*lines, more])


def exponential(mean: float) -> str:
    """Return an exponential time [s], as TOML."""
    return f'{{ shape = "exponential", mean = "{mean:g} s" }}'


#: A bay that gives back to the lane before the test. With few places the lane fills up: the bay waits for a
#: place in it, the lane for the test, and the test for the bay. Of twenty places many stay free.
LOOP = """
title = "Round and round"
takt = "60 s"
flow = ["first", "lane", "second"]
[run]
length = "8 h"
replications = 4
[section.first]
pacing   = "free"
stations = ["A"]
[section.second]
pacing   = "free"
stations = ["B"]
[buffer.lane]
capacity = 20
[supply]
every = { shape = "exponential", mean = "120 s" }
[bay.corner]
section = "second"
rejoin  = "lane"
waiting = 0
places  = 1
max_passes = 2
[crew.all]
people = 5
covers = ["A", "B", "corner"]
[station.A.task.fit]
time  = "30 s"
fault = { chance = 0.5, found = "B.test", right = "corner", repair = "100 s" }
[station.B.task.test]
time  = "30 s"
again = true
"""
