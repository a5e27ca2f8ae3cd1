"""Machine code of the rules: made by numba once for a machine, and kept in the user's cache folder.

All of it lies in a folder named after a digest of everything that the code follows from, so no code outlives
what it was made of. What is kept is loaded without numba, whose import alone takes a second.
"""

from __future__ import annotations

import hashlib
import os
import platform
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

from linesim.errors import LinesimError

_LIBRARIES = ("numba", "llvmlite", "numpy")
_DIGEST = hashlib.sha256().digest_size
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


def digest(facts: Iterable[bytes]) -> str:
    """Return what names the code that follows from ``facts``: other facts, another name."""
    whole = hashlib.sha256()
    for fact in facts:
        whole.update(b"%d " % len(fact) + fact)
    return whole.hexdigest()[:16]


def facts_of(modules: Iterable[ModuleType]) -> Iterator[bytes]:
    """Give all that the code of rules in ``modules`` follows from: what they do, and their numbers.

    They are taken as they are loaded and not from their files, which may have changed since.
    """
    for module in modules:
        yield module.__name__.encode()
        for name, value in sorted(vars(module).items()):
            if isinstance(value, FunctionType) and value.__module__ == module.__name__:
                yield from _facts_of_code(value.__code__)
            elif not name.startswith("__") and isinstance(value, int | float | str | tuple):
                yield f"{name} = {value!r}".encode()


def _facts_of_code(code: CodeType) -> Iterator[bytes]:
    yield f"{code.co_qualname} {code.co_varnames} {code.co_names} {code.co_argcount}".encode()
    yield code.co_code
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _facts_of_code(constant)
        else:
            yield repr(constant).encode()


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


def code_folder(facts: Iterable[bytes]) -> Path:
    """Return the folder for the code that follows from ``facts`` on this machine; it need not be there yet.

    Raises:
        NoMachineCodeError: If numba cannot be loaded, or the folder is there and not this user's.
    """
    here = [fact.encode() for fact in machine_facts()]
    folder = user_folder() / "linesim" / digest([*here, *facts])
    if os.path.exists(folder):
        _refuse_others(folder)
    return folder


def make_folder(folder: Path) -> None:
    """Make a folder for code where it is missing.

    Raises:
        NoMachineCodeError: If it cannot be made or written to.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise NoMachineCodeError(f"{folder} cannot be made: {problem.strerror}") from problem
    _refuse_others(folder)


def _refuse_others(folder: Path) -> None:
    """Refuse a folder that is not this user's alone, because what is loaded from it is run."""
    if not os.access(folder, os.W_OK) or (hasattr(os, "getuid") and folder.stat().st_uid != os.getuid()):
        raise NoMachineCodeError(
            f"{folder} is not this user's to write to; XDG_CACHE_HOME names another place"
        )


def is_kept(folder: Path) -> bool:
    """Return whether code was made before and can be loaded."""
    return any(folder.glob("*.code"))


def forget_old(folder: Path) -> None:
    """Note that ``folder`` is in use, and remove the code beside it that was longest not used.

    Some stay, so that two versions used in turn do not compile each time.
    """
    os.utime(folder)
    others = [other for other in folder.parent.iterdir() if other.is_dir() and is_kept(other)]
    for other in sorted(others, key=lambda other: other.stat().st_mtime, reverse=True)[_STAY:]:
        shutil.rmtree(other, ignore_errors=True)


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Wait until no other process makes code in ``folder``, and let none begin until this is left."""
    try:
        import fcntl
    except ImportError:  # pragma: no cover - elsewhere two processes may both make it, which does no harm
        yield
        return
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def load(folder: Path, name: str) -> Callable[[int, int], int]:
    """Return what `make` has put into ``folder`` under ``name``.

    numba is not needed for it. While the code runs, other threads of Python may.

    Raises:
        NoMachineCodeError: If it is not there, or not whole; it is made anew the next time.
    """
    file = folder / f"{name}.code"
    try:
        whole = file.read_bytes()
    except OSError as problem:
        raise NoMachineCodeError(f"{file} cannot be read: {problem.strerror}") from problem
    if hashlib.sha256(whole[_DIGEST:]).digest() != whole[:_DIGEST]:
        file.unlink()
        raise NoMachineCodeError(f"{file} was not whole and is gone; it is made anew the next time")
    import ctypes

    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    machine = binding.Target.from_default_triple().create_target_machine()
    engine = binding.create_mcjit_compiler(binding.parse_assembly(""), machine)
    engine.add_object_file(binding.ObjectFileRef.from_data(whole[_DIGEST:]))
    engine.finalize_object()
    number = ctypes.POINTER(ctypes.c_int64)
    function = ctypes.CFUNCTYPE(
        ctypes.c_int32, number, ctypes.POINTER(ctypes.c_void_p), ctypes.c_int64, ctypes.c_int64
    )(engine.get_function_address(name))

    def call(first: int, second: int, _kept: object = engine) -> int:
        returned, problem = ctypes.c_int64(), ctypes.c_void_p()
        if function(ctypes.byref(returned), ctypes.byref(problem), first, second):
            raise RuntimeError("machine code of the rules was broken off")
        return returned.value

    return call


def make(entry: Callable[[int, int], int], rules: Iterable[ModuleType], folder: Path) -> None:
    """Make machine code of ``entry``, from two numbers to a number, and put it into ``folder``.

    Everything is optimised once, with all that it calls. Left alone, numba optimises every function together
    with everything below it, for each of them anew: the time grows with the depth of the calls.

    Args:
        entry: The one function that Python calls.
        rules: Modules whose functions marked as rules it may call, directly or not.
        folder: Where the code is kept; see `code_folder`.

    Raises:
        NoMachineCodeError: If numba cannot be loaded, or the code not kept.
    """
    load_numba()
    import numba
    from numba.core.codegen import JITCodeLibrary
    from numba.core.registry import cpu_target
    from numba.extending import register_jitable

    class LinkedOnce(JITCodeLibrary):
        """Code that is linked into that of the entry, and nothing before it."""

        def finalize(self) -> None:
            self._finalized = True

        def get_pointer_to_function(self, name: str) -> int:
            return 0

        @property
        def codegen(self) -> Any:
            return self

        def set_env(self, name: str, environment: object) -> None:
            pass

    for module in rules:
        for thing in vars(module).values():
            if (
                getattr(thing, "is_rule", False)
                and thing.__module__ == module.__name__
                and thing is not entry
            ):
                register_jitable(thing)
    machine: Any = cpu_target.target_context.codegen()
    njit: Any = numba.njit
    config: Any = numba.config
    before = machine._library_class
    with _settings(config, OPT=type(config.OPT)(2), LOOP_VECTORIZE=0, SLP_VECTORIZE=0):
        machine._library_class = LinkedOnce
        try:
            made = njit(_nrt=False, no_cpython_wrapper=True, no_cfunc_wrapper=True)(entry)
            made.compile("int64(int64, int64)")
        finally:
            machine._library_class = before
        (one,) = made.overloads.values()
        whole = one.library._final_module
        below = dict.fromkeys(one.library._linking_libraries)
        rest = list(below)
        while rest:
            for library in rest.pop()._linking_libraries:
                if library not in below:
                    below[library] = None
                    rest.append(library)
        for library in below:
            whole.link_in(library._get_module_for_linking(), preserve=True)
        name = one.fndesc.llvm_func_name
        for function in whole.functions:
            if not function.is_declaration and function.name != name:
                function.linkage = "internal"  # nobody else calls it: it may be drawn into its callers
        one.library._optimize_final_module()
        whole.verify()
    whole.get_function(name).name = entry.__name__
    code = machine._tm.emit_object(whole)
    file = folder / f"{entry.__name__}.code"
    part = folder / f"{entry.__name__}.{os.getpid()}"
    try:
        part.write_bytes(hashlib.sha256(code).digest() + code)
        part.replace(file)
    except OSError as problem:
        raise NoMachineCodeError(f"{file} cannot be written: {problem.strerror}") from problem


def load_numba() -> None:
    """Load numba.

    Raises:
        NoMachineCodeError: If it cannot be loaded.
    """
    try:
        import numba  # noqa: F401
    except Exception as problem:  # numba refuses a numpy it does not know with errors of several kinds
        raise NoMachineCodeError(f"numba is installed and cannot be loaded: {problem}") from problem


@contextmanager
def _settings(config: Any, **values: Any) -> Iterator[None]:
    """Change settings of numba and put them back."""
    before = {name: getattr(config, name) for name in values}
    vars(config).update(values)
    try:
        yield
    finally:
        vars(config).update(before)
