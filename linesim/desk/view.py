"""The parts of the desk as HTML: every text is escaped, tables and letters are the report's."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from itertools import count
from typing import TYPE_CHECKING, Any, NamedTuple

from linesim.answers.readable import in_words, readable
from linesim.answers.values import Change
from linesim.answers.wording import change_in_words, interval_text, level_text, listed, text
from linesim.desk.asking import CONFIDENCE, FILE, Looked, Seen, Side
from linesim.desk.forms import Form, form_of, shown, steppers
from linesim.desk.session import MOST_KEPT, Edit, Session
from linesim.desk.studies import AS_CHANGED, StudyState, buttons, options_of, tried
from linesim.plan.build import build
from linesim.questions.declare import purpose
from linesim.report.charts.strip import Stretch, stretches
from linesim.report.table import PageCell, PageColumn, PageTable, numeric, table

if TYPE_CHECKING:
    from jinja2 import Environment

    from linesim.intake.intake import Intake
    from linesim.runs.case_runner import CaseChange

_FOLDERS = ("linesim.desk", "page"), ("linesim.report", "templates")
_MOST_SAID = 30  #: Changes of an upload that are listed.


class StationView(NamedTuple):
    """A station on the strip.

    Attributes:
        name: Its name.
        crews: Who covers it, with their numbers.
        load: Work as a share of the takt [%]; None where it is not worked out yet.
        stop_min: Minutes of stop a shift that begin there; None before the first run.
    """

    name: str
    crews: str
    load: float | None
    stop_min: float | None

    @property
    def says(self) -> str:
        """All of it in words."""
        parts = [self.name, f"crew {self.crews}" if self.crews else "nobody"]
        parts += [] if self.load is None else [f"its work takes {self.load:.0f} % of the takt"]
        parts += [] if self.stop_min is None else [f"stops {self.stop_min:.1f} min a shift"]
        return ", ".join(parts)


def asset(name: str) -> str:
    """Return a file of the page: the desk's own, or the report's."""
    for package, folder in _FOLDERS:
        found = files(package).joinpath(folder, name)
        if found.is_file():
            return found.read_text(encoding="utf-8")
    raise FileNotFoundError(name)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    found = Environment(
        loader=FunctionLoader(asset), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    found.filters["in_words"] = in_words
    return found


def rendered(name: str, **values: Any) -> str:
    """Return a template with its values, every text escaped."""
    numbers = count(1)
    stem = name.partition(".")[0]
    return _environment().get_template(name).render(next_id=lambda: f"{stem}-table-{next(numbers)}", **values)


def page(session: Session, parts: Mapping[str, tuple[int, str]]) -> str:
    """Return the whole page with its parts as they are now."""
    asked = [(one.name, one.asks, purpose(one)[0], options_of(one)) for one in buttons()]
    title = session.base.title or session.path.name
    return rendered(
        "desk.html", title=title, file=session.path.name, parts=parts, questions=asked, most_kept=MOST_KEPT
    )  # fmt: skip


def strip_part(session: Session, seen: Seen) -> str:
    """Return the line as it is now, section by section."""
    found = stretches(build(session.scenario))
    sections = [(one, [_station(one, k, seen) for k in range(len(one.places))]) for one in found]
    return rendered("strip.html", sections=sections)


def _station(stretch: Stretch, place: int, seen: Seen) -> StationView:
    name = stretch.places[place].name
    crews = listed([f"{one.crew} {one.people}" for one in stretch.covers
                    if place in one.stations and not one.comes_when_called])  # fmt: skip
    load = seen.loads.get(name)
    stop = seen.stop_min.get(name, 0.0 if seen.stop_min else None)
    return StationView(name, crews, None if load is None else 100 * load.share_of_takt, stop)


def steps_part(session: Session) -> str:
    """Return the figures that people change most, each with a step down and up."""
    return rendered("steps.html", groups=steppers(session.scenario))


def changes_part(session: Session) -> str:
    """Return what is changed against the file, and the command line that asks the same."""
    return rendered(
        "changes.html", changes=shown(session.base, session.edits), command=command_line(session),
        file=session.path.name,
    )  # fmt: skip


def command_line(session: Session) -> str:
    """Return the command that asks what the desk answers."""
    tries = tries_of(session)
    if not tries:
        return shlex.join(["linesim", "run", session.path.name])
    words = [word for one in tries for word in ("--try", one)]
    return shlex.join(["linesim", "compare", session.path.name, *words])


def tries_of(session: Session) -> list[str]:
    """Return the present changes and the alternatives that are kept, as `compare` takes them."""
    named: dict[str, Sequence[Edit]] = {name: edits for name, edits in session.kept.items()
                                        if session.fits(edits) is not None}  # fmt: skip
    if session.edits and session.edits not in named.values():
        named = {AS_CHANGED: session.edits, **named}
    return [tried(edits, name) for name, edits in named.items()]


def answer_part(looked: Looked | None, is_changed: bool, notice: str = "") -> str:
    """Return what the replications say so far.

    Args:
        looked: What they say; None before the first look.
        is_changed: Whether anything is changed.
        notice: What one should hear meanwhile.
    """
    if looked is None:
        return rendered("answer.html", looked=None, is_changed=is_changed, notice=notice)
    lead, tables, money = _lead(looked), [], ""
    if looked.figures:
        tables.append(_changes_table("The line without and with the changes, a shift", looked.figures))
    if looked.stops:
        tables.append(_changes_table("Stops by the place where they begin, min a shift", looked.stops))
    if looked.money:
        money = listed([
            f"{part or 'net'} {text(change)}" for part, change in looked.money.items()
            if change.mean is not None and change.verdict != "the same"
        ])  # fmt: skip
    return rendered(
        "answer.html", lead=lead, looked=looked, is_changed=is_changed, tables=tables, money=money,
        standing=_standing(looked),
    )  # fmt: skip


def _lead(looked: Looked) -> str:
    if looked.failed:
        return looked.failed
    assert looked.measure is not None and looked.estimate is not None
    if not looked.figures:
        unit = "jobs a shift" if looked.measure.measure == "jobs_per_shift" else "jobs an hour"
        return f"The line makes {text(looked.estimate)} {unit}."
    said = change_in_words(looked.figures[0].difference, looked.measure)
    if not looked.is_last:
        said = said.replace("can't tell", "can't tell yet", 1)
    return f"{said[0].upper()}{said[1:]}."


def _standing(looked: Looked) -> str:
    """Return how far the answer stands already, and what more replications would do."""
    if not looked.is_last:
        if not looked.figures:
            return "More follow."
        if not looked.has_side:
            return "Not settled: more follow. The intervals of these first looks hold together."
        return (
            "Firm: the first looks, whose intervals hold together, leave one side only; more follow and draw "
            "the interval closer."
        )
    if looked.figures and looked.figures[0].difference.verdict == "can't tell":
        return (
            "Settled, as far as the replications of the file go: a difference beyond these ends is ruled out "
            f"at {CONFIDENCE:.0%}; a smaller one would take more replications to see."
        )
    return "Settled: these are all that the file asks for."


def _changes_table(caption: str, changes: Sequence[CaseChange]) -> PageTable:
    rows: list[list[PageCell | str]] = []
    for one in changes:
        change = one.difference
        name = one.measure.label
        if one.measure.cause:
            name = f"{one.measure.where}, {one.measure.cause}"
        levels = [level_text(value, change) for value in (change.before, change.after)]
        rows.append([name, *levels, PageCell(_cell(change), change.mean)])
    columns: list[PageColumn | str] = ["figure", *numeric("file", "now", "change")]
    return table(caption, columns, rows, sorts=False)


def kept_part(session: Session, sides: Sequence[Side]) -> str:
    """Return the alternatives that are kept, side by side."""
    found = {side.name: side for side in sides}
    rows: list[tuple[str, list[str]]] = []
    names = [FILE, *session.kept]
    if all(name in found for name in names) and len(names) > 1:
        columns = [found[name] for name in names]
        rows = [
            ("jobs a shift", [_cell(side.estimate) for side in columns]),
            ("against the file", [_cell(side.change) for side in columns]),
            ("stops of all sections, min a shift", [_cell(side.stop) for side in columns]),
            ("people", [str(side.people) if not side.failed else "" for side in columns]),
        ]
        if any(side.money for side in columns):
            rows.append(("net money against the file", [_cell(side.money) for side in columns]))
    kept = []
    for name, edits in session.kept.items():
        failed = found[name].failed if name in found else ""
        if session.fits(edits) is None:
            failed = "it does not fit the file any more."
        changes = [one.text for one in shown(session.base, edits)]
        kept.append((name, changes, failed))
    return rendered("kept.html", kept=kept, names=names, rows=rows)


def _cell(found: Any) -> str:
    if found is None or found.mean is None:
        return ""
    if isinstance(found, Change) and found.verdict == "can't tell":
        return f"can't tell ({interval_text(found)})"
    return text(found)


def running_part(state: StudyState) -> str:
    """Return how far the present study is."""
    return rendered("running.html", state=state)


def studies_part(answers: Mapping[str, StudyState]) -> str:
    """Return the answers of studies so far, the last one first."""
    found = [(one, readable(one.answer)) for one in list(answers.values())[::-1] if one.answer is not None]
    return rendered("studies.html", answers=found)


def disk_part(says: str) -> str:
    """Return what became of the file on disk; nothing while it is as it was read."""
    return rendered("disk.html", says=says)


def form_part(session: Session, key: str) -> str:
    """Return the form of one thing on the line.

    Raises:
        DeskError: If there is no such thing.
    """
    form = form_of(session.scenario, key)
    place = form.key.split(".")
    station = place[1] if len(place) == 2 and place[0] == "station" else ""
    tasks = [one for one in session.scenario.placed_tasks if one.at == station] if station else []
    return rendered(
        "form.html", form=form, station=station, tasks=tasks, stations=list(session.scenario.station),
        names=_names_for(session, form), parent=".".join(place[:2]) if len(place) > 2 else "",
    )  # fmt: skip


def _names_for(session: Session, form: Form) -> dict[str, list[str]]:
    """Return which names of the line a field may take, for those that take one."""
    line = session.scenario
    known = {
        "calendar": list(line.calendar), "open_to": [*line.station, *line.bay], "at": list(line.station),
        "zone": list(line.zone), "repaired_by": list(line.crew), "section": list(line.section),
    }  # fmt: skip
    return {field.name: known[field.name] for field in form.fields
            if field.kind == "text" and known.get(field.name)}  # fmt: skip


def upload_part(found: Intake, *, there: Sequence[str]) -> str:
    """Return what was read in an uploaded file, to be confirmed."""
    return rendered(
        "upload.html", found=found, there=there, changes=found.changes[:_MOST_SAID],
        more=max(0, len(found.changes) - _MOST_SAID),
    )  # fmt: skip
