"""Reads the package as text and syntax, so that the rules of the house can be checked without running it."""

import ast
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import TypeVar

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "linesim"

_LEFT_OUT = frozenset({".git", ".venv", "venv", "build", "dist", "node_modules", "results", "out"})


T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Module:
    """One Python file: its dotted name, its room (first folder or file below the package), its syntax."""

    path: Path
    name: str
    room: str
    tree: ast.Module

    @cached_property
    def nodes(self) -> tuple[ast.AST, ...]:
        """Everything in the file, as `ast.walk` finds it."""
        return tuple(ast.walk(self.tree))

    def __str__(self) -> str:
        return str(self.path.relative_to(ROOT))


@dataclass(frozen=True)
class Import:
    """One imported dotted name: where, whether when the file is loaded, whether only for the type checker."""

    name: str
    line: int
    at_load: bool
    for_types: bool


def read_module(path: Path) -> Module:
    """Return the parsed file at ``path``, which lies in the package."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    dotted = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
    room = parts[1] if len(parts) > 1 else ""
    return Module(path, dotted, room, ast.parse(path.read_text(encoding="utf-8"), str(path)))


@cache
def package_modules() -> tuple[Module, ...]:
    """Return all files of the package."""
    return tuple(read_module(path) for path in sorted(PACKAGE.rglob("*.py")))


@cache
def imports_of(module: Module) -> tuple[Import, ...]:
    """Return every import of a file, relative ones resolved; ``from a import b`` counts as ``a.b``."""
    return tuple(_walk(module, module.tree, at_load=True, for_types=False))


def _walk(module: Module, place: ast.AST, *, at_load: bool, for_types: bool) -> Iterator[Import]:
    for item in ast.iter_child_nodes(place):
        if isinstance(item, ast.expr):
            continue
        if isinstance(item, ast.Import):
            for alias in item.names:
                yield Import(alias.name, item.lineno, at_load, for_types)
        elif isinstance(item, ast.ImportFrom):
            base = _absolute(module, item)
            for alias in item.names:
                yield Import(f"{base}.{alias.name}", item.lineno, at_load, for_types)
        elif isinstance(item, ast.FunctionDef | ast.AsyncFunctionDef):
            yield from _walk(module, item, at_load=False, for_types=for_types)
        elif isinstance(item, ast.If) and "TYPE_CHECKING" in ast.dump(item.test):
            yield from _walk(module, item, at_load=False, for_types=True)
        else:
            yield from _walk(module, item, at_load=at_load, for_types=for_types)


def _absolute(module: Module, item: ast.ImportFrom) -> str:
    if not item.level:
        return item.module or ""
    parts = module.name.split(".")
    if module.path.name != "__init__.py":
        parts = parts[:-1]
    parts = parts[: len(parts) - (item.level - 1)]
    return ".".join([*parts, item.module] if item.module else parts)


def text_files() -> tuple[Path, ...]:
    """Return every text file that belongs to the project: no caches, environments or pictures."""
    found = []
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if _LEFT_OUT.intersection(parts) or any(_is_cache(part) for part in parts) or not path.is_file():
            continue
        if path.suffix in {".png", ".xlsx", ".npz", ".pyc", ".ico"} or path.name.startswith(".coverage"):
            continue
        found.append(path)
    return tuple(found)


def _is_cache(part: str) -> bool:
    return part.endswith(("cache__", "_cache", ".egg-info")) or part in {".hypothesis", ".ipynb_checkpoints"}


def each(things: Iterable[T]) -> Callable[[Callable[[T], None]], Callable[[], None]]:
    """Make one test of a check of one thing: it goes over all of them and tells every one that fails."""
    all_of_them = tuple(things)

    def widened(check: Callable[[T], None]) -> Callable[[], None]:
        def over_all() -> None:
            wrong = []
            for thing in all_of_them:
                try:
                    check(thing)
                except AssertionError as error:
                    wrong.append(f"{thing}: {error}")
            assert all_of_them and not wrong, "\n".join(wrong)

        over_all.__name__, over_all.__doc__ = check.__name__, check.__doc__
        return over_all

    return widened
