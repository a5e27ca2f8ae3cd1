"""Imports run one way through the house, and every library stays in its room."""

import ast
from types import MappingProxyType

from tests.house.tree import Import, Module, each, imports_of, package_modules

FREE = frozenset({"errors", "special", "ticks"})

#: What each room may import, besides itself and what is free to all.
MAY_USE = MappingProxyType(
    {
        "errors": frozenset(),
        "special": frozenset(),
        "ticks": frozenset(),
        "scenario": frozenset(),
        "plan": frozenset({"scenario"}),
        "draws": frozenset({"plan"}),
        "ledger": frozenset({"plan"}),
        "engine": frozenset({"plan", "draws", "ledger"}),
        "measures": frozenset({"plan", "ledger"}),
        "stats": frozenset(),
        "theory": frozenset(),
        "answers": frozenset({"measures", "stats"}),
        "intake": frozenset({"scenario", "answers"}),
        "runs": frozenset({"scenario", "plan", "draws", "ledger", "engine", "measures", "stats", "answers"}),
        "capacity": frozenset({"plan", "draws", "engine", "measures"}),
        "questions": frozenset(
            {
                "theory",
                "scenario",
                "intake",
                "plan",
                "draws",
                "ledger",
                "engine",
                "measures",
                "stats",
                "answers",
                "runs",
                "capacity",
                "verification",
            }
        ),
        "verification": frozenset(
            {
                "scenario",
                "plan",
                "draws",
                "ledger",
                "engine",
                "measures",
                "stats",
                "theory",
                "answers",
                "runs",
                "capacity",
            }
        ),
        "report": frozenset(
            {"plan", "ledger", "measures", "stats", "answers", "runs", "capacity", "questions"}
        ),
    }
)
#: These stand at the door and may use everything.
DOOR = frozenset({"commands", "desk", "__init__", "__main__"})

RIGHT_OF_LEDGER = frozenset(
    {"measures", "stats", "answers", "runs", "capacity", "questions", "verification", "report", "commands"}
)

#: Library -> rooms that may import it.
LODGERS = MappingProxyType(
    {
        "pydantic": frozenset({"scenario"}),
        "simpy": frozenset({"engine"}),
        "numba": frozenset({"engine"}),
        "llvmlite": frozenset({"engine"}),
        "matplotlib": frozenset({"report"}),
        "jinja2": frozenset({"report", "desk"}),
        "starlette": frozenset({"desk"}),
        "uvicorn": frozenset({"desk"}),
        "tomlkit": frozenset({"desk"}),
        "argparse": frozenset({"commands"}),
        "shtab": frozenset({"commands"}),
        "rich": frozenset({"commands"}),
        "pandas": RIGHT_OF_LEDGER,
        "openpyxl": RIGHT_OF_LEDGER,
        "python_calamine": frozenset({"scenario", "questions", "commands"}),
        "ortools": frozenset({"questions"}),
        "sqlite3": frozenset({"runs"}),
        "dask": frozenset({"runs"}),
        "distributed": frozenset({"runs"}),
        "multiprocessing": frozenset({"runs", "commands"}),
        "concurrent": frozenset({"runs"}),
        "pickle": frozenset({"runs"}),  # between its own processes only
        "time": frozenset({"runs", "verification", "commands"}),
        "datetime": frozenset({"scenario", "intake", "questions", "report", "commands"}),
    }
)
#: Slow to load: only inside the function that needs them, so that asking for help is instant.
SLOW = frozenset(
    {
        *("pandas", "matplotlib", "jinja2", "openpyxl", "python_calamine", "rich", "shtab"),
        *("ortools", "dask", "distributed", "numba", "llvmlite"),
    }
)
#: Files that need one of these as soon as they are loaded.
LATE = frozenset({"linesim.engine.native"})
#: Nobody's: luck comes from keyed streams, and nothing in a file is ever executed.
NOBODY = frozenset({"random", "secrets", "uuid", "shelve", "marshal", "yaml", "scipy.stats"})

MODULES = package_modules()
everywhere = each(MODULES)


def room_of(imported: str) -> str | None:
    """Return the room that a dotted name lies in, or None outside the package."""
    parts = imported.split(".")
    if parts[0] != "linesim":
        return None
    return parts[1] if len(parts) > 1 else "__init__"


def starts_with(imported: str, library: str) -> bool:
    """Return whether a dotted name is the library or lies in it."""
    return imported == library or imported.startswith(library + ".")


def test_every_room_is_on_the_list() -> None:
    """A folder or file of the package stands in the table of rooms or at the door."""
    assert {module.room for module in MODULES} <= set(MAY_USE) | DOOR


def test_a_class_has_a_name_of_its_own() -> None:
    """No two files of the package define classes of one name: a name means one thing in all rooms."""
    places: dict[str, list[str]] = {}
    for module in MODULES:
        for node in module.nodes:
            if isinstance(node, ast.ClassDef):
                places.setdefault(node.name, []).append(str(module))
    assert {name: files for name, files in places.items() if len(files) > 1} == {}


@everywhere
def test_imports_run_one_way(module: Module) -> None:
    """A room imports only itself, what is free to all and the rooms that the table names for it."""
    if module.room in DOOR:
        return
    allowed = MAY_USE[module.room] | FREE | {module.room}
    wrong = [
        f"{module}:{found.line} imports {found.name}"
        for found in imports_of(module)
        if (room := room_of(found.name)) is not None and room not in allowed and not _is_version(found)
    ]
    assert not wrong


def _is_version(found: Import) -> bool:
    return found.name == "linesim.__version__"


@everywhere
def test_lodgers_stay_in_their_rooms(module: Module) -> None:
    """pydantic, simpy, matplotlib, argparse, pandas and the others are imported in their rooms only."""
    wrong = [
        f"{module}:{found.line} imports {found.name}"
        for found in imports_of(module)
        for library, rooms in LODGERS.items()
        if starts_with(found.name, library) and module.room not in rooms and not found.for_types
    ]
    assert not wrong


@everywhere
def test_slow_libraries_are_imported_where_they_are_used(module: Module) -> None:
    """Libraries that take long to load, and files that need them at once, are imported inside functions."""
    wrong = [
        f"{module}:{found.line} imports {found.name} when the file is loaded"
        for found in imports_of(module)
        if found.at_load and any(starts_with(found.name, library) for library in (*SLOW, *LATE))
        if module.name not in LATE
    ]
    assert not wrong


@everywhere
def test_nobody_imports_luck_or_execution(module: Module) -> None:
    """No file imports a global generator, a format that executes what it reads, or the slow scipy.stats."""
    wrong = [
        f"{module}:{found.line} imports {found.name}"
        for found in imports_of(module)
        if any(starts_with(found.name, library) for library in NOBODY)
    ]
    assert not wrong


def test_simpy_has_one_file() -> None:
    """SimPy is imported in exactly one file of the engine."""
    files = [str(m) for m in MODULES if any(starts_with(f.name, "simpy") for f in imports_of(m))]
    assert len(files) == 1, files


@everywhere
def test_only_commands_print(module: Module) -> None:
    """Only commands write to the terminal; everything else returns what it has to say."""
    if module.room == "commands":
        return
    wrong = [
        f"{module}:{item.lineno}"
        for item in module.nodes
        if (isinstance(item, ast.Call) and isinstance(item.func, ast.Name) and item.func.id == "print")
        or (
            isinstance(item, ast.Attribute)
            and item.attr in {"stdout", "stderr"}
            and isinstance(item.value, ast.Name)
            and item.value.id == "sys"
        )
    ]
    assert not wrong


@everywhere
def test_nothing_is_evaluated(module: Module) -> None:
    """No file calls eval, exec, compile or __import__."""
    wrong = [
        f"{module}:{item.lineno} calls {item.func.id}"
        for item in module.nodes
        if isinstance(item, ast.Call)
        and isinstance(item.func, ast.Name)
        and item.func.id in {"eval", "exec", "compile", "__import__"}
    ]
    assert not wrong


@everywhere
def test_numpy_luck_is_keyed(module: Module) -> None:
    """Of numpy.random only generators that are made from an explicit key are used."""
    keyed = {"Generator", "Philox", "SeedSequence", "BitGenerator", "PCG64DXSM"}
    wrong = [
        f"{module}:{item.lineno} uses numpy.random.{item.attr}"
        for item in module.nodes
        if isinstance(item, ast.Attribute)
        and isinstance(item.value, ast.Attribute)
        and item.value.attr == "random"
        and isinstance(item.value.value, ast.Name)
        and item.value.value.id in {"np", "numpy"}
        and item.attr not in keyed
    ]
    assert not wrong
