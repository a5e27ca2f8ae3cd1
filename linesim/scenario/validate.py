"""From raw tables to checked models: which table a path means, and problems at the places of the file.

The model checker stops at the first layer of problems: rules between fields and between tables
only run on what is whole. So what is wrong is noted, taken out, and the rest is checked again,
until the rest is whole and the rules of the line can be checked on it.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import Tag, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from linesim.scenario.base import Record
from linesim.scenario.models import Scenario
from linesim.scenario.origins import Origins, Path, dotted, value_at
from linesim.scenario.problems import Notes, nearest, shown
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


_ROUNDS = 30
#: Stand-ins for required fields that are missing or wrong, so that the other checks can go on.
_STAND_INS: Mapping[str | int, Any] = MappingProxyType(
    {
        "run": MappingProxyType({"length": "1 h"}),
        "takt": "60 s",
        "length": "1 h",
        "flow": (),
        "stations": (),
        "pacing": "free",
        "time": "1 s",
        "mean": "1 s",
        "cv": 0.0,
        "every": "1 h",
        "lasts": "1 s",
        "returns": "0 s",
        "capacity": 1,
        "count": 1,
        "people": 1,
        "chance": 0.0,
        "take": 0.0,
    }
)


def validate(raw: dict[str, Any], origins: Origins, notes: Notes, *, shift_s: float) -> Scenario | None:
    """Return the scenario in `raw`, or what is left of it without its wrong parts.

    Args:
        raw: Merged tables; wrong parts are taken out of it.
        origins: Where its parts stand.
        notes: Where problems go.
        shift_s: Gross length of a shift [s].

    Returns:
        The scenario; `None` if not even a rest of it is whole.
    """
    for _ in range(_ROUNDS):
        try:
            return Scenario.model_validate(raw, context={"shift_s": shift_s})
        except ValidationError as error:
            wrong = [(found, spot_of(found["loc"], raw)) for found in error.errors(include_url=False)]
        for found, spot in wrong:
            if found["type"] == "too_short" and any(spot.path == other.path[:-1] for _, other in wrong):
                continue  # it is only short because of the wrong items in it
            if "said" in found.get("ctx", {}) and notes.has_failed_below(spot.path):
                continue  # a rule about fields of which one is wrong already
            if not notes.is_failed(spot.path):
                code, message = _said(found, spot)
                notes.at_path(origins, spot.path, code, message)
        for path in sorted({spot.path for _, spot in wrong}, key=_from_the_end, reverse=True):
            _take_out(raw, path, notes)
    return None


def _from_the_end(path: Path) -> tuple[tuple[bool, int, str], ...]:
    """Return a sort key by which later items of a list come after earlier ones."""
    return tuple((isinstance(part, int), part if isinstance(part, int) else 0, str(part)) for part in path)


def _take_out(raw: dict[str, Any], path: Path, notes: Notes) -> None:
    """Remove a wrong value; put a stand-in where one is needed; without one, remove the table around it."""
    if not path:
        return
    table = value_at(raw, path[:-1])
    key = path[-1]
    was_failed = path in notes.failed
    notes.fail(path)
    if isinstance(table, list) and isinstance(key, int):
        if key < len(table):
            del table[key]
        notes.fail(path[:-1])
    elif isinstance(table, tuple):
        _take_out(raw, path[:-1], notes)
    elif isinstance(table, dict):
        if key in table and not was_failed:
            del table[key]
        elif key in _STAND_INS and not isinstance(table.get(key), dict) and table.get(key) != _STAND_INS[key]:
            stand_in = _STAND_INS[key]
            table[key] = dict(stand_in) if isinstance(stand_in, Mapping) else stand_in
        else:
            _take_out(raw, path[:-1], notes)
    else:
        _take_out(raw, path[:-1], notes)


def _said(found: ErrorDetails, spot: Spot) -> tuple[str, str]:
    """Return code and message of a problem of the model checker."""
    kind = found["type"]
    context: Mapping[str, Any] = found.get("ctx", {})
    value = shown(found.get("input"))
    if "said" in context:
        return kind, str(context["said"])
    if kind == "unknown-shape":
        word = found["input"].get("shape") if isinstance(found["input"], Mapping) else found["input"]
        return kind, f"{shown(word)} is no shape; {found['msg']}"
    if kind == "missing":
        about = spot.field.description if spot.field is not None else ""
        return "missing-field", f"`{dotted(spot.path[-1:])}` is missing. {about or ''}".rstrip()
    if kind == "extra_forbidden":
        return "unknown-key", _unknown_key(spot)
    if kind == "literal_error":
        right = str(context["expected"]).replace("'", '"')
        return "unknown-word", f"found {value}; write {right}."
    if kind in _BOUNDS:
        return "out-of-range", f"found {value}; write {_BOUNDS[kind]} {context[_BOUND_KEY[kind]]:g}."
    if kind in _LENGTHS:
        return "out-of-range", _LENGTHS[kind].format(**context)
    if kind == "finite_number":
        return "out-of-range", f"found {value}; write an ordinary number."
    if kind in _KINDS:
        return "wrong-kind", f"found {value}; write {_KINDS[kind]}."
    return "wrong-kind", f"found {value}; {found['msg'][:200]}."


_BOUNDS = MappingProxyType(
    {
        "greater_than": "more than",
        "greater_than_equal": "at least",
        "less_than": "less than",
        "less_than_equal": "at most",
    }
)
_BOUND_KEY = MappingProxyType(
    {"greater_than": "gt", "greater_than_equal": "ge", "less_than": "lt", "less_than_equal": "le"}
)
_LENGTHS = MappingProxyType(
    {
        "too_short": "found {actual_length} items; write at least {min_length}.",
        "too_long": "found {actual_length} items; write at most {max_length}.",
        "string_too_long": "the text is longer than {max_length} characters; shorten it.",
    }
)
_KINDS = MappingProxyType(
    {
        "int_type": "a whole number",
        "int_from_float": "a whole number",
        "int_parsing_size": "a smaller number",
        "float_type": "a number",
        "string_type": "text in quotes",
        "bool_type": "true or false",
        "tuple_type": "a list",
        "dict_type": "a table",
        "model_type": "a table",
        "model_attributes_type": "a table",
    }
)


def _unknown_key(spot: Spot) -> str:
    word = str(spot.path[-1]) if spot.path else ""
    around = dotted(spot.path[:-1])
    where = f"[{around}]" if around else "the top of a scenario"
    known = list(fields_of(spot.table)) if spot.table is not None else []
    near = nearest(word, known)
    right = f"did you mean {' or '.join(near[:2])}?" if near else f"it may have {', '.join(known)}."
    return f"{shown(word)} is no key of {where}; {right}"
