"""Following a path through the models: which table is meant, and what may stand in it."""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import Tag
from pydantic.fields import FieldInfo

from linesim.scenario.base import Record
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Path, value_at
from linesim.scenario.work import Fault


@dataclass(frozen=True, slots=True)
class Spot:
    """What a location of the model checker means in the file.

    Attributes:
        path: Keys as the user wrote them.
        table: The kind of table in which the last key stands, if that is known.
        field: The field that the last key names, if the table has it.
    """

    path: Path
    table: type[Record] | None
    field: FieldInfo | None


def fields_of(table: type[Record]) -> Mapping[str, FieldInfo]:
    """Return the fields of a table by the name that stands in a file."""
    return {info.alias or name: info for name, info in table.model_fields.items()}


def spot_of(loc: Sequence[str | int], raw: Any) -> Spot:
    """Return what a location of the model checker means in the raw scenario.

    Words that only name an arm of a union, and parts that the models add to a shorter way of
    writing (`"48 s"` for `{ mean = "48 s" }`), are not in the file and are left out.
    """
    kind: Any = Scenario
    table: type[Record] | None = None
    field: FieldInfo | None = None
    path: Path = ()
    for part in loc:
        kind = bare(kind)
        arms = _arms(kind)
        if part in arms:
            kind = arms[str(part)]
            continue
        if not isinstance(raw, Mapping | list | tuple):
            break
        if part == "[key]":
            break
        if isinstance(kind, type) and issubclass(kind, Record):
            table = kind
            field = fields_of(kind).get(str(part))
            if part == "mean" and "mean" not in raw and "value" in raw:
                part = "value"
            kind = None if field is None else annotation_of(field)
        else:
            arguments = get_args(kind)
            table, field = None, None
            is_list = get_origin(kind) is tuple
            kind = arguments[0 if is_list else -1] if arguments else None
            if part == "fault" and bare(kind) is Fault and set(raw) & set(Fault.model_fields):
                continue
        path = (*path, part)
        raw = value_at(raw, (part,))
    return Spot(path, table, field)


def annotation_of(field: FieldInfo) -> Any:
    """Return the annotation of a field as it was written, with the notes beside it."""
    kind: Any = field.annotation
    for extra in field.metadata:
        kind = Annotated[kind, extra]
    return kind


def bare(kind: Any) -> Any:
    """Return a kind without notes beside it and without `None` as an alternative."""
    while True:
        if get_origin(kind) is Annotated:
            kind = get_args(kind)[0]
        elif get_origin(kind) in (Union, types.UnionType):
            others = [arm for arm in get_args(kind) if arm is not types.NoneType]
            if len(others) != 1:
                return kind
            kind = others[0]
        else:
            return kind


def _arms(kind: Any) -> dict[str, Any]:
    """Return the arms of a union by their tags."""
    if get_origin(kind) not in (Union, types.UnionType):
        return {}
    tagged: dict[str, Any] = {}
    for arm in get_args(kind):
        if get_origin(arm) is Annotated:
            for extra in get_args(arm)[1:]:
                if isinstance(extra, Tag):
                    tagged[str(extra.tag)] = get_args(arm)[0]
    return tagged
