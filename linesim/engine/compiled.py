"""The compiled drive: machine code of the rules, made where there is none yet, and loaded.

Numba is loaded only where code is made.
"""

from __future__ import annotations

import os
import pkgutil
from collections.abc import Callable
from functools import cache
from importlib import import_module
from pathlib import Path
from types import ModuleType

import linesim.engine as engine
from linesim.engine import job_records, line_records, loop, machine_code, tables


def rule_modules() -> list[ModuleType]:
    """Return the modules in which rules stand, and those in which their tables are laid out."""
    found = []
    for one in pkgutil.iter_modules(engine.__path__):
        if one.name != "native":
            module = import_module(f"linesim.engine.{one.name}")
            if any(
                getattr(thing, "is_rule", False) and thing.__module__ == module.__name__
                for thing in vars(module).values()
            ):
                found.append(module)
    return [*found, job_records, line_records, tables, loop]


@cache
def kept_folder() -> Path:
    """Return the folder in which the code of the rules is kept.

    Raises:
        NoMachineCodeError: If there is no code to be had on this machine.
    """
    native = (Path(__file__).parent / "native.py").read_bytes()
    fields = repr(
        [loop.FORMATS, *(getattr(kind, "__annotations__", kind) for _, kind in loop.RECORDS)]
    ).encode()
    return machine_code.code_folder([native, fields, *machine_code.facts_of([*rule_modules(), machine_code])])


def prepare(notice: Callable[[str], None], *, again: bool = False) -> Path:
    """See that the code of the rules is there, and return its folder.

    Args:
        notice: Told when the code has to be made.
        again: Make it even if it is there.

    Raises:
        NoMachineCodeError: If that cannot be done on this machine.
    """
    folder = kept_folder()
    if again or not machine_code.is_kept(folder):
        machine_code.load_numba()
        import linesim.engine.native  # noqa: F401 - what it says to numba is all that is wanted of it

        machine_code.make_folder(folder)
        with machine_code.alone(folder):  # of several programs that begin at once, one has the work
            if again or not machine_code.is_kept(folder):
                notice("the rules of the line are compiled for this machine; once, in about a minute")
                machine_code.make(loop.loop, rule_modules(), folder)
        machine_code.forget_old(folder)
    else:
        os.utime(folder)  # it is in use
    return folder


@cache
def compiled_loop() -> Callable[[int, int], int]:
    """Return `loop` as machine code.

    Raises:
        NoMachineCodeError: If that cannot be done on this machine.
    """
    return machine_code.load(prepare(lambda text: None), loop.loop.__name__)
