"""Ten thousand hostile inputs: each is refused in words or loads, and what loads runs or is told to be stuck.

Cases follow from their number alone. They grow from every shipped scenario: by edits that know the JSON
schema, by changed bytes, by changed cells of task and order tables, and by changed bytes of kept studies. Of
what loads, a sample runs for so many instants of the clock; one that takes long for so few would never end,
and fails. A red case is made again with ``case(kind, number, folder)``.
"""

from __future__ import annotations

import random
import resource
import shutil
import signal
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import simpy

from linesim.draws.draws import Draws
from linesim.engine.run import run_line
from linesim.errors import LinesimError, LineStuck, ScenarioError
from linesim.plan.build import build
from linesim.runs.store import Store
from linesim.runs.store_file import NAME
from linesim.scenario import Scenario, from_dict, load, load_text
from linesim.scenario.reference import json_schema
from tests.conftest import ROOT
from tests.problems.grown import changed
from tests.problems.spoilt import changed_cells, flipped
from tests.problems.test_hostile import GOOD, TABLE
from tests.unit.runs.store.kept import LABELS, PRINT, opened, replication

TRACTOR = ROOT / "scenarios" / "tractor"
#: Every shipped scenario but the tractor line, which takes as long as all others together.
SHIPPED = tuple(sorted(set((ROOT / "scenarios").rglob("*.toml")) - {TRACTOR / "line.toml"}))
ORDERED = ROOT / "scenarios" / "features" / "orders-from-a-file.toml"

#: How many inputs of each kind; together more than 10,000.
COUNTS = {"schema": 4200, "bytes": 2600, "tasks": 800, "task cells": 800, "orders": 500, "order cells": 500}
STUDIES = 800
RUN_EVERY = 3  #: Of what loads, one in so many is run.
INSTANTS = 400  #: Steps of the clock of such a run.
SECONDS = 20.0  #: Processor time that one input may take; most take some milliseconds.


class EnoughSeenError(Exception):
    """The clock of a short run has made its steps."""


class ShortClock(simpy.Environment):
    """Stops after so many steps."""

    left = INSTANTS

    def step(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise EnoughSeenError
        super().step()


class TooLongError(Exception):
    """An input took more processor time than any may."""


@contextmanager
def in_time() -> Iterator[None]:
    """Raise `TooLongError` if the block takes more processor time than an input may."""

    def ring(*_: object) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGVTALRM, ring)
    signal.setitimer(signal.ITIMER_VIRTUAL, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


# The inputs


@cache
def schema() -> dict[str, Any]:
    """Return the JSON schema of scenarios."""
    return json_schema()


@cache
def good(path: Path) -> dict[str, Any]:
    """Return the tables of a shipped scenario, task tables and orders inside."""
    return load(path).as_dict()


def beside(scenario: bytes, table: str, data: bytes, folder: Path) -> Callable[[], Scenario]:
    """Return what loads a scenario beside a changed table."""
    (folder / table).write_bytes(data)
    return lambda: load_text(scenario, folder)


def case(kind: str, number: int, folder: Path) -> Callable[[], Scenario]:
    """Return what loads case ``number`` of a kind; what is written for it goes into ``folder``."""
    luck = random.Random(f"{kind} {number}")
    path = TRACTOR / "line.toml" if number % 200 == 0 else SHIPPED[number % len(SHIPPED)]
    if kind == "schema":
        raw = changed(good(path), schema(), luck)
        return lambda: from_dict(raw)
    if kind == "bytes":
        return lambda: load_text(flipped(path.read_bytes(), luck), path.parent)
    change = flipped if kind in ("tasks", "orders") else changed_cells
    if kind in ("tasks", "task cells"):
        # The tractor's table takes its time to read; most cases change a small one.
        large = number % 25 == 0
        whole = (TRACTOR / "tasks.csv").read_bytes() if large else TABLE
        return beside(
            (TRACTOR / "line.toml").read_bytes() if large else GOOD, "tasks.csv", change(whole, luck), folder
        )
    orders = tomllib.loads(ORDERED.read_text(encoding="utf-8"))["orders"]["file"]
    return beside(ORDERED.read_bytes(), orders, change((ORDERED.parent / orders).read_bytes(), luck), folder)


# What is asked of each


def outcome(made: Callable[[], Scenario]) -> Scenario | ScenarioError:
    """Return the scenario of an input, or what is wrong with it; anything else goes through."""
    try:
        return made()
    except ScenarioError as error:
        for problem in error.problems:
            assert problem.message and problem.code, problem
            assert "\n  File " not in problem.rendered()
            assert len(problem.message) < 2000, problem
        return error


def run_a_little(scenario: Scenario) -> str:
    """Run a scenario for a few instants and return how that ended."""
    plan = build(scenario)
    try:
        run_line(plan, Draws(plan, 1, 1), environment=ShortClock())
    except EnoughSeenError:
        return "ran"
    except LineStuck:
        return "stuck"
    return "ended"


def tried(kind: str, numbers: range, folder: Path) -> Counter[str]:
    """Return how many inputs of a kind loaded, were refused, and what came of those that were run."""
    seen: Counter[str] = Counter()
    for number in numbers:
        try:
            with in_time():
                found = outcome(case(kind, number, folder))
                if isinstance(found, ScenarioError):
                    seen["refused"] += 1
                    continue
                seen["loaded"] += 1
                if seen["loaded"] % RUN_EVERY == 1:
                    seen[run_a_little(found)] += 1
        except Exception as error:
            error.add_note(f"case({kind!r}, {number}, folder)")
            raise
    return seen


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with the tables that the changed ones stand beside."""
    for path in (*TRACTOR.iterdir(), *ORDERED.parent.iterdir()):
        if path.is_file() and path.suffix != ".toml":
            shutil.copy(path, tmp_path)
    for table in ("tasks.csv", "orders.csv"):
        shutil.copy(TRACTOR / table, tmp_path)
    return tmp_path


def test_there_are_ten_thousand() -> None:
    """The counts below add up to 10,000 inputs at least."""
    assert sum(COUNTS.values()) + STUDIES >= 10_000


@pytest.mark.parametrize("kind", COUNTS)
def test_inputs_load_or_are_refused(kind: str, folder: Path) -> None:
    """No input raises anything but `ScenarioError`, takes long or fills the memory; what loads runs."""
    if kind in ("orders", "order cells"):
        shutil.copy(ORDERED.parent / "orders.csv", folder)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    seen = tried(kind, range(COUNTS[kind]), folder)
    assert seen["loaded"] + seen["refused"] == COUNTS[kind]
    assert seen["loaded"] > COUNTS[kind] // 50, seen  # inputs that are all refused at the door prove little
    assert seen["refused"] > COUNTS[kind] // 50, seen
    assert seen["ran"] + seen["stuck"] + seen["ended"] == -(-seen["loaded"] // RUN_EVERY)
    grown_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert grown_kb < 500_000, f"memory grew by {grown_kb} kB"
    print(f"\n  {kind}: {COUNTS[kind]} inputs, {dict(seen)}")


# Kept studies


def damaged(whole: bytes, number: int) -> bytes:
    """Return a study's file with changed bytes, torn pages or a lost end."""
    luck = random.Random(f"study {number}")
    if number % 4 == 0:  # a page in place of another, as a disk that mixes them up would do
        page = 4096
        pages = [whole[k : k + page] for k in range(0, len(whole), page)]
        pages[luck.randrange(len(pages))] = luck.choice(pages)
        return b"".join(pages)
    if number % 4 == 1:
        return whole[: luck.randrange(len(whole))]
    return flipped(whole, luck)


def test_damaged_studies_are_told_or_right(tmp_path: Path) -> None:
    """Of a damaged study, every figure that is given is the one that was kept; all else is a clean error."""
    held = range(1, 31)
    with opened(tmp_path / "study") as store:
        store.keep(PRINT, 1, LABELS, [replication(number) for number in held], 0.25)
    whole = (tmp_path / "study" / NAME).read_bytes()
    seen: Counter[str] = Counter()
    for number in range(STUDIES):
        copy = tmp_path / f"copy{number}"
        copy.mkdir()
        (copy / NAME).write_bytes(damaged(whole, number))
        with in_time():
            seen[read_again(copy, held)] += 1
        shutil.rmtree(copy)
    assert sum(seen.values()) == STUDIES
    print(f"\n  kept studies: {STUDIES} inputs, {dict(seen)}")
    assert seen["told"] > STUDIES // 10 and seen["given"] > STUDIES // 50, seen


def read_again(folder: Path, held: range) -> str:
    """Return whether a study gave figures, which must be right, or told that it is damaged."""
    try:
        with Store(folder, program="a program") as store:
            found = store.get(PRINT, 1, held).replications
            store.count()
            with suppress(LinesimError):
                store.lost(PRINT, 1)
    except LinesimError:
        return "told"
    assert all(one == replication(number) for number, one in found.items())
    return "given" if found else "empty"


# What such inputs found once


@pytest.mark.parametrize("value", [{"a": 1}, [1], 7, None])
def test_a_run_that_follows_no_name(value: object) -> None:
    """Anything but a name where the run's calendar should stand is refused in words."""
    raw = good(SHIPPED[0])
    with pytest.raises(ScenarioError):
        from_dict({**raw, "run": {**raw["run"], "calendar": value if value is not None else ""}})


def test_endless_headings_are_cut_short(tmp_path: Path) -> None:
    """A message that lists what a table has stays readable, whatever its headings are."""
    (tmp_path / "tasks.csv").write_bytes(b"x" * 5000 + b",a\x07b\n1,2\n")
    found = outcome(lambda: load_text(GOOD, tmp_path))
    assert isinstance(found, ScenarioError)
    (missing,) = [p for p in found.problems if p.code == "missing-column" and '"station"' in p.message]
    assert missing.message.count("x") < 70 and "\x07" not in missing.message


def test_a_study_whose_list_of_tables_is_no_text(tmp_path: Path) -> None:
    """A study in which the name of a table is no UTF-8 is told as damaged."""
    opened(tmp_path).close()
    whole = (tmp_path / NAME).read_bytes()
    (tmp_path / NAME).write_bytes(whole.replace(b"tablefigures", b"table\xf4igures"))
    assert whole.count(b"tablefigures") == 1
    with pytest.raises(LinesimError, match="damaged"):
        opened(tmp_path)
