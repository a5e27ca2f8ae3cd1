"""The reference of the scenario language, written from the models themselves."""

from __future__ import annotations

import types
from collections.abc import Iterator
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BeforeValidator, PlainValidator, Tag
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from linesim.scenario import chapters
from linesim.scenario.base import Record, as_name
from linesim.scenario.kinds import annotation_of, fields_of
from linesim.scenario.shapes import SHAPES
from linesim.scenario.shifts import as_span
from linesim.scenario.tasks import COLUMNS
from linesim.scenario.weights import Chance, Weighed
from linesim.ticks import Duration


def reference() -> str:
    """Return the reference as Markdown: every table, every key, its kind, default and meaning."""
    parts = [chapters.HEAD]
    for heading, table, about in chapters.TABLES:
        parts.append(f"## {heading}\n\n{about}\n\n{_rows(table)}")
    parts.append(f"## Times\n\n{chapters.TIMES}\n\n{_shapes()}")
    parts.append(f"## Chances\n\n{chapters.CHANCES}\n\n{_rows(Chance)}")
    parts.append(f"## How well a figure is known\n\n{chapters.WEIGHT}\n\n{_rows(Weighed)}")
    parts.append(f"## Task tables\n\n{chapters.TASK_TABLES}\n\n{_columns()}")
    parts.append(f"## Other tables\n\n{chapters.OTHER_TABLES}")
    return "\n\n".join(parts) + "\n"


def _rows(table: type[Record]) -> str:
    lines = ["| key | takes | default | meaning |", "|---|---|---|---|"]
    weight = (
        frozenset(Weighed.model_fields)
        if issubclass(table, Weighed) and table is not Weighed
        else frozenset()
    )
    for name, field in fields_of(table).items():
        if name not in weight:
            lines.append(f"| `{name}` | {_kind(annotation_of(field))} | {_default(field)} | {_cell(field)} |")
    if weight:
        lines.append("| `source`, `confidence`, `range` | | | see *How well a figure is known* |")
    return "\n".join(lines)


def _cell(field: FieldInfo) -> str:
    return " ".join((field.description or "").split()).replace("|", "\\|")


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
    value = field.default
    if field.annotation is Chance:
        return "`1`"
    if value is PydanticUndefined or value is None or value == () or value == "":
        return "–"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, tuple):
        return "all" if len(value) > 3 else ", ".join(f'`"{item}"`' for item in value)
    return f'`"{value}"`' if isinstance(value, str | Duration) else f"`{value:g}`"


def _kind(kind: Any) -> str:
    """Return what a field takes, in words."""
    return " or ".join(dict.fromkeys(_kinds(kind)))


def _kinds(kind: Any, notes: tuple[Any, ...] = ()) -> Iterator[str]:
    origin = get_origin(kind)
    if origin is Annotated:
        yield from _kinds(get_args(kind)[0], (*get_args(kind)[1:], *notes))
    elif origin in (Union, types.UnionType):
        yield from _union(kind, notes)
    elif origin is Literal:
        yield ", ".join(f'`"{word}"`' for word in get_args(kind))
    elif origin is tuple:
        yield from _list(kind, notes)
    elif origin is dict:
        inner = _kind(get_args(kind)[1])
        yield f"table of {inner}s by name" if inner in ("time", "chance") else "tables by name"
    elif kind is Duration:
        yield "time with unit"
    elif kind is Chance:
        yield "chance"
    elif kind is bool:
        yield "true or false"
    elif kind in (int, float):
        yield ("whole number" if kind is int else "number") + _limits(notes)
    elif kind is str:
        yield _text(notes)
    elif isinstance(kind, type) and issubclass(kind, Record):
        yield "table"


def _text(notes: tuple[Any, ...]) -> str:
    for note in notes:
        if isinstance(note, PlainValidator):
            return "name" if note.func is as_name else "span" if note.func is as_span else "text"
    return "text"


def _union(kind: Any, notes: tuple[Any, ...]) -> Iterator[str]:
    arms = [arm for arm in get_args(kind) if arm is not types.NoneType]
    tags = {note.tag for arm in arms for note in get_args(arm)[1:] if isinstance(note, Tag)}
    if "constant" in tags:
        yield "time"
        return
    for arm in arms:
        yield from _kinds(arm, notes)


def _list(kind: Any, notes: tuple[Any, ...]) -> Iterator[str]:
    arguments = [arm for arm in get_args(kind) if arm is not Ellipsis]
    inner = _kind(arguments[0])
    if any(isinstance(note, BeforeValidator) for note in notes):
        yield inner
    yield f"list of {inner}s" if len(arguments) == 1 and " " not in inner else "list"


def _limits(notes: tuple[Any, ...]) -> str:
    found: dict[str, float] = {}
    for note in notes:
        inside = note.metadata if isinstance(note, FieldInfo) else [note]
        for limit in inside:
            for word in ("ge", "gt", "le", "lt"):
                if (value := getattr(limit, word, None)) is not None:
                    found[word] = max(value, found[word]) if word in ("ge", "gt") and word in found else value
    low = f"{found['ge']:g}" if "ge" in found else (f"more than {found['gt']:g}" if "gt" in found else "")
    high = f"{found['le']:g}" if found.get("le", 1e6) < 1e6 else ""
    if low and high:
        return f" {low} to {high}"
    return (
        f", {low} or more"
        if low and "ge" in found and found["ge"] > -1e9
        else (f", {low}" if "gt" in found else "")
    )


def _shapes() -> str:
    lines = ["| shape | takes | what it is |", "|---|---|---|"]
    for shape in SHAPES:
        keys = [name for name in fields_of(shape) if name not in {*Weighed.model_fields, "shape"}]
        about = " ".join((shape.__doc__ or "").split("\n\n")[0].split())  # what follows is mathematics
        takes = ", ".join(f"`{key}`" for key in keys)
        lines.append(f"| `{shape.kind}` | {takes} | {about} |")
    lines += ["", "| key | of | meaning |", "|---|---|---|"]
    said: dict[tuple[str, str], list[str]] = {}
    for shape in SHAPES:
        for name, field in fields_of(shape).items():
            if name not in {*Weighed.model_fields, "shape"}:
                said.setdefault((name, _cell(field)), []).append(shape.kind)
    order = list(dict.fromkeys(name for name, _ in said))
    rows = sorted(said.items(), key=lambda item: order.index(item[0][0]))
    lines += [f"| `{name}` | {', '.join(shapes)} | {text} |" for (name, text), shapes in rows]
    return "\n".join(lines)


def _columns() -> str:
    return ", ".join(f"`{name}`" for name in COLUMNS)
