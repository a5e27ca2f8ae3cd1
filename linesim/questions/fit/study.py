"""`fit`: which shapes measured times have, task by task."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from linesim.answers.card import StudyCard
from linesim.answers.document import Chart, Document, Heading, Part, View, Words
from linesim.answers.table import Column, Table
from linesim.answers.wording import listed
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.intake.study import TimedElement, TimeStudy, read_study, unit_named
from linesim.questions.fit import FitQuestion
from linesim.questions.fit.candidates import FITTED, tail_shares
from linesim.questions.fit.fitted import ALL, WITHOUT, Fitted, far_off, fitted, written_back
from linesim.questions.fit.sentences import cautions, sentences
from linesim.runs.provenance import versions
from linesim.scenario.cells import read_times
from linesim.scenario.files import TABLE_LIMIT, FoundFile, read_ordinary
from linesim.scenario.grid import read_grid
from linesim.scenario.problems import Notes, UnreadableError, shown
from linesim.scenario.toml import toml_value
from linesim.ticks import Duration

MOST = 20_000  #: Of more times of one task so many would do as well.
MOST_TASKS = 500  #: Most tasks of a study.

_MEAN = Column("mean", "estimate", "mean, s", "s", "mean=mean_s low=mean_low high=mean_high n=times method",
               ("n=times", "both"))  # fmt: skip
_CV = Column("cv", "estimate", "sd, % of it", "share", "mean=cv low=cv_low high=cv_high method=cv_method",
             ("mean",))  # fmt: skip
_TASKS = (
    Column("task"), Column("outliers"), _MEAN, _CV, Column("shape"),
    Column("chance", "share", "as far off, %"), Column("line"), Column("counts", head="to paste"),
)  # fmt: skip
_SHAPES = (
    Column("task"), Column("outliers"), Column("shape"),
    *(Column(f"parameter_{k}", "number") for k in (1, 2, 3)),
    Column("mean_s", "number", "mean, s"), Column("sd_s", "number", "sd, s"),
    Column("q95_s", "number", "95 %, s"), Column("log_likelihood", "number"), Column("aic", "number"),
    Column("above", "number", "AIC"), Column("measure"), Column("distance", "number"),
    Column("chance", "share", "as far off, %"), Column("fate", head=""), Column("figures"),
)  # fmt: skip
_READ = ("shape", "mean_s", "sd_s", "q95_s", "above", "chance", "fate")  #: Columns of shapes that are read.
_QUANTILES = (
    Column("task"), Column("outliers"), Column("shape"), Column("share_below", "share", "share, %"),
    Column("data_s", "number", "measured, s"), Column("shape_s", "number", "by the shape, s"),
)  # fmt: skip
_TIMES = (Column("task"), Column("cycle"), Column("time_s", "number", "time, s"), Column("outlier"))
_NOTE = (
    "'95 %': so many of the times are shorter by the shape. 'as far off': of the samples drawn from it, so "
    "many lie as far off; with 5 or less it does not fit. 'AIC': above the lowest, lower is better; of "
    "shapes with two ends it says less."
)
_SAYS = (
    "Above, how often times of each length were measured, and as a line how often the shape expects them. "
    "Below, each measured time against the time that the shape puts in its place: dots on the line agree, "
    "dots above it are longer than the shape says. Short times lie on the left, long ones, which overruns "
    "come from, on the right."
)


@dataclass(frozen=True, slots=True, repr=False)
class FitAnswer(Document):
    """The answer of `fit`.

    Attributes:
        tasks: The task table with the fitted times in it; empty where none was named.
    """

    tasks: str = ""


def study(asked: FitQuestion, scenario: None = None) -> FitAnswer:
    """Return the shapes of measured times, held against samples drawn from them."""
    found, file = _study_of(asked)
    elements = _chosen(found.elements, asked.only)
    fits = list(_fits(asked, elements, file))
    chosen = [one for one in fits if _counts(one, fits, asked)]
    table, says = written_back(asked.into, chosen) if asked.into else ("", "")
    tables = _tables(fits, chosen, elements)
    return FitAnswer(
        study="fit",
        sentences=(*sentences(fits, chosen, asked.samples, has_file=bool(file)), *([says] if says else [])),
        tables_=tables,
        parts=(*_parts(tables, fits, chosen), *_found(asked)),
        cautions=(*found.words, *cautions(chosen)),
        card=StudyCard("", file, asked.seed, asked.confidence, (), (), tuple(versions().items())),
        asked=asked.echo(),
        tasks=table,
    )


def _study_of(asked: FitQuestion) -> tuple[TimeStudy, str]:
    """Return the times, and the name of their file; empty where they came from none."""
    given = asked.times
    if isinstance(given, bytes):
        found = FoundFile("standard input", Path("-"), given)
    elif isinstance(given, str | os.PathLike):
        name = os.fspath(given)
        real = Path(os.path.realpath(name))
        try:
            found = FoundFile(name, real, read_ordinary(real, shown(name), limit=TABLE_LIMIT))
        except UnreadableError as error:
            notes = Notes()
            notes.of_file(name, error)
            raise ScenarioError(notes.sorted([name])) from None
    else:
        lists = given if isinstance(given, Mapping) else {"times": given}
        return TimeStudy(tuple(_given(name, some) for name, some in lists.items()), ()), ""
    unit = None if asked.unit is None else unit_named(asked.unit)
    read = read_study(found, column=asked.column, by=asked.by, unit=unit)
    elements = tuple(one if _stands_in(found, one) else replace(one, heading="") for one in read.elements)
    return TimeStudy(elements, read.words), "" if isinstance(given, bytes) else os.path.basename(found.name)


def _stands_in(found: FoundFile, one: TimedElement) -> bool:
    """Return whether a scenario reads the same times from the column itself."""
    notes = Notes()
    try:
        return bool(one.heading) and read_times(read_grid(found, prefer="times"), one.heading, notes) == list(
            one.times_s
        )
    except UnreadableError:
        return False


def _given(name: str, values: Sequence[float]) -> TimedElement:
    """Return times that are there already [s].

    Raises:
        WrongQuestionError: If there is none, or one is negative or no number.
    """
    times = np.asarray(values, dtype=np.float64)
    if times.ndim != 1 or not times.size or not np.isfinite(times).all() or times.min() < 0:
        raise WrongQuestionError("times must be a list of finite numbers of seconds >= 0, at least one.")
    return TimedElement(name, "", "", ("",) * times.size, tuple(times.tolist()))


def _chosen(elements: Sequence[TimedElement], only: Sequence[str]) -> tuple[tuple[str, TimedElement], ...]:
    """Return the tasks to fit with what tells them apart; no two of one name are put together."""
    named: dict[str, TimedElement] = {}
    for one in elements:
        label, number = one.label, 2
        while label in named:
            label, number = f"{one.label} ({number})", number + 1
        named[label] = one
    if unknown := [name for name in only if name not in named]:
        raise WrongQuestionError(f"no times of {unknown[0]!r}; there are {listed(list(named)[:20])}.")
    found = tuple((name, one) for name, one in named.items() if not only or name in only)
    if len(found) > MOST_TASKS:
        raise WrongQuestionError(
            f"{len(found)} tasks are too many at once; name {MOST_TASKS} or fewer, --only."
        )
    for name, one in found:
        if len(one.times_s) > MOST:
            raise WrongQuestionError(
                f"{len(one.times_s):,} times of {name} are more than are needed; {MOST:,} will do."
            )
    return found


def _fits(asked: FitQuestion, elements: Sequence[tuple[str, TimedElement]], file: str) -> Iterator[Fitted]:
    """Yield the fit of each task, and without outliers where there are any."""
    kinds: Sequence[str] = asked.shapes or [kind.kind for kind in FITTED]
    for number, (name, one) in enumerate(elements):

        def tell(done: int, of: int, before: int = number) -> None:
            if asked.progress is not None:
                asked.progress(before * of + done, of * len(elements))

        has_far = far_off(np.asarray(one.times_s)).size > 0
        for outliers in (ALL, WITHOUT) if has_far else (ALL,):
            yield fitted(
                one, name, outliers, kinds, file=file, samples=asked.samples, seed=asked.seed,
                confidence=asked.confidence, whatever_fits=bool(asked.shapes), tell=tell,
            )  # fmt: skip


def _counts(one: Fitted, fits: Sequence[Fitted], asked: FitQuestion) -> bool:
    """Return whether a fit gives the line to paste."""
    if asked.outliers == "keep":
        return one.outliers == ALL
    return one.outliers == WITHOUT or all(x.outliers == ALL for x in fits if x.task == one.task)


def _tables(
    fits: Sequence[Fitted], chosen: Sequence[Fitted], elements: Sequence[tuple[str, TimedElement]]
) -> tuple[Table, ...]:
    rows = [
        {**{column.name: getattr(one, column.name) for column in _TASKS[:-1]},
         "counts": "yes" if one in chosen else ""}
        for one in fits
    ]  # fmt: skip
    far = {name: set(far_off(np.asarray(one.times_s)).tolist()) for name, one in elements}
    times = [
        {"task": name, "cycle": cycle, "time_s": seconds, "outlier": "outlier" if k in far[name] else ""}
        for name, one in elements
        for k, (cycle, seconds) in enumerate(zip(one.cycles, one.times_s, strict=True))
    ]
    quantiles = [
        {"task": one.task, "outliers": one.outliers, "shape": shape.kind, "share_below": p, "data_s": data,
         "shape_s": by_shape}
        for one in fits for shape in one.shapes for p, data, by_shape in tail_shares(one.times_s, shape)
    ]  # fmt: skip
    keys = ("task", "outliers")
    return (
        Table.of("tasks", _TASKS, rows, "Times as measured, and what is proposed for them.", keys=keys),
        Table.of("shapes", _SHAPES, _shapes(fits),
                 "Most likely parameters, times in seconds; chance: of samples as far off.",
                 keys=(*keys, "shape")),
        Table.of("quantiles", _QUANTILES, quantiles, "Times that so large a share of times stays below.",
                 keys=(*keys, "shape", "share_below")),
        Table.of("times", _TIMES, times, "Every time, in the order in which they stand."),
    )  # fmt: skip


def _shapes(fits: Sequence[Fitted]) -> Iterator[Mapping[str, Any]]:
    for one in fits:
        best = min((shape.aic for shape in one.shapes), default=0.0)
        of = {"task": one.task, "outliers": one.outliers}
        for shape in one.shapes:
            figures = shape.shape.figures
            numbers = [v.seconds if isinstance(v, Duration) else float(v) for v in figures.values()]
            first, second, third = [*numbers, None, None][:3]
            written = {name: str(v) if isinstance(v, Duration) else v for name, v in figures.items()}
            yield {
                **of, "shape": shape.kind, "parameter_1": first, "parameter_2": second, "parameter_3": third,
                "mean_s": shape.mean_s, "sd_s": shape.sd_s, "q95_s": shape.quantile(0.95),
                "log_likelihood": shape.log_likelihood, "aic": shape.aic, "above": shape.aic - best,
                "measure": shape.measure, "distance": shape.distance, "chance": shape.chance,
                "fate": shape.fate, "figures": toml_value({"shape": shape.kind, **written}),
            }  # fmt: skip
        for out in one.left_out:
            empty = dict.fromkeys(column.name for column in _SHAPES)
            yield {**empty, **of, "shape": out.kind, "fate": f"not tried: {out.why}"}


def _parts(tables: Sequence[Table], fits: Sequence[Fitted], chosen: Sequence[Fitted]) -> Iterator[Part]:
    _, shapes, quantiles, _ = tables
    if len(fits) > 1:
        shown = [column for column in _TASKS if column.name in ("task", "outliers", "mean", "cv", "shape")]
        yield View(
            "tasks", "Task by task", tuple(shown if len(fits) > len(chosen) else shown[:1] + shown[2:])
        )
    yield Heading("To paste")
    for one in chosen:
        yield Words((f"# {one.task}", one.line) if len(chosen) > 1 else (one.line,), is_verbatim=True)
    if len(chosen) == 1 and len(shapes):
        reasons = dict.fromkeys(one.why for one in chosen[0].left_out)
        by_reason = {
            why: listed([one.kind for one in chosen[0].left_out if one.why == why]) for why in reasons
        }
        untried = "".join(f" Not tried: {kinds}; {reason}." for reason, kinds in by_reason.items())
        read = tuple(column for column in _SHAPES if column.name in _READ)
        rows = shapes.places(lambda row: row["outliers"] == chosen[0].outliers and row["aic"] is not None)
        yield View("shapes", "Shape by shape", read, rows, note=f"{_NOTE}{untried}")
    for number, one in enumerate(chosen, start=1):
        if not one.shapes:
            continue
        best = one.shapes[0]
        is_proposed = best.kind == one.shape
        what = f"{best.kind}, proposed" if is_proposed else f"{best.kind}, the nearest shape, does not fit"
        of = f" of {one.task}" if len(chosen) > 1 else ""
        key = (one.task, one.outliers, best.kind)
        view = View(
            "quantiles",
            f"{one.times_s.size} measured times{of} and a shape: {what}",
            _without(_QUANTILES, {"task", "outliers", "shape"}),
            quantiles.places(lambda row, key=key: (row["task"], row["outliers"], row["shape"]) == key),  # type: ignore[misc]
            only_page=True,
        )
        name = "fit" if len(chosen) == 1 else f"fit-{number}"
        yield Chart("fit", name, _SAYS, view, "shape_s", best.kind, "s")


def _found(asked: FitQuestion) -> tuple[Part, ...]:
    """Return how it was found, for those who would find it again."""
    said = (
        f"Maximum likelihood; {asked.samples} samples a shape with seed {asked.seed}. Intervals: "
        f"{100 * asked.confidence:g} %. linesim {versions()['linesim']}."
    )
    return Heading("How this was found"), Words((said,))


def _without(columns: Sequence[Column], names: set[str]) -> tuple[Column, ...]:
    return tuple(replace(column) for column in columns if column.name not in names)
