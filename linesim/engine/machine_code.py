"""Machine code of the rules: made by numba once for a machine, and kept in the user's cache folder.

numba keeps code under the file of its entry and does not see when a function that the entry calls has
changed. Here all of it lies in a folder named after a digest of everything that the code follows from, so no
code outlives what it was made of.
"""

from __future__ import annotations

import hashlib
import os
import platform
import shutil
import sys
from collections.abc import Callable, Iterable
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType
from typing import Any

from linesim.errors import LinesimError

_LIBRARIES = ("numba", "llvmlite", "numpy")
_ROOMS = (".", "plan", "ledger", "engine")  #: Whose files the rules and their constants come from.
_STAY = 5  #: Folders of code that stay, the latest used.


class NoMachineCodeError(LinesimError):
    """The rules cannot be compiled here; the sentence says why and what would help."""


def is_installed() -> bool:
    """Return whether numba is there; whether it works is seen when it is used."""
    return "numba" in sys.modules or find_spec("numba") is not None


def user_folder() -> Path:
    """Return the folder in which programs of this user may keep what they can make again."""
    if sys.platform == "win32":  # pragma: no cover
        local = os.environ.get("LOCALAPPDATA")
        return Path(local) if local else Path.home() / "AppData" / "Local"
    if sys.platform == "darwin":  # pragma: no cover
        return Path.home() / "Library" / "Caches"
    named = os.environ.get("XDG_CACHE_HOME", "")
    return Path(named) if os.path.isabs(named) else Path.home() / ".cache"


def digest(package: Path, facts: Iterable[str] = ()) -> str:
    """Return what names the code made of the rules of ``package``: other sources, another name.

    Args:
        package: Folder of linesim; the rooms that rules read are looked at.
        facts: What else decides the code: versions, processor.
    """
    whole = hashlib.sha256()
    for fact in facts:
        whole.update(hashlib.sha256(fact.encode()).digest())
    for room in _ROOMS:
        for file in sorted((package / room).glob("*.py")):
            whole.update(hashlib.sha256(f"{room}/{file.name}".encode()).digest())
            whole.update(hashlib.sha256(file.read_bytes()).digest())
    return whole.hexdigest()[:16]


def machine_facts() -> list[str]:
    """Return the versions and the processor that the code was made for.

    Raises:
        NoMachineCodeError: If numba is missing or cannot be loaded.
    """
    if not is_installed():
        raise NoMachineCodeError('numba is not installed; python -m pip install "linesim[fast]" brings it')
    try:
        from llvmlite.binding import get_host_cpu_features, get_host_cpu_name

        found = [f"{name} {version(name)}" for name in _LIBRARIES]
        processor = [get_host_cpu_name(), get_host_cpu_features().flatten()]
    except (ImportError, OSError, PackageNotFoundError, RuntimeError) as problem:
        raise NoMachineCodeError(f"numba is installed and cannot be loaded: {problem}") from problem
    return [*found, sys.version, platform.system(), platform.machine(), *processor]


def code_folder() -> Path:
    """Return the folder for the code of these rules on this machine, made where it is missing.

    It belongs to this user alone, because what is loaded from it is run.

    Raises:
        NoMachineCodeError: If numba cannot be loaded, or the folder cannot be made or written to.
    """
    package = Path(__file__).resolve().parent.parent
    folder = user_folder() / "linesim" / digest(package, machine_facts())
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise NoMachineCodeError(f"{folder} cannot be made: {problem.strerror}") from problem
    if not os.access(folder, os.W_OK) or (hasattr(os, "getuid") and folder.stat().st_uid != os.getuid()):
        raise NoMachineCodeError(
            f"{folder} is not this user's to write to; XDG_CACHE_HOME names another place"
        )
    return folder


def is_kept(folder: Path) -> bool:
    """Return whether code was made before and can be loaded."""
    return len(list(folder.rglob("*.nbi"))) > 0


def forget_old(folder: Path) -> None:
    """Note that ``folder`` is in use, and remove the code beside it that was longest not used.

    Some stay, so that two versions used in turn do not compile each time.
    """
    os.utime(folder)
    others = [other for other in folder.parent.iterdir() if other.is_dir() and is_kept(other)]
    for other in sorted(others, key=lambda other: other.stat().st_mtime, reverse=True)[_STAY:]:
        shutil.rmtree(other, ignore_errors=True)


def compiled(
    entry: Callable[..., Any], rules: Iterable[ModuleType], folder: Path, **options: bool
) -> Callable[..., Any]:
    """Return ``entry`` as machine code, loaded from ``folder`` or made and kept there at the first call.

    Args:
        entry: The one function that Python calls.
        rules: Modules whose functions marked as rules it may call, directly or not.
        folder: Where the code is kept; see `code_folder`.
        options: More of what numba is told.

    Raises:
        NoMachineCodeError: If numba cannot be loaded.
    """
    try:
        import numba
        from numba.extending import register_jitable
    except Exception as problem:  # numba refuses a numpy it does not know with errors of several kinds
        raise NoMachineCodeError(f"numba is installed and cannot be loaded: {problem}") from problem
    for module in rules:
        for thing in vars(module).values():
            if (
                getattr(thing, "is_rule", False)
                and thing.__module__ == module.__name__
                and thing is not entry
            ):
                register_jitable(thing)
    njit: Any = numba.njit
    settings: Any = numba.config
    before, settings.CACHE_DIR = settings.CACHE_DIR, str(folder)
    try:
        made: Callable[..., Any] = njit(cache=True, nogil=True, **options)(entry)
    finally:
        settings.CACHE_DIR = before
    return made
