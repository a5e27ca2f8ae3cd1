"""Whatever is in a file or a line of `--set`, the answer is a scenario or a list of problems."""

import json
import math
import os
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linesim.errors import ScenarioError
from linesim.scenario import Scenario, from_dict, load, load_text, read

GOOD = b"""\
takt = "60 s"
flow = ["main", "lane", "trim"]
tasks = "tasks.csv"

[run]
length = "2 shifts"

[section.main]
pacing = "moving"
stations = ["A1", "A2", "A3"]

[section.trim]
pacing = "free"
stations = ["B1"]

[buffer.lane]
capacity = 3
travel = "20 s"

[model.field]
share = 0.7
[model.orchard]
share = 0.3
[option.loader]
take = { field = 0.25, orchard = { value = 0.1, confidence = "guess" } }

[station.A2]
late = 0.25
call_at = 0.7

[crew.team]
people = 2
covers = ["A1", "A2", "B1", "hospital"]
walk = "2 s"

[robot.R1.failure.jam]
every = { shape = "exponential", mean = "3 h" }
lasts = { shape = "pert", low = "1 min", mode = "4 min", high = "20 min" }

[station.A2.task.dock]
robot = "R1"
time = "48 s"
fault = { chance = 0.02, found = "B1", right = "hospital", repair = "3 min" }

[bay.hospital]
section = "trim"
waiting = 2
rejoin = "out"
"""
TABLE = (
    b"station,task,mean_s,cv,people,after,options\n"
    b"A1,fit,40,0.15,1,,\nA2,bolt,20,0.1,1,,loader\nB1,seal,35,,2,,\n"
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a scenario that is right."""
    folder = tmp_path_factory.mktemp("line")
    (folder / "line.toml").write_bytes(GOOD)
    (folder / "tasks.csv").write_bytes(TABLE)
    return folder


def outcome(data: bytes, folder: Path, sets: tuple[str, ...] = ()) -> Scenario | ScenarioError:
    """Return the scenario in `data`, or what is wrong with it; anything else that is raised goes through."""
    try:
        return load_text(data, folder, sets=sets)
    except ScenarioError as error:
        for problem in error.problems:
            assert problem.message
            assert problem.code
            assert "\n  File " not in problem.rendered()
            assert len(problem.message) < 2000
        return error


def flipped(data: bytes, changes: list[tuple[int, int]]) -> bytes:
    """Return `data` with some bytes replaced."""
    mutable = bytearray(data)
    for at, value in changes:
        mutable[at % len(mutable)] = value
    return bytes(mutable)


CHANGES = st.lists(st.tuples(st.integers(0, 5000), st.integers(0, 255)), min_size=1, max_size=4)


def test_the_good_one_is_good(folder: Path) -> None:
    """The scenario that the fuzzing starts from is right, or its changes would prove little."""
    assert isinstance(outcome(GOOD, folder), Scenario)


@settings(max_examples=300)
@given(changes=CHANGES)
def test_changed_bytes_of_a_scenario(folder: Path, changes: list[tuple[int, int]]) -> None:
    """A scenario with a few bytes changed loads or is refused in words."""
    outcome(flipped(GOOD, changes), folder)


@settings(max_examples=200)
@given(changes=CHANGES)
def test_changed_bytes_of_a_table(folder: Path, changes: list[tuple[int, int]]) -> None:
    """A task table with a few bytes changed loads or is refused in words."""
    (folder / "changed.csv").write_bytes(flipped(TABLE, changes))
    outcome(GOOD.replace(b"tasks.csv", b"changed.csv"), folder)


@settings(max_examples=150)
@given(cut=st.integers(0, len(GOOD)), more=st.binary(max_size=20))
def test_cut_off_scenarios(folder: Path, cut: int, more: bytes) -> None:
    """A scenario that ends early, in anything, loads or is refused in words."""
    outcome(GOOD[:cut] + more, folder)


LINES = [line for line in GOOD.decode().splitlines() if line]


@settings(max_examples=200)
@given(order=st.lists(st.sampled_from(LINES), min_size=1, max_size=30))
def test_shuffled_lines(folder: Path, order: list[str]) -> None:
    """The lines of a scenario in any order, doubled or left out, load or are refused in words."""
    outcome("\n".join(order).encode(), folder)


JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["main", "A1", "61 s", "cab", "exponential", "there"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)
KEYS = [
    "takt", "flow", "run", "section", "station", "buffer", "crew", "robot", "tool", "zone", "bay", "model",
    "option", "package", "orders", "calendar", "carrier", "supply", "removal", "feeder", "cost", "study",
    "target", "tasks",
]  # fmt: skip


@settings(max_examples=300)
@given(key=st.sampled_from(KEYS), junk=JUNK)
def test_junk_in_place_of_a_table(folder: Path, key: str, junk: object) -> None:
    """Anything at all in place of a top-level value is refused in words, or is right by chance."""
    good = load(folder / "line.toml").as_dict()
    with suppress(ScenarioError):
        from_dict({**good, key: junk})


@settings(max_examples=300)
@given(path=st.lists(st.integers(0, 30), min_size=2, max_size=6), junk=JUNK)
def test_junk_deep_inside(folder: Path, path: list[int], junk: object) -> None:
    """Anything at all in place of an inner value is refused in words, or is right by chance."""
    good = json.loads(json.dumps(load(folder / "line.toml").as_dict()))
    spot = good
    for number in path:
        inner = [key for key, value in spot.items() if isinstance(value, dict) and value]
        if not inner:
            break
        spot = spot[inner[number % len(inner)]]
    keys = list(spot)
    spot[keys[path[-1] % len(keys)]] = junk
    with suppress(ScenarioError):
        from_dict(good)


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"\xef\xbb\xbf",
        b"\xff\xfe\x00",
        b"\x00" * 100,
        b"[" * 100_000,
        b"a = " + b"[" * 5000 + b"]" * 5000,
        b"a = " + b"{b=" * 5000,
        b".".join([b"a"] * 100_000) + b" = 1",
        b"takt = " + b"9" * 5000,
        b"takt = 0x" + b"f" * 100_000,
        b"takt = 1e999\n[run]\nseed = nan",
        b"[run]\nseed = inf",
        b"[run]\nseed = -9223372036854775809",
        b'takt = "' + b"9" * 90_000 + b' s"',
        b"takt = 1979-05-27T07:32:00Z",
        b'"" = 1\n"\\u0000" = 2',
        b"a = '''" + b"\n" * 1000,
        b'x = """' + b'\\"' * 1000,
        b"takt = \"60 s\"\ntakt = \"61 s\"",
        b"[a]\n[a]",
        b"[[section]]\n[[section]]\npacing = 'free'",
        b"[section.main]\n[section.main.main]\n[section.main.main.main]",
        b"\r\r\r\r",
        b"=\n=\n=",
        b"flow = [[[['a']]]]",
        b"\xf0\x9f\x9a\x9c = 1",
    ],
    ids=lambda text: repr(text[:20]),
)  # fmt: skip
def test_nasty_texts(folder: Path, text: bytes) -> None:
    """Empty, binary, deep, endless and huge texts are refused with at least one problem."""
    found = outcome(text, folder)
    assert isinstance(found, ScenarioError)
    assert outcome(GOOD, folder, sets=(text.decode("latin-1"),)) is not None


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400, -(10**5000), 1e308], ids=range(6))
def test_numbers_out_of_this_world(folder: Path, value: float) -> None:
    """Numbers that are none, endless or absurd are refused where they stand."""
    good = load(folder / "line.toml").as_dict()
    for change in (
        {"crew": {"team": {**good["crew"]["team"], "people": value}}},
        {"cost": {"margin_per_job": value}},
        {"model": {**good["model"], "field": {"share": value}}},
        {"option": {"loader": {"take": value}}},
    ):
        with pytest.raises(ScenarioError) as caught:
            from_dict({**good, **change})
        assert {problem.code for problem in caught.value.problems} <= {"out-of-range", "wrong-kind"}


def test_what_is_no_file(tmp_path: Path) -> None:
    """A folder, a pipe, a name that is none and a missing file are refused without waiting."""
    os.mkfifo(tmp_path / "pipe")
    for name, code in (
        (tmp_path, "not-a-file"),
        (tmp_path / "pipe", "not-a-file"),
        (tmp_path / "no.toml", "no-file"),
        (tmp_path / "no" / "no.toml", "no-file"),
        ("a\x00b.toml", "cannot-read"),
        (tmp_path / ("x" * 300), "cannot-read"),
        ("", "not-a-file"),
    ):
        with pytest.raises(ScenarioError) as caught:
            load(name)
        assert [problem.code for problem in caught.value.problems] == [code], name


def test_unreadable_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that the operating system does not hand out is refused in words."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(ScenarioError, match="cannot be read: permission denied"):
        load(folder / "line.toml")


@pytest.mark.parametrize(
    "name", ["../tasks.csv", "/etc/passwd", "sub/../../tasks.csv", "link.csv", "link/tasks.csv"]
)
def test_files_outside_the_folder(tmp_path: Path, name: str) -> None:
    """No relative path, absolute path or link leads a scenario out of its folder."""
    home = tmp_path / "home"
    (home / "sub").mkdir(parents=True)
    (tmp_path / "tasks.csv").write_bytes(TABLE)
    (home / "link.csv").symlink_to(tmp_path / "tasks.csv")
    (home / "link").symlink_to(tmp_path)
    (home / "line.toml").write_bytes(GOOD.replace(b'"tasks.csv"', f'"{name}"'.encode()))
    with pytest.raises(ScenarioError) as caught:
        read(home / "line.toml")
    (found,) = [problem for problem in caught.value.problems if problem.place == "tasks[1]"]
    assert found.code == "outside-folder"
