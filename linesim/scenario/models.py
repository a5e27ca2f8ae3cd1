"""The whole scenario, checked and frozen; models, options and the sequence in which jobs come."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import Discriminator, Field, Tag

from linesim.scenario.base import (
    Chance,
    Count1,
    Dur,
    Name,
    Names,
    Odds,
    Opened,
    Record,
    Table,
    Texts,
    default_table,
    or_percent,
)
from linesim.scenario.line import Bay, Buffer, Carrier, Feeder, Placed, Removal, Section, Station, Supply
from linesim.scenario.people import Crew, Robot, Tool, Zone
from linesim.scenario.run import Calendar, Cost, Run, Study, Target


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


class Scenario(Record):
    """A piece of line and how it is run: everything to simulate it, nothing to look up.

    Every table is keyed by name. `station` holds every station of every section, in line order
    (feeders after the main line); `model` holds at least one model.
    """

    title: str = Field("", description="One line that says what this is.", max_length=200)
    note: str = Field("", description="Anything a reader should know.", max_length=10_000)
    takt: Dur = Field(description="Planned time between two jobs leaving the line.")
    flow: Names = Field(description="Sections and buffers in line order.")
    extends: str | None = Field(
        None, description="Scenario over which this one is laid, table by table; in the same folder or below."
    )
    tasks: Texts = Field((), description="Task tables (CSV or Excel), in the same folder or below.")
    study: Study = Field(default_factory=Study.model_construct, description="The question behind the study.")
    target: Target = Field(default_factory=Target.model_construct, description="What the plan asks.")
    run: Run = Field(description="Length, warm-up, replications, seed.")
    calendar: Table[Calendar] = Field(default_factory=default_table, description="Calendars, by name.")
    model: Table[Model] = Field(
        default_factory=default_table, description="Models; default: one, `standard`."
    )
    option: Table[Option] = Field(default_factory=default_table, description="Options, by name.")
    package: Table[Package] = Field(
        default_factory=default_table, description="Packages of options, by name."
    )
    orders: Orders = Field(default_factory=Orders.model_construct, description="Sequence of jobs.")
    section: Table[Section] = Field(default_factory=default_table, description="Sections, by name.")
    station: Table[Station] = Field(default_factory=default_table, description="Stations, by name.")
    buffer: Table[Buffer] = Field(default_factory=default_table, description="Buffers, by name.")
    carrier: Table[Carrier] = Field(default_factory=default_table, description="Carrier loops, by name.")
    crew: Table[Crew] = Field(default_factory=default_table, description="Crews, by name.")
    robot: Table[Robot] = Field(default_factory=default_table, description="Robots, by name.")
    tool: Table[Tool] = Field(default_factory=default_table, description="Shared tools, by name.")
    zone: Table[Zone] = Field(default_factory=default_table, description="Zones of the job, by name.")
    bay: Table[Bay] = Field(default_factory=default_table, description="Rework bays, by name.")
    supply: Supply = Field(
        default_factory=Supply.model_construct, description="How jobs come to the first section."
    )
    removal: Removal = Field(
        default_factory=Removal.model_construct, description="How jobs leave the last section."
    )
    feeder: Table[Feeder] = Field(default_factory=default_table, description="Feeders, by name.")
    cost: Cost = Field(default_factory=Cost.model_construct, description="Money.")

    @cached_property
    def placed_tasks(self) -> tuple[Placed, ...]:
        """All tasks by the station at which they are done, in file order there."""
        order = {name: number for number, name in enumerate(self.station)}
        found = [
            Placed(station, name, task.at or station, task)
            for station, table in self.station.items()
            for name, task in table.task.items()
        ]
        return tuple(sorted(found, key=lambda one: order.get(one.at, len(order))))

    def replace(
        self, changes: Mapping[Any, Any] | None = None, *, add: Mapping[Any, Any] | None = None
    ) -> Scenario:
        """Return the scenario with some of its values changed, checked like a file.

        Args:
            changes: Places and what they are set to, such as ``{"crew.trim.people": 7}``. A table is
                laid over the one that is there, everything else is replaced. A name that the scenario
                does not have is refused.
            add: The same for what is new: ``{"crew.spare": {"people": 1, "covers": ["T7"]}}``. It is
                there before anything is changed.

        Raises:
            ScenarioError: With everything that is wrong then.
        """
        from linesim.scenario.replace import replaced

        return replaced(self, changes or {}, add or {})

    def as_dict(self) -> dict[str, Any]:
        """Return the scenario as tables of text and numbers that `from_dict` reads back.

        Everything is in it that was read from other files; their names are left out.
        """
        from linesim.scenario.content import as_dict

        return as_dict(self)

    def fingerprint(self) -> str:
        """Return a hash of all that decides the figures, 64 hexadecimal digits.

        Scenarios with the same fingerprint give the same replication for the same seed: it covers
        the merged content with defaults, tables, orders and measured times, but not title, note,
        study, seed and number of replications, names of files, how a time is written, nor the
        order of keys where it means nothing.
        """
        from linesim.scenario.content import fingerprint

        return fingerprint(self)
