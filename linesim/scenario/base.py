"""What every table of a scenario shares: frozen records, numbers, names, times, chances and their sources.

A rule that refuses a value raises through `refuse`, whose first argument is the stable code
of the problem; the loader adds file, line and place.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any, Literal, NoReturn, Self, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from linesim.scenario.problems import shown
from linesim.ticks import SHIFT_S, Duration, parse_duration

MOST = 1_000_000  #: Largest count (people, places, jobs) that a scenario may ask for.
_NAME = re.compile(r"[^\W_][\w-]{0,63}")
_V = TypeVar("_V")


def refuse(code: str, message: str) -> NoReturn:
    """Refuse a value: `code` is the problem's stable code, `message` what was found and is right."""
    raise PydanticCustomError(code, "{said}", {"said": message})


class Record(BaseModel):
    """A table of the scenario language: frozen, and unknown keys are errors.

    What checks it is made when it is first needed: most tables are only ever checked as parts of a scenario.
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True, defer_build=True
    )

    @cached_property
    def content_text(self) -> str:
        """All in it that decides figures, as text; see `linesim.scenario.content`."""
        from linesim.scenario.content import text_of

        return text_of(self)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy with some fields changed, without what was worked out of the fields and kept."""
        copied = super().model_copy(update=update, deep=deep)
        for name in vars(copied).keys() - type(self).model_fields.keys():
            del vars(copied)[name]
        return copied


@dataclass(frozen=True, slots=True, eq=False)
class ReadBy:
    """How a raw value becomes that of a field: a function alone reads it, and it is written as text.

    Pydantic's own `PlainValidator` and `BeforeValidator` also make a schema of all that a value might be, for
    every field anew, which takes as long as all the rest.

    Attributes:
        read: From the raw value, and the context where it ``asks``, to the value.
        schema: What JSON Schema says of the raw value.
        asks: Whether the function wants to know the context.
    """

    read: Callable[..., Any]
    schema: Mapping[str, Any]
    asks: bool = False

    def __get_pydantic_core_schema__(self, kind: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return what pydantic does with a value."""
        text = core_schema.plain_serializer_function_ser_schema(str, return_schema=core_schema.str_schema())
        if self.asks:
            return core_schema.with_info_plain_validator_function(self.read, serialization=text)
        return core_schema.no_info_plain_validator_function(self.read, serialization=text)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Return what JSON Schema says of a value."""
        return dict(self.schema)


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """A shorter way to write a value: a function opens it before it is checked; see `ReadBy`.

    Attributes:
        open: From the raw value to the long way of writing it; anything else stays as it is.
        ways: From what JSON Schema says of the long way to what it says of all ways, in order.
    """

    open: Callable[[Any], Any]
    ways: Callable[[dict[str, Any]], tuple[Mapping[str, Any], ...]] = lambda long: (long,)

    def __get_pydantic_core_schema__(self, kind: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return what pydantic does with a value."""
        return core_schema.no_info_before_validator_function(self.open, handler(kind))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Return what JSON Schema says of a value."""
        ways = [dict(way) for way in self.ways(handler(core))]
        return ways[0] if len(ways) == 1 else {"anyOf": ways}


class Named(dict[str, _V]):
    """A table of tables by name, in file order, that cannot be changed."""

    def _fixed(self, *_: object, **__: object) -> NoReturn:
        raise TypeError("a scenario cannot be changed; load another one with other `sets`")

    __setitem__ = __delitem__ = __ior__ = _fixed
    clear = pop = popitem = setdefault = update = _fixed

    def __hash__(self) -> int:  # type: ignore[override]
        """Return a hash that, like `==`, does not depend on the order of the names."""
        return hash(frozenset(self.items()))

    def __reduce__(self) -> tuple[type[Named[_V]], tuple[dict[str, _V]]]:
        """Copy and pickle as a plain table would."""
        return (type(self), (dict(self),))

    def __repr__(self) -> str:
        """Return text that builds the same table again."""
        return f"Named({dict(self)!r})"


def as_name(value: object) -> str:
    """Return a value that is a name; refuse any other."""
    if isinstance(value, str) and _NAME.fullmatch(value):
        return value
    refuse(
        "bad-name",
        f"{shown(value)} is no name; a name has letters, digits, '-' and '_', begins with a letter or a "
        "digit, and is at most 64 long.",
    )


def _as_tuple(value: object) -> object:
    return (value,) if isinstance(value, str) else value


def _as_duration(value: object, info: ValidationInfo) -> Duration:
    if isinstance(value, Duration):
        return value
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        refuse("bad-time", f'found {shown(value)}; write a time with its unit, such as "61 s".')
    if not isinstance(value, str):
        refuse(
            "bare-number",
            f'found {shown(value)} without a unit; write a time with its unit, such as "{shown(value)} s".',
        )
    shift_s = (info.context or {}).get("shift_s", SHIFT_S)
    try:
        return parse_duration(value, shift_s=shift_s)
    except ValueError as error:
        code = "negative-time" if value.lstrip().startswith("-") and "negative" in str(error) else "bad-time"
        refuse(code, f"{error}.")


NAME = MappingProxyType({"type": "string", "pattern": r"^[^\W_][\w-]{0,63}$"})  #: In JSON Schema.
Name = Annotated[str, ReadBy(as_name, NAME)]
"""Name of a thing on the line."""

Names = Annotated[tuple[Name, ...], Opened(_as_tuple, lambda several: (NAME, several))]
"""One name, or a list of names."""

Texts = Annotated[tuple[str, ...], Opened(_as_tuple, lambda several: ({"type": "string"}, several))]
"""One text, or a list of texts."""

DURATION = MappingProxyType(
    {
        "type": "string",
        "pattern": r"^\s*\+?(\d+(\.\d*)?|\.\d+)\s*(s|min|h|days?|weeks?|shifts?)\s*$",
        "examples": ["61 s", "2 min", "1.5 h", "2 days", "1 week", "5 shifts"],
    }
)  #: In JSON Schema.
Dur = Annotated[Duration, ReadBy(_as_duration, DURATION, asks=True)]
NO_TIME = Duration(0.0, "s", 0.0)
"""A time as text with a unit."""

Count = Annotated[int, Field(strict=True, ge=0, le=MOST)]
Count1 = Annotated[int, Field(strict=True, ge=1, le=MOST)]
_PERCENT = re.compile(r"\s*(\d{1,9}(?:\.\d{0,9})?)\s*%\s*", re.ASCII)


def as_share(value: object) -> object:
    """Return a share that is written in percent as a number, and everything else as it is.

    Examples:
        >>> as_share("35%"), as_share(0.35), as_share("a third")
        (0.35, 0.35, 'a third')
    """
    found = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    return float(Decimal(found[1]) / 100) if found else value


def or_percent(lowest: float, highest: float) -> Opened:
    """Return what lets a share from `lowest` to `highest` be written in percent too, as text: `"40%"`."""
    return Opened(as_share, lambda _: _share_schemas(lowest, highest))


def _share_schemas(lowest: float, highest: float) -> tuple[dict[str, Any], dict[str, Any]]:
    number = {"type": "number", "minimum": lowest, "maximum": highest}
    return number, {"type": "string", "pattern": _PERCENT.pattern}


Number = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=-1e12, le=1e12)]
Share = Annotated[float, or_percent(0, 1), Field(strict=True, allow_inf_nan=False, ge=0, le=1)]
Flag = Annotated[bool, Field(strict=True)]

Table = Annotated[dict[Name, _V], AfterValidator(Named)]
"""A table of tables by name; reads as a mapping, cannot be changed."""


def part_of(table: object, key: str, otherwise: Any = None) -> Any:
    """Return what stands under a key of a table, be it as it was read or a checked record."""
    if isinstance(table, Record):
        return getattr(table, key) if key in table.model_fields_set else otherwise
    return table.get(key, otherwise) if isinstance(table, Mapping) else otherwise


def default_table() -> Any:
    """Return an empty named table."""
    return Named()


Confidence = Literal["measured", "estimated", "guess"]
Positive = Annotated[float, Field(strict=True, gt=0, le=1000)]


class Weighed(Record):
    """What may stand beside any time, chance or failure: where the figure comes from."""

    source: str | None = Field(
        None, description="Where the figure comes from, such as `time study, March`.", max_length=500
    )
    confidence: Confidence | None = Field(
        None,
        description="How well the figure is known: `measured`, `estimated` or `guess`; where nobody says, "
        "`doubt` takes it for an estimate.",
    )
    range: tuple[Positive, Positive] | None = Field(
        None,
        description="Lowest and highest factor on the figure that somebody would defend, such as `[0.8, "
        "1.3]`; read by studies of doubt.",
    )

    @model_validator(mode="after")
    def _range_in_order(self) -> Weighed:
        if self.range is not None and self.range[0] > self.range[1]:
            refuse("out-of-order", f"range {list(self.range)} runs downwards; write the lower factor first.")
        return self


class Chance(Weighed):
    """A chance from 0 to 1; a bare number is enough."""

    value: Share = Field(description="Chance, 0 to 1.")


def _open_chance(value: Any) -> Any:
    return {"value": value} if isinstance(value, int | float | str) and not isinstance(value, bool) else value


Odds = Annotated[Chance, Opened(_open_chance, lambda table: (*_share_schemas(0, 1), table))]
"""A chance: a bare number, a share in percent (`"2%"`), or a table with `value`."""
