"""Lines of TOML, factors, points and designs: what is written is what is read back."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.errors import ScenarioError, WrongQuestionError
from linesim.questions.varying import (
    Factor,
    Point,
    cases_of,
    factor_of,
    grid,
    hypercube,
    one_at_a_time,
    read_points,
    two_level,
)
from linesim.scenario import load, load_text
from linesim.scenario.toml import table_of, toml_line
from linesim.stats.designs import confused_pairs, resolution_of
from tests.commands.calls import LINE, ROOT
from tests.lines import to

_TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
_VALUES = st.recursive(
    st.booleans() | st.integers(-(2**60), 2**60) | st.floats(allow_nan=False, allow_infinity=False) | _TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_TEXTS, inner, max_size=3),
    max_leaves=6,
)


def _at(table: object, path: tuple[str, ...]) -> object:
    for part in path:
        assert isinstance(table, dict)
        table = table[part]
    return table


@given(st.lists(_TEXTS, min_size=1, max_size=4), _VALUES)
def test_a_line_reads_back_as_what_was_written(path: list[str], value: object) -> None:
    """Whatever the names and the value are, TOML's own reader finds that value at that place."""
    found = tomllib.loads(toml_line(tuple(path), value))
    assert _at(found, tuple(path)) == value


def test_lines_are_laid_over_a_scenario_and_nothing_else_changes() -> None:
    """A line changes what it names; without lines, and with the change undone, nothing is changed."""
    base = load_text(LINE)
    changed = base.replace({"buffer.lane.capacity": 5})
    assert changed.buffer["lane"].capacity == 5
    assert changed.fingerprint() != base.fingerprint()
    assert base.replace({}) is base
    assert changed.replace({"buffer.lane.capacity": 2}).fingerprint() == base.fingerprint()


SHIPPED = sorted((ROOT / "scenarios").rglob("*.toml"))


@pytest.mark.parametrize("file", SHIPPED, ids=lambda path: path.stem)
def test_laying_lines_over_any_scenario_keeps_the_rest(file: Path) -> None:
    """Every shipped scenario has the same content under a line that changes nothing but its title."""
    scenario = load(file)
    assert scenario.replace({"title": "another"}).fingerprint() == scenario.fingerprint()


@pytest.mark.parametrize(
    "lines",
    [
        ["option.rack.take = { plain = 0.2, rich = 0.4 }"],
        ["option.rack.take = { plain = 0.2 }", "option.rack.take = 0.3"],
        ["station.B.task.rack.time = { mean = '20 s', cv = 0.2 }"],
        ["station.B.task.rack.time = { shape = 'uniform', low = '10 s', high = '30 s' }"],
        ["station.A.task.fit.time = '50 s'"],
        ["station.A.task.fit.time = { shape = 'erlang', mean = '50 s', stages = 3 }"],
        ["station.A.task.fit.time.cv = 0.1"],
        ["station.A.task.fit.fault.chance = 0.1"],
    ],
)
def test_a_line_means_what_it_means_over_the_file(lines: list[str]) -> None:
    """A rate becomes rates by model, a constant time a spread one, as if laid over the file itself."""
    assert load_text(LINE).replace(to(*lines)).fingerprint() == load_text(LINE, sets=lines).fingerprint()


def test_a_wrong_line_is_told_like_a_wrong_file() -> None:
    """A key that no scenario has is refused with the nearest known key."""
    with pytest.raises(ScenarioError, match="capacity"):
        load_text(LINE).replace({"buffer.lane.capacty": 5})


def test_a_factor_is_one_key_and_a_list() -> None:
    """Lists of lists and of tables are values; no list, two keys, no TOML and an empty list are refused."""
    assert factor_of("section.back.stations = [['B'], ['B', 'C']]").values == (["B"], ["B", "C"])
    assert factor_of("option.rack.take = [0.2, { plain = 0.1 }]").values == (0.2, {"plain": 0.1})
    assert factor_of('buffer."lane 1".capacity = [1]').name == 'buffer."lane 1".capacity'
    for wrong in ("takt = '60 s'", "a = [1]\nb = [2]", "a = [1", "buffer = {}", "a = []", "a = [1, 1]"):
        with pytest.raises(WrongQuestionError):
            factor_of(wrong)


@pytest.mark.parametrize(
    ("ends", "share", "expected"),
    [
        ((2, 5), 0.0, 2),
        ((2, 5), 0.2499, 2),
        ((2, 5), 0.25, 3),
        ((2, 5), 0.999, 5),
        ((5, 2), 0.1, 5),
        ((0.2, 0.4), 0.5, 0.3),
        (("90 s", "100 s"), 0.5, "95 s"),
        (("1 min", "90 s"), 0.5, "75 s"),
        (("1 shift", "3 shifts"), 0.5, "2 shifts"),
    ],
)
def test_values_between_two_ends(ends: tuple[object, object], share: float, expected: object) -> None:
    """Whole numbers have equal parts of the range, times keep their unit, mixed units become seconds."""
    assert Factor(("x",), ends).between(share) == expected


@pytest.mark.parametrize("ends", [(True, False), ("quick", "slow"), (1, "2 s"), (1, 2, 3)])
def test_nothing_lies_between_other_ends(ends: tuple[object, ...]) -> None:
    """Yes and no, words, mixed kinds and three values are no range."""
    with pytest.raises(WrongQuestionError):
        Factor(("x",), ends).between(0.5)


A, B, C = Factor(("a",), (1, 2)), Factor(("b",), (3, 4, 5)), Factor(("c",), (0.0, 1.0))


def test_a_grid_has_every_combination_once() -> None:
    """Two and three values make six points, the last factor changing fastest."""
    points = grid([A, B])
    assert [point.lines for point in points[:2]] == [("a = 1", "b = 3"), ("a = 1", "b = 4")]
    assert len({point.lines for point in points}) == len(points) == 6
    with pytest.raises(WrongQuestionError, match="combinations"):
        grid([Factor((f"f{k}",), tuple(range(10))) for k in range(5)])


def test_one_at_a_time_changes_one_thing() -> None:
    """Each value of each factor makes one point with a single line."""
    points = one_at_a_time([A, B])
    assert [point.lines for point in points] == [("a = 1",), ("a = 2",), ("b = 3",), ("b = 4",), ("b = 5",)]


def test_a_hypercube_has_each_slice_once() -> None:
    """Ten points in [0, 1] have one in each tenth; the same seed gives the same points, another does not."""
    ranges = [C, Factor(("d",), (10.0, 20.0))]
    points = hypercube(ranges, 10, seed=3)
    for column, low, width in ((0, 0.0, 0.1), (1, 10.0, 1.0)):
        slices = sorted(int((point.levels[column][1] - low) / width) for point in points)
        assert slices == list(range(10))
    assert hypercube(ranges, 10, seed=3) == points
    assert hypercube(ranges, 10, seed=4) != points


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 7, 8, 11, 15])
def test_a_screening_design_mixes_no_main_effect_with_a_pair(count: int) -> None:
    """The design is balanced, without doubles, of resolution 4 or more, in few runs."""
    runs, points = two_level([Factor((f"f{k}",), ("low", "high")) for k in range(count)])
    assert len(runs) == len(points) == len({point.lines for point in points}) <= 2 * count + 16
    assert all(sum(column) == 0 for column in zip(*runs, strict=True))
    resolution = resolution_of(runs)
    assert resolution is None or resolution >= 4
    if count == 4:  # the half fraction of four factors: three pairs of pairs look the same
        assert len(confused_pairs(runs)) == 3


def test_two_factors_must_not_set_the_same_thing() -> None:
    """A key and a part of it cannot both be varied."""
    with pytest.raises(WrongQuestionError, match="same thing"):
        grid([Factor(("option", "cab", "take"), (0.1,)), Factor(("option", "cab", "take", "yard"), (0.2,))])


def test_points_come_from_a_table(tmp_path: Path) -> None:
    """Headings are keys, an empty cell leaves the input alone, names are taken or counted."""
    table = tmp_path / "cases.csv"
    table.write_text(
        "case,buffer.lane.capacity,takt,section.back.stations\nsmall,0,,\n,4,58 s,\"['B', 'C']\"\n",
        encoding="utf-8",
    )
    points = read_points(table)
    assert points[0] == Point("small", ((("buffer", "lane", "capacity"), 0),))
    assert points[1].name == "case 2"
    assert points[1].lines == (
        "buffer.lane.capacity = 4",
        'takt = "58 s"',
        'section.back.stations = ["B", "C"]',
    )
    cases = cases_of(load_text(LINE), points)
    assert cases[0].scenario.buffer["lane"].capacity == 0
    assert cases[1].scenario.takt.seconds == 58


@pytest.mark.parametrize(
    "text",
    ["", "case\n", "takt,takt\n60 s,50 s\n", "ta kt\n1\n", "case,takt\na,60 s\na,50 s\n", "case,takt\n"],
)
def test_a_table_that_cannot_be_read_is_told(tmp_path: Path, text: str) -> None:
    """Nothing, double headings, headings that are no keys, double names and no rows are refused."""
    table = tmp_path / "cases.csv"
    table.write_text(text, encoding="utf-8")
    with pytest.raises((WrongQuestionError, ScenarioError), match=r"cases\.csv"):
        read_points(table)
    with pytest.raises(ScenarioError, match=r"missing\.csv"):
        read_points(tmp_path / "missing.csv")


def test_everything_wrong_in_several_points_is_told_once() -> None:
    """Two points with the same wrong value give its problem once, another wrong key as well."""
    points = [
        Point.at([(("buffer", "lane", "capacity"), -1)]),
        Point.at([(("buffer", "lane", "capacity"), -1), (("tkt",), 1)]),
    ]
    with pytest.raises(ScenarioError) as error:
        cases_of(load_text(LINE), points)
    places = [problem.place for problem in error.value.problems]
    assert sorted(places) == ["buffer.lane.capacity", "tkt"]


def test_a_line_that_is_no_toml_is_told() -> None:
    """A word and a line without a value are told, with a line that would be right."""
    for wrong in ("capacity", "capacity ="):
        with pytest.raises(ValueError, match="a line reads `key = value`"):
            table_of(wrong)
