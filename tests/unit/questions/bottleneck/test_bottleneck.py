"""`bottleneck`: periods by hand, whom each method names on lines whose bottleneck is plain, and its words."""

from __future__ import annotations

import json
from typing import Any

import pytest

from linesim.answers.document import Document
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.bottleneck import bottleneck
from linesim.questions.bottleneck.evidence import ARROW, GAIN, ONE_MORE, PERIOD, SHARE, STOP, TURN, links_of
from linesim.questions.bottleneck.periods import active_spans, periods_of
from linesim.scenario import from_dict, load_text
from tests.commands.calls import LINE
from tests.drives import both_drives
from tests.lines import tables, tandem
from tests.validation.lines import exponential
from tests.validation.lines import tandem as exponential_tandem

#: K1 always works almost a whole takt; K2 works less, but often longer than its takt.
STEADY_AND_WILD = """\
takt = "60 s"
flow = ["line"]
[run]
length       = "6 h"
replications = 10
shift        = "2 h"
[section.line]
pacing   = "moving"
stations = ["K1", "K2", "K3"]
[station.K2]
late = 0.1
[crew.one]
people = 3
covers = ["K1", "K2", "K3"]
[station.K1.task.steady]
time = "59 s"
[station.K2.task.wild]
time = { mean = "47 s", cv = 0.22 }
[station.K3.task.short]
time = "20 s"
"""
#: Two stations that one person serves in turn: neither is the constraint, the person is.
SHARED = """\
takt = "60 s"
flow = ["line"]
[run]
length       = "8 h"
replications = 4
shift        = "4 h"
[section.line]
pacing   = "free"
stations = ["K1", "K2"]
[crew.both]
people = 1
covers = ["K1", "K2"]
[crew.idle]
people = 1
covers = ["K2"]
[tool.lift]
count = 1
[station.K1.task.left]
time = { mean = "50 s", cv = 0.1 }
crew = "both"
[station.K2.task.right]
time = { mean = "50 s", cv = 0.1 }
crew = "both"
[station.K2.task.label]
time = "5 s"
crew = "idle"
tool = "lift"
"""
#: The same with the lift held by both tasks and people enough: the lift is the constraint.
LIFT = SHARED.replace("[crew.both]\npeople = 1", "[crew.both]\npeople = 2").replace(
    'crew = "both"', 'crew = "both"\ntool = "lift"'
)


@pytest.fixture(scope="module")
def hidden() -> Document:
    """Ask about a paced line whose pitch hides the bottleneck."""
    return bottleneck(load_text(STEADY_AND_WILD), faster=0.1)


def slow_middle() -> dict[str, Any]:
    """Return a free line of three stations whose middle one is slow in every job, with a place between."""
    raw = tandem([[10.0, 14.0, 10.0], [12.0, 15.0, 9.0]], [1, 1])
    raw["orders"]["after_last"] = "repeat"
    return {**raw, "run": {"length": "3000 s", "shift": "600 s"}}


# Active periods from the event log


def test_active_spans_of_two_stations_by_hand() -> None:
    """Three jobs of 10 s and 20 s without a place between: S1 pauses while S2 keeps it blocked."""
    plan = build(from_dict(tandem([[10, 20]] * 3, [0], length=100)))
    _, events = both_drives(plan)
    active, on_duty = active_spans(plan, [event for event in events if event.what == "station is"])
    # Job 2 is finished at S1 at 20 s and stays until S2 is free at 30 s; job 3 is worked 30-40 s.
    assert active == [[(0, 20_000), (30_000, 40_000)], [(10_000, 70_000)]]
    assert on_duty == [(0, 100_000)]


def test_periods_of_two_stations_by_hand() -> None:
    """S1 is the bottleneck alone for 10 s, both for 10 s, S2 alone for 50 s; averages are 15 s and 60 s."""
    plan = build(from_dict(tandem([[10, 20]] * 3, [0], length=100)))
    found, on_duty = periods_of(plan, 1, 1)
    assert (found.sole, found.shifting) == ((10_000, 50_000), (10_000, 10_000))
    assert found.average == (15_000, 60_000)
    assert on_duty == 100_000


def test_a_break_ends_a_period_and_is_not_on_duty() -> None:
    """Work that a break of 15 minutes interrupts counts as two periods; the break is nobody's time."""
    raw = tables(
        """
        [section.line]
        pacing = "free"
        stations = ["K1"]
        [calendar.day]
        shifts = ["06:00-08:00"]
        breaks = ["07:00-07:15"]
        [crew.one]
        people = 1
        covers = ["K1"]
        [station.K1.task.work]
        time = "2 h"
        """,
        length="2 h",
    )
    plan = build(from_dict({**raw, "run": {**raw["run"], "calendar": "day"}}))
    _, events = both_drives(plan)
    active, on_duty = active_spans(plan, [event for event in events if event.what == "station is"])
    assert active == [[(0, 3_600_000), (4_500_000, 7_200_000)]]
    assert on_duty == [(0, 3_600_000), (4_500_000, 7_200_000)]


def test_the_warm_up_does_not_count() -> None:
    """After a warm-up of 20 s, 20 s of S2 remain before S1 pauses no longer: shares begin there."""
    raw = tandem([[10, 20]] * 3, [0], length=80)
    raw["run"]["warm_up"] = "20 s"
    found, on_duty = periods_of(build(from_dict(raw)), 1, 1)
    assert (found.sole, found.shifting, on_duty) == ((0, 50_000), (0, 0), 80_000)
    assert found.average == (10_000, 60_000)


# Whom the methods name


def test_all_methods_name_a_slow_station_of_a_free_line() -> None:
    """Where the middle station is slower in every job, every method that has anything to say names it."""
    found = bottleneck(from_dict(slow_middle()), faster=0.1, replications=2)
    for method in (GAIN, SHARE, PERIOD, ARROW, TURN):
        assert found.table("methods").row(method)["named"] == "S2", method
    assert found.table("methods").row(STOP)["named"] == ""
    assert found.sentences[0] == "All 5 methods that name a place point to S2."
    stations = found.table("stations")
    gain = stations.row("S2")["gain"]
    # By hand: S2 passes 2 jobs in 29 s, a tenth faster 2 in 29/1.1 s; shifts of 600 s, but for whole jobs.
    assert gain.mean == pytest.approx(600 / 14.5 * 0.1, abs=0.3)
    assert stations.row("S1")["gain"].mean == pytest.approx(0, abs=0.21)
    assert stations.row("S2")["stop"] is None


@pytest.mark.parametrize(("line", "named"), [(SHARED, "crew both"), (LIFT, "tool lift")])
def test_a_shared_crew_or_tool_is_named_where_it_is_the_constraint(line: str, named: str) -> None:
    """Where two stations wait for one person or one lift, one more of it brings the most and leads."""
    found = bottleneck(load_text(line))
    more = found.table("methods").row(ONE_MORE)
    assert more["named"] == more["could_be"] == named
    gains = {row["label"]: row["gain"] for row in found.table("resources")}
    assert list(gains) == ["crew both", "crew idle", "tool lift"]
    # By hand: one does a job in 100 s, 144 a shift; two in 50 s at best, 288, less some waiting.
    gain = gains[named]
    assert gain.mean is not None and gain.low is not None and 100 < gain.mean < 144
    assert all(gain.low == gain.high == 0 for label, gain in gains.items() if label == "crew idle")
    assert found.sentences[0].startswith(f"Of crews, tools and carriers, one more of {named} brings the most")
    assert "surely more than any station made 5 % faster" in found.sentences[0]
    # All gains hold together: two stations made faster and three with one more.
    assert gain.comparisons == 5 and None not in found.table("stations").column("gain")
    assert gain.verdict == "higher"


def test_gains_of_everything_asked_about_hold_together() -> None:
    """With one crew asked about beside five gains its interval is narrower, for the same figures."""
    line = load_text(SHARED)
    alone = bottleneck(line, only=["crew.both"])
    assert set(alone.table("stations").column("gain")) == {None} and len(alone.table("resources")) == 1
    assert not any("than any station" in text for text in alone.sentences)  # none was asked about
    both, single = (one.table("resources").row("crew both")["gain"] for one in (bottleneck(line), alone))
    assert both.mean == single.mean
    assert both.half_width > single.half_width > 0


def test_where_one_more_brings_nothing_sure_nobody_is_named() -> None:
    """A single replication has no interval, and the idle crew alone brings nothing."""
    line = load_text(SHARED)
    one = bottleneck(line, replications=1)
    assert one.table("methods").row(ONE_MORE)["named"] == ""
    assert any(
        text.startswith("Whether one more of crew both, crew idle and tool lift") for text in one.sentences
    )
    idle = bottleneck(line, only=["K1", "crew.idle"])
    assert any("One more of crew idle, each alone, brings no more" in text for text in idle.sentences)
    assert one.table("methods").row(ONE_MORE)["names"] == "can't tell"


def test_where_no_sign_is_clear_rules_of_idle_time_name_nobody() -> None:
    """On a line of four machines that are all alike, a few short runs leave open where blocking turns."""
    raw = exponential_tandem([exponential(100.0)] * 4, 1, length=8000, warm_up=2000)
    found = bottleneck(from_dict(raw), only=["M0"], measure="throughput", replications=4)
    for method in (ARROW, TURN):
        row = found.table("methods").row(method)
        assert row["names"] == "can't tell" and {"M1", "M2"} <= set(row["could_be"].split(", ")), method
    said = next(text for text in found.sentences if "blocking and starving" in text)
    assert "where the arrow rule points the data can't tell (" in said
    assert "where blocked turns into starved the data can't tell (" in said
    assert "turning point" not in found.sentences[0] and "arrow" not in found.sentences[0]


def test_the_pitch_hides_a_bottleneck_and_the_answer_says_so(hidden: Document) -> None:
    """The steady station has the longest periods, the wild one all stops and the gain: they disagree."""
    named = {row["method"]: row["named"] for row in hidden.table("methods")}
    assert named[GAIN] == named[STOP] == "K2"
    assert (named[PERIOD], named[ARROW]) == ("K1", "")
    said = " ".join(hidden.sentences)
    assert hidden.sentences[0].startswith("The methods disagree: K2 by gain from speed and minutes of stop")
    assert "the pitch hides a bottleneck" in said
    assert "nothing to compare: the line is one section" in said
    assert "mostly work still open at the limit" in said


def test_figures_agree_with_each_other(hidden: Document) -> None:
    """Sole and shifting add up to the share, and somebody is the bottleneck for most of the time."""
    stations = hidden.table("stations")
    for row in stations:
        assert row["share"].mean == pytest.approx(row["sole"].mean + row["shifting"].mean)
    assert 0.95 < sum(row["sole"].mean + row["shifting"].mean / 2 for row in stations) <= 1.0001
    first = stations.row(hidden.table("methods").row(SHARE)["names"])
    assert max(row["share"].mean for row in stations) == first["share"].mean
    stops = {row["station"]: row["stop"].mean for row in stations}
    assert stops["K1"] == stops["K3"] == 0 < stops["K2"]


def test_a_paced_section_is_one_link() -> None:
    """Free stations stand for themselves, a moving section for all its stations."""
    links = links_of(build(load_text(LINE)))
    assert [(link.name, link.stations, link.is_paced) for link in links] == [
        ("A", ("A",), False),
        ("back", ("B", "C"), True),
    ]


def test_gains_can_be_asked_for_a_few_stations() -> None:
    """With `only` one station is made faster; all others keep their other figures."""
    found = bottleneck(load_text(LINE), only=["B"], replications=2)
    stations = found.table("stations")
    assert [row["station"] for row in stations if row["gain"] is not None] == ["B"]
    assert [case.name for case in found.card.cases] == ["as it is", "B 5 % faster", "as it is, event log"]
    assert 'station.B.task.bolt.time.mean = "42.8571429 s"' in found.card.cases[1].changes  # 45 / 1.05
    assert all(row["share"].mean is not None for row in stations)


def test_one_replication_has_no_interval_and_tells_nothing_apart() -> None:
    """With a single replication every station could be first, and a sentence says so."""
    found = bottleneck(load_text(LINE), replications=1)
    assert set(found.table("methods").row(SHARE)["could_be"].split(", ")) == {"A", "B", "C"}
    assert any("no figure has an interval" in text for text in found.sentences)
    assert all(row["share"].low is None for row in found.table("stations"))


def test_wrong_questions_are_told() -> None:
    """An unknown station, a figure of which less is better, and an impossible speed are refused."""
    line = load_text(LINE)
    with pytest.raises(WrongQuestionError, match="'Z' is not a station"):
        bottleneck(line, only=["Z"])
    with pytest.raises(WrongQuestionError, match="more is better"):
        bottleneck(line, measure="line_stop:back")
    with pytest.raises(WrongQuestionError, match="write a share"):
        bottleneck(line, faster=0)
    with pytest.raises(WrongQuestionError, match="none of these stations has a task"):
        bottleneck(line, only=["C"])


def test_cautions_speak_of_people_and_robots_and_clear_nothing(hidden: Document) -> None:
    """Faster people bring the subjects of ergonomics, faster robots those of machinery."""
    said = " ".join(hidden.cautions)
    assert "ISO 11228-3" in said and "ISO 10218" not in said
    robot = load_text(LINE.replace("[station.A.task.fit]", "[robot.R1]\n[station.A.task.fit]\nrobot = 'R1'"))
    assert "ISO 10218-1" in " ".join(bottleneck(robot, only=["A"], replications=1).cautions)


def test_the_answer_repeats_byte_for_byte(hidden: Document) -> None:
    """The same scenario and seed give the same JSON, with any number of workers."""
    again = bottleneck(load_text(STEADY_AND_WILD), faster=0.1, workers=2)
    assert again.to_json() == hidden.to_json()
    assert json.loads(again.to_json())["study"] == "bottleneck"
    assert set(again.files()) == {
        "methods.csv",
        "stations.csv",
        "resources.csv",
        "links.csv",
        "bottleneck.json",
    }
