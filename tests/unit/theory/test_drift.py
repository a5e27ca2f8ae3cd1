"""Drift along a moving line: open and closed stations, and traces by hand."""

from __future__ import annotations

import pytest

from linesim.theory.departures import closed_station, line_stop_pitches
from linesim.theory.laws import exponential, normal
from tests.formulas.drift import displacement_trace, exponential_drift, moving_line, normal_drift, open_drift


def test_open_station() -> None:
    """A station open to the right must drift as a queue with arrivals every takt waits."""
    found = exponential_drift(48, 60)  # recomputed: root of x = exp(-(1 - x) 60 / 48)
    assert found.mean == pytest.approx(81.251080, abs=6e-7)
    assert found.chance_late == pytest.approx(0.628630, abs=6e-7)
    tight, loose = normal_drift(54, 8, 60), normal_drift(57, 6, 60)  # recomputed: Spitzer's sum
    assert (tight.mean, 1 - tight.chance_late) == pytest.approx((1.987045, 0.689157), abs=6e-7)
    assert (loose.mean, 1 - loose.chance_late) == pytest.approx((3.192376, 0.529325), abs=6e-7)


def test_open_station_on_a_lattice() -> None:
    """The lattice, good for any law, must agree with the closed forms."""
    lattice = open_drift(normal(54, 8), 60, reach=100, cells=1500)
    assert lattice.mean == pytest.approx(1.987045, abs=2e-4)
    assert open_drift(exponential(20), 60, reach=400, cells=1500).mean == pytest.approx(
        exponential_drift(20, 60).mean, abs=5e-3
    )
    for refused in (lambda: open_drift(normal(61, 8), 60, reach=100), lambda: normal_drift(60, 1, 60)):
        with pytest.raises(ValueError, match="below"):
            refused()
    with pytest.raises(ValueError, match="below takt"):
        exponential_drift(60, 60)


@pytest.mark.parametrize(
    ("share", "heavy", "light", "length", "displacement", "overload"),
    [  # recomputed: closed form for steps of +-10, exact chain
        (0.5, 70, 50, 60, 0, 5),
        (0.5, 70, 50, 70, 5, 2.5),
        (0.5, 70, 50, 80, 10, 1.66666667),
        (0.5, 70, 50, 90, 15, 1.25),
        (0.4, 70, 50, 80, 7.36842105, 0.84210526),
        (1 / 3, 70, 55, 75, 6.73913043, 1.15942029),
    ],
)
def test_closed_station(
    share: float, heavy: float, light: float, length: float, displacement: float, overload: float
) -> None:
    """A closed station with two kinds of jobs must drift and overload as tabled."""
    found = closed_station([(heavy, share), (light, 1 - share)], 60, length)
    assert (found.displacement, found.overload) == pytest.approx((displacement, overload), abs=6e-9)
    if light == 50:
        m, ratio = int((length - 60) / 10), share / (1 - share)
        top = ratio**m / sum(ratio**k for k in range(m + 1))
        assert found.overload == pytest.approx(10 * share * top)


def test_closed_station_refuses_half_a_mix() -> None:
    """Chances that do not add up to one must be refused."""
    with pytest.raises(ValueError, match="add up to 1"):
        closed_station([(70, 0.5), (50, 0.4)], 60, 80)


def test_displacement_traces() -> None:
    """Start, finish and overload of every job must be those computed by hand."""
    heavy = {"H": 70.0, "B": 52.0}
    first = displacement_trace([heavy[k] for k in "HHBHHBBHBH"], 60, 80)
    assert first.starts == (0, 10, 20, 12, 20, 20, 12, 4, 14, 6)
    assert first.overloads == (0, 0, 0, 2, 10, 0, 0, 0, 0, 0)
    assert first.final == 16
    second = displacement_trace([heavy[k] for k in "HBHBHBHBHB"], 60, 80)
    assert second.starts == (0, 10, 2, 12, 4, 14, 6, 16, 8, 18)
    assert (sum(second.overloads), second.final) == (0, 10)
    mixed = (70, 52, 75, 66, 58, 80, 45, 71)
    third = displacement_trace(mixed, 60, 85)
    assert third.starts == (0, 10, 2, 17, 23, 21, 25, 10)
    assert third.finishes == (70, 62, 77, 83, 81, 85, 70, 81)
    assert third.overloads == (0, 0, 0, 0, 0, 16, 0, 0)


def test_displacement_with_walking() -> None:
    """A crew that walks five times as fast as the conveyor must meet the next job 50 s back."""
    walked = displacement_trace((70, 52, 75, 66, 58, 80, 45, 71), 60, 85, walk_speed=5)
    assert walked.starts == pytest.approx((0, 20, 22, 35, 35, 35, 35, 30))  # by hand
    assert walked.overloads == pytest.approx((0, 0, 12, 16, 8, 30, 0, 16))
    assert sum(walked.overloads) == pytest.approx(82)
    with pytest.raises(ValueError, match="length >= takt"):
        displacement_trace((70,), 60, 50)


def test_line_stop_trace() -> None:
    """Pitches of a line that stops must be the largest work in it, never below the takt."""
    work = [[55, 62, 58], [70, 50, 61], [48, 66, 59], [60, 60, 75], [52, 58, 57], [64, 49, 63]]
    pitches = line_stop_pitches(work, 60)  # by hand
    assert pitches == (60, 70, 60, 66, 60, 75, 60, 63)
    assert sum(pitches) == 514
    assert sum(p - 60 for p in pitches) == 34
    assert sum(max(0, t - 60) for row in work for t in row) == 41


def test_kinematics() -> None:
    """Speed, spacing and length must give rate, transit and content."""
    line = moving_line(0.1, 6, 6, 12)
    assert (line.jobs_per_hour, line.transit_s, line.jobs_on_line) == pytest.approx((60, 720, 12))
    with pytest.raises(ValueError, match="stations >= 1"):
        moving_line(0.1, 6, 6, 0)
