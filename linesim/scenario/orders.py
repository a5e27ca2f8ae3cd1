"""Orders: models, options, and the sequence in which jobs come."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import Discriminator, Field, Tag

from linesim.scenario.base import (
    Chance,
    Count1,
    Name,
    Names,
    Odds,
    Opened,
    Record,
    Table,
    default_table,
    or_percent,
)


def _kind_of_take(value: Any) -> str:
    if isinstance(value, Mapping) and not isinstance(value, Chance) and "value" not in value:
        return "by model"
    return "all models"


Take = Annotated[
    Annotated[Odds, Tag("all models")] | Annotated[Table[Odds], Tag("by model")], Discriminator(_kind_of_take)
]
"""One chance for all models, or a table of chances by model (models not named: 0)."""


class Model(Record):
    """A kind of job."""

    share: Annotated[float, or_percent(0, 1e9)] = Field(
        1.0, description="Its share of the jobs; shares are scaled to add up to 1.", strict=True, ge=0, le=1e9
    )


class Option(Record):
    """Something that some jobs have."""

    take: Take = Field(description="Share of jobs that have it, 0 to 1; or a table `{ model = share }`.")
    excludes: Names = Field((), description="Options that cannot stand beside it.")
    needs: Names = Field((), description="Options that come with it.")


class Package(Record):
    """Options that come together; each may also be taken alone if its own `take` says so."""

    take: Take = Field(
        description="Share of jobs that have the package, 0 to 1; or a table `{ model = share }`."
    )
    options: Names = Field(description="Options in it.")


class Spacing(Record):
    """A rule of the sequence: at most so many in any so many jobs in a row."""

    of: Name = Field(description="Option or model that is kept apart.")
    at_most: Count1 = Field(description="At most this many of them ...")
    in_any: Count1 = Field(description="... in any run of this many jobs.")


class Order(NamedTuple):
    """One ordered job."""

    model: str
    options: tuple[str, ...]


def _order_text(value: Any) -> Any:
    if isinstance(value, Order):
        return "+".join((value.model, *value.options))
    return value


OrderText = Annotated[str, Opened(_order_text)]


class Orders(Record):
    """The sequence in which jobs come."""

    sequence: Literal["random", "levelled", "listed"] = Field(
        "random",
        description="`random` draws each job by the shares; `levelled` spreads the models and options evenly "
        "(goal chasing); `listed` takes the order of `list` or `file`.",
    )
    file: str | None = Field(
        None, description="Table of orders with columns `model` and `options` (joined by `;`)."
    )
    listed: tuple[OrderText, ...] = Field(
        (),
        alias="list",
        description="Orders in sequence, each a model or `model+option+option`; filled from `file` if "
        "that is given.",
    )
    after_last: Literal["repeat", "end"] = Field(
        "repeat", description="After the last listed order: `repeat` from the first, or `end` the supply."
    )
    spacing: Table[Spacing] = Field(
        default_factory=default_table, description="Rules of the sequence, by name."
    )

    @property
    def jobs(self) -> tuple[Order, ...]:
        """The listed orders, taken apart."""
        parts = (text.split("+") for text in self.listed)
        return tuple(Order(model, tuple(options)) for model, *options in parts)
