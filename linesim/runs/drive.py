"""By which of the two drives a line is run; the figures are the same, and here is where that is looked at."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from linesim.draws.draws import Draws
from linesim.errors import LinesimError
from linesim.plan.plan import Plan

if TYPE_CHECKING:
    from linesim.ledger.ledger import Event, Ledger

DRIVES = ("simpy", "compiled")  #: Rules read by Python under SimPy's clock, and the same as machine code.
#: Of replication 1 so much is run by both drives: of a first case, of a further one that is looked at.
CHECKED_TAKTS = (20, 2)
ONE_IN = 10  #: Of cases that have nothing that others before had not, so many are looked at.


class DrivesDifferError(LinesimError):
    """The two drives do not agree on a line, so no figure of it can be trusted."""


class Looks:
    """Of which cases of a study both drives run the beginning of replication 1.

    Rules go by what there is: none of it, one or several. So a case is looked at where it has somewhere
    another of these three than every case before it: a crew of nobody, a first place of a buffer, a station
    more. Of cases that only differ in how much of it there is, and in how long things take, it is one in ten.
    """

    __slots__ = ("_alike", "_kinds")

    def __init__(self) -> None:
        self._kinds: set[bytes] = set()
        self._alike = 0

    def takts(self, plan: Plan) -> int:
        """Return how many takts both drives run of the next case; 0 looks at nothing."""
        kind = kind_of(plan)
        if kind in self._kinds:
            self._alike += 1
            return 0 if self._alike % ONE_IN else CHECKED_TAKTS[1]
        self._kinds.add(kind)
        return CHECKED_TAKTS[len(self._kinds) > 1]


def kind_of(plan: Plan) -> bytes:
    """Return what tells lines apart that have somewhere none, one or several, and another has not."""
    forms, numbers = [], []
    for value in _numbers_in(plan):
        forms.append(np.shape(value))
        numbers.append(np.ravel(value).astype(np.float64))
    all_of_them = np.concatenate(numbers)
    steps = (all_of_them > 0).astype(np.int8) + (all_of_them > 1) - (all_of_them < 0)
    return hashlib.sha256(repr((forms, plan.orders.sequence)).encode() + steps.tobytes()).digest()


def _numbers_in(value: Any) -> Iterator[Any]:
    """Yield every number and array of numbers in the tables of a plan, and how many there are of the rest."""
    if isinstance(value, np.ndarray | int | float):
        yield value
    elif isinstance(value, tuple):
        yield len(value)
    elif is_dataclass(value):
        for one in fields(value):
            yield from _numbers_in(getattr(value, one.name))


def drive_for(asked: str | None, notice: Callable[[str], None] | None = None) -> str:
    """Return by which drive replications will be run, with its machine code made where there is none yet.

    Args:
        asked: What somebody asked for; None takes the compiled drive where numba is installed.
        notice: Told when code is made, which takes a while, and why there is none if there can be none.

    Raises:
        ValueError: If there is no such drive.
    """
    if asked not in (None, *DRIVES):
        raise ValueError(f"drive must be simpy or compiled, got {asked!r}")
    from linesim.engine import machine_code

    if asked == "simpy" or (asked is None and not machine_code.is_installed()):
        return "simpy"
    from linesim.engine.compiled import prepare

    tell = notice or (lambda text: None)
    try:
        prepare(tell)
    except machine_code.NoMachineCodeError as problem:
        tell(f"{problem}; the work goes on by SimPy, with the same figures and many times slower")
        return "simpy"
    return "compiled"


@cache
def usable(drive: str) -> str:
    """Return ``drive``, or SimPy where this process cannot have the machine code that another one has."""
    from linesim.engine.compiled import compiled_loop
    from linesim.engine.machine_code import NoMachineCodeError

    if drive == "compiled":
        try:
            compiled_loop()
        except NoMachineCodeError:
            return "simpy"
    return drive


def check_drives(plan: Plan, seed: int, number: int, *, takts: int | None = CHECKED_TAKTS[0]) -> int:
    """Run a replication by both drives and compare every event and every account.

    Args:
        plan: The line.
        seed: Seed of all draws.
        number: Which replication, counted from 1.
        takts: How much of it, counted from its first instant; None for all of it.

    Returns:
        How many events were compared.

    Raises:
        DrivesDifferError: With the first event that differs, or the first account.
    """
    if takts is not None:
        run = plan.run
        length = max(1, min(run.length, takts * int(plan.sections.takt.max(initial=1))))
        short = replace(plan, run=replace(run, warm_up=0, length=length))
        vars(short).update(variants=plan.variants, columns=plan.columns)  # the same, and costly to make
        plan = short
    (by_simpy, first), (by_code, second) = (_run(plan, seed, number, drive) for drive in DRIVES)
    place = next((n for n, (a, b) in enumerate(zip(first, second, strict=False)) if a != b), None)
    if place is None and len(first) != len(second):
        place = min(len(first), len(second))
    told = f"the two drives differ in replication {number} of seed {seed}"
    if place is not None:
        events = [str(log[place]) if place < len(log) else "nothing more" for log in (first, second)]
        raise DrivesDifferError(
            f"{told} at event {place + 1}: by SimPy {events[0]}, compiled {events[1]}; --drive simpy is the "
            "reference, and this is a fault of the program that should be reported"
        )
    for field in fields(by_simpy):
        if not _is_same(getattr(by_simpy, field.name), getattr(by_code, field.name)):
            raise DrivesDifferError(f"{told} in {field.name}; --drive simpy is the reference")
    return len(first)


def _run(plan: Plan, seed: int, number: int, drive: str) -> tuple[Ledger, list[Event]]:
    from linesim.engine.run import run_line

    events: list[Event] = []
    return run_line(plan, Draws(plan, seed, number), events, drive=drive), events


def _is_same(one: Any, other: Any) -> bool:
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(_is_same, one, other))
    return bool(np.array_equal(one, other))
