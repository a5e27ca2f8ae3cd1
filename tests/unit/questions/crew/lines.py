"""Small lines whose answers to one more operator are known by hand."""

#: Two tasks of 10 min, one operator for both: 24 jobs in a shift of 8 h; with two, 48.
SHARED = """
title = "One operator, two stations"
takt = "10 min"
flow = ["line"]
[run]
warm_up = "2 h"
length = "2 shifts"
replications = 8
[section.line]
pacing = "free"
stations = ["A", "B"]
[crew.pair]
people = 1
covers = ["A", "B"]
[crew.idle]
people = 1
covers = []
[station.A.task.fit]
time = "10 min"
crew = ["pair"]
[station.B.task.fit]
time = "10 min"
crew = ["pair"]
[cost]
operator_per_shift = 300
margin_per_job = 100
currency = "EUR"
"""

#: Two tasks of 400 s that can be done side by side under a takt of 600 s: one person stops the line 200 s of
#: every 800 s, 120 minutes of a shift; two do not.
OVERRUN = """
title = "Two hands too few"
takt = "10 min"
flow = ["line"]
[run]
warm_up = "2 h"
length = "2 shifts"
replications = 8
[section.line]
pacing = "moving"
stations = ["K1", "K2"]
[crew.k]
people = 1
covers = ["K1", "K2"]
[station.K1.task.left]
time = "400 s"
[station.K1.task.right]
time = "400 s"
[cost]
operator_per_shift = 300
stop_minute = 5
currency = "€"
"""

#: Two stations alike, each with a crew of its own: one more in either leaves the other in the way.
ALIKE = """
title = "Two alike"
takt = "600 s"
flow = ["line"]
[run]
length = "1 shift"
replications = 6
[section.line]
pacing = "moving"
stations = ["K1", "K2"]
[crew.first]
people = 1
covers = ["K1"]
[crew.second]
people = 1
covers = ["K2"]
[station.K1.task.left]
time = { mean = "350 s", cv = 0.4 }
[station.K1.task.right]
time = { mean = "350 s", cv = 0.4 }
[station.K2.task.left]
time = { mean = "350 s", cv = 0.4 }
[station.K2.task.right]
time = { mean = "350 s", cv = 0.4 }
"""
