"""Which inputs are in doubt, and what their low and high ends are."""

from __future__ import annotations

from linesim.questions.doubt.inputs import DEFAULT_RANGE, Doubtful, by_station, doubtful_in
from linesim.scenario import load, load_text
from linesim.scenario.replace import lines_of
from tests.documents.pages import ROOT

EVERY_KIND = """\
takt = "60 s"
flow = ["cell"]
[run]
length = "1 h"
[model.plain]
[model.rich]
[option.rack]
take = { plain = { value = 0.5, confidence = "estimated" }, rich = 0.9 }
[section.cell]
pacing   = "free"
stations = ["K1"]
[station.K1.disturbance.parts]
every = 40
per   = "jobs"
lasts = "2 min"
confidence = "guess"
[robot.R1.failure.jam]
every = "2 h"
lasts = "5 min"
confidence = "guess"
range = [0.5, 2.0]
[robot.R1.failure.slip]
every = { shape = "exponential", mean = "1 h", confidence = "measured" }
lasts = "1 min"
confidence = "estimated"
[station.K1.task.press]
robot = "R1"
time  = "40 s"
confidence = "guess"
[station.K1.task.press.time_for]
rich = { mean = "50 s", cv = 0.1, confidence = "measured" }
[station.K1.task.press.fault.crack]
chance = 0.4
chance_for = { rich = { value = 0.02, confidence = "measured" } }
found  = "at once"
repair = { mean = "30 s", cv = 0.2, confidence = "estimated", range = [0.9, 1.2] }
confidence = "guess"
range  = [0.5, 3.0]
"""


def found(text: str = EVERY_KIND) -> dict[str, Doubtful]:
    """Return the doubtful inputs of a scenario by name."""
    return {item.name: item for item in doubtful_in(load_text(text))}


def test_every_kind_of_input_moves_as_said() -> None:
    """Times scale, chances are multiplied up to 1, failures come more often, parts with own weights stay."""
    inputs = found()
    assert {name: (lines_of(item.low), lines_of(item.high)) for name, item in inputs.items()} == {
        "station.K1.disturbance.parts": (
            ("station.K1.disturbance.parts.every = 57",),  # 40 / 0.7
            ("station.K1.disturbance.parts.every = 31",),  # 40 / 1.3
        ),
        "station.K1.task.press": (
            ('station.K1.task.press.time.mean = "28 s"',),
            ('station.K1.task.press.time.mean = "52 s"',),
        ),
        "station.K1.task.press.fault.crack": (
            ("station.K1.task.press.fault.crack.chance.value = 0.2",),
            ("station.K1.task.press.fault.crack.chance.value = 1.0",),  # 1.2, and a chance ends at 1
        ),
        "robot.R1.failure.jam": (
            ('robot.R1.failure.jam.every.mean = "4 h"',),
            ('robot.R1.failure.jam.every.mean = "1 h"',),
        ),
        "option.rack.take.plain": (
            ("option.rack.take.plain.value = 0.425",),
            ("option.rack.take.plain.value = 0.575",),
        ),
        "option.rack.take.rich": (  # without a mark
            ("option.rack.take.rich.value = 0.765",),
            ("option.rack.take.rich.value = 1.0",),
        ),
        "station.K1.task.press.fault.crack.repair": (
            ('station.K1.task.press.fault.crack.repair.mean = "27 s"',),
            ('station.K1.task.press.fault.crack.repair.mean = "36 s"',),
        ),
        "robot.R1.failure.slip": (  # how often is measured, so how long it lasts is in doubt
            ('robot.R1.failure.slip.lasts.mean = "0.85 min"',),
            ('robot.R1.failure.slip.lasts.mean = "1.15 min"',),
        ),
    }
    assert inputs["robot.R1.failure.jam"].what == "how often it fails"
    assert inputs["robot.R1.failure.slip"].what == "time"
    assert inputs["station.K1.task.press.fault.crack"].what == "chance"


def test_inputs_without_a_mark_are_estimates() -> None:
    """Parts without a mark count, unless a mark on their whole speaks for them, or they are 0."""
    silent = EVERY_KIND.replace('confidence = "guess"\n', "")
    inputs = found(silent)
    assert {name for name, item in inputs.items() if item.silent} == {
        "option.rack.take.rich",
        "station.K1.disturbance.parts",  # counted in jobs: how often it comes
        "station.K1.disturbance.parts.lasts",
        "robot.R1.failure.jam.every",
        "robot.R1.failure.jam.lasts",
        "station.K1.task.press.time",
        "station.K1.task.press.fault.crack.chance",
    }
    assert all(item.weight == "estimated" for item in inputs.values())
    assert inputs["robot.R1.failure.slip"].silent == 0
    marked = found(silent.replace('time  = "40 s"\n', 'time  = "40 s"\nconfidence = "measured"\n'))
    assert "station.K1.task.press.time" not in marked
    never = found(silent.replace("chance = 0.4", "chance = 0.0"))  # and `detect`, which is 1, stays always
    assert "station.K1.task.press.fault.crack.chance" not in never


def test_guesses_come_first_and_ranges_are_their_own_or_the_usual_ones() -> None:
    """Guesses stand before estimates; without a range 0.7 to 1.3 and 0.85 to 1.15 are taken, and told."""
    inputs = list(found().values())
    weights = [item.weight for item in inputs]
    assert weights == sorted(weights, reverse=True) and set(weights) == {"guess", "estimated"}
    assert dict(DEFAULT_RANGE) == {"guess": (0.7, 1.3), "estimated": (0.85, 1.15)}
    for item in inputs:
        assert item.is_default == (item.ends == DEFAULT_RANGE[item.weight])


def test_every_end_can_be_laid_over_the_scenario() -> None:
    """The lines of every doubtful input of two shipped lines give a scenario that is right, and another."""
    count = 0
    for path in ("features/guesses.toml", "tractor/line.toml"):
        line = load(ROOT / "scenarios" / path)
        for item in doubtful_in(line)[:20]:
            for changes in (item.low, item.high):
                assert line.replace(changes).fingerprint() != line.fingerprint(), item.name
                count += 1
    assert count >= 40


def test_estimates_of_a_station_move_together() -> None:
    """Grouped, the estimated times of a station are one input, and so are its unmarked fault chances."""
    tractor = doubtful_in(load(ROOT / "scenarios" / "tractor" / "line.toml"))
    groups = by_station(tractor)
    assert sum(item.count for item in groups) == len(tractor) == 137
    assert sum(item.count - item.silent for item in tractor) == 62, "marked as guesses and estimates"
    assert len(groups) < 80
    names = {item.name: item for item in groups}
    assert names["3 unmarked fault chances at F6"].silent == names["3 unmarked take rates of cab"].silent == 3
    together = names["6 estimated times of F1"]
    assert len(together.low) == 6 and all(place[:3] == ("station", "F1", "task") for place in together.low)
    assert all(item.count == 1 for item in groups if item.weight == "guess")
