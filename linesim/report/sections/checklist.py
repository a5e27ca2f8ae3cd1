"""What a report of a simulation should say, item by item, as far as the study itself knows it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from linesim.answers.card import CaseCard
from linesim.answers.wording import count_of, listed
from linesim.measures import DEFINITIONS
from linesim.plan.plan import Plan
from linesim.plan.tables import SECTION
from linesim.report.page_input import Told
from linesim.report.parts import Facts, Fold, PageHeading, PageSection, Part, section

_OPEN = "To be written by whoever did the study: "
_OUTPUTS = (
    "jobs_per_shift", "throughput", "plan_met", "line_stop", "lead_time", "first_time_through", "net_money",
)  # fmt: skip
_ORDER = (
    "At an instant first everything ends that ends then (tasks, repairs, ways, breaks); then everything "
    "begins that can, in one fixed order and again until nothing changes: jobs move from the downstream end "
    "upward, then repairs, then tasks: the ready task nearest its limit first, then the station furthest "
    "downstream, then the order of the file. Nothing is drawn to break a tie."
)
_DRAWS = (
    "Every random quantity has a stream of its own (Philox, keyed by seed, replication, kind and name "
    "through SHA-256), and within it a place by job and attempt: a change to the line changes no other draw, "
    "and all cases see the same jobs and the same luck. One uniform number gives one value, by its quantile "
    "function."
)
_MOST_SOURCES = 8  #: Sources that are named.
_SOURCE = (
    "The items of STRESS-DES (T. Monks, C. S. M. Currie, B. S. Onggo, S. Robinson, M. Kunc and S. J. E. "
    "Taylor, Strengthening the reporting of empirical simulation studies, Journal of Simulation 13(1) (2019) "
    "55-67), in words of our own. What the study knows is filled in; what only you know is left open."
)


def checklist(told: Told, cases: Sequence[CaseCard] = (), asks: str = "") -> PageSection | None:
    """Return the checklist, filled from the run and the line.

    Args:
        told: The run and the line.
        cases: What was simulated besides the line as it is.
        asks: What the study asked, where it is more than a run.
    """
    groups = (
        ("1 Objectives", _objectives(told, asks)),
        ("2 Logic", _logic(told, cases)),
        ("3 Data", _data(told)),
        ("4 Experiments", _experiments(told)),
        ("5 Implementation", _implementation(told)),
        ("6 Code", _code(told)),
    )
    parts: list[Part] = []
    for title, pairs in groups:
        parts += [PageHeading(title), Facts(pairs)]
    return section("checklist", "Is everything reported?", _SOURCE, Fold("The checklist", tuple(parts)))


_Pairs = tuple[tuple[str, str], ...]


def _objectives(told: Told, asks: str) -> _Pairs:
    asked = dict(told.asked)
    purpose = " ".join(filter(None, (asked.get("Question", ""), asked.get("Decision", ""))))
    used = {row.measure for row in told.result.measures if row.mean is not None}
    outputs = "; ".join(
        f"{name.replace('_', ' ')} [{DEFINITIONS[name].unit}]: {DEFINITIONS[name].says}"
        for name in _OUTPUTS
        if name in used
    )
    aims = f"{_OPEN}which alternatives are weighed, or what is to be understood."
    return (
        ("1.1 purpose", purpose or f"{_OPEN}what the study is for, and whose decision it serves."),
        ("1.2 outputs", f"{outputs} All others stand under “What do the words mean?”."),
        ("1.3 aims of the experiments", asks or aims),
    )


def _logic(told: Told, cases: Sequence[CaseCard]) -> _Pairs:
    plan = told.plan
    changed = "; ".join(f"{case.name}: {', '.join(case.changes)}" for case in cases if case.changes)
    tasks = count_of(len(plan.tasks.station), "task")
    ends = _ends(plan)
    on, off = plan.names.station[ends[0]], plan.names.station[ends[-1]]
    return (
        ("2.1 the line drawn", "“The line, section by section”."),
        ("2.2 its logic", "“The whole line, read back in sentences”, under “What was assumed?”."),
        ("2.3 logic of the alternatives", changed or "One line, as it is; nothing was changed."),
        ("2.4 algorithms", _sentences(told, "jobs") or f"{_OPEN}in which order the jobs come."),
        ("2.5.1 what moves", "Jobs, each a model with its options."),
        ("2.5.2 activities", f"{tasks} at {count_of(len(plan.names.station), 'station')}."),
        ("2.5.3 resources", _resources(plan)),
        ("2.5.4 queues", _queues(plan)),
        ("2.5.5 where jobs come and go", f"On at {on}, off at {off}."),
    )


def _data(told: Told) -> _Pairs:
    counts = Counter(row.known or "unmarked" for row in told.assumptions)
    known = listed([f"{n} {name}" for name, n in counts.items()]) or "none"
    sources = list(dict.fromkeys(row.source for row in told.assumptions if row.source))
    more = f" and {len(sources) - _MOST_SOURCES} more" if len(sources) > _MOST_SOURCES else ""
    named = f"{'; '.join(sources[:_MOST_SOURCES])}{more}"
    guesses = count_of(counts["guess"], "input is a guess", "inputs are guesses")
    content = told.result.scenario.fingerprint
    return (
        ("3.1 sources", named or f"{_OPEN}where times, chances and failures come from, and of when."),
        ("3.2 preparation", f"{_OPEN}what was left out, joined or fitted before it went into the file."),
        (
            "3.3 inputs",
            f"{known}; each with its value and source under “What was assumed?”. The content of the file has "
            f"the fingerprint {content}.",
        ),
        ("3.4 assumptions", f"{guesses}. {_OPEN}what the line leaves out, and why that does no harm."),
    )


def _experiments(told: Told) -> _Pairs:
    run = told.result.run
    methods = Counter(row.method for row in told.result.measures if row.method)
    common = methods.most_common(1)[0][0] if methods else "none"
    return (
        (
            "4.1 start",
            f"{run.warm_up_s / 3600:.4g} h of warm-up before anything is counted; whether the start still "
            "shows stands under “How sure is this?”.",
        ),
        (
            "4.2 run length",
            f"{run.length_s / 3600:.4g} h on the clock a replication, in shifts of {run.shift_min:g} working "
            "minutes; the line goes on from shift to shift as it stood.",
        ),
        (
            "4.3 estimation",
            f"{count_of(len(run.numbers), 'replication')}; {100 * run.confidence:g} % intervals over "
            f"replications, most by {common}; cases are compared in pairs over common draws.",
        ),
    )


def _implementation(told: Told) -> _Pairs:
    made = ", ".join(f"{name} {version}" for name, version in told.result.run.versions)
    return (
        ("5.1 software", f"{made}."),
        ("5.2 draws", f"{_DRAWS} Seed {told.result.run.seed}."),
        ("5.3 order of simultaneous events", _ORDER),
        ("5.4 computer", f"{_OPEN}the machine and how long it took; the figures depend on neither."),
    )


def _code(told: Told) -> _Pairs:
    again = f" Made again by: {told.command}" if told.command else ""
    return (("6.1 access", f"{_OPEN}where the scenario file and its tables can be had.{again}"),)


def _sentences(told: Told, word: str) -> str:
    """Return what the walk of the line says in the first chapter whose title holds a word."""
    for chapter in told.walk:
        if word in chapter.title.lower():
            return " ".join(sentence.text for sentence in chapter.sentences)
    return ""


def _resources(plan: Plan) -> str:
    names = plan.names
    crews = [f"crew {name}, {count}" for name, count in zip(names.crew, plan.crews.people, strict=True)]
    kinds = (("robot", names.robot), ("tool", names.tool), ("carrier", names.carrier))
    others = [count_of(len(found), word) for word, found in kinds if found]
    return "; ".join([*crews, *others]) + "." if crews or others else "None."


def _queues(plan: Plan) -> str:
    places = zip(plan.names.buffer, plan.buffers.capacity, strict=True)
    found = [f"{name}, {count_of(int(n), 'place')}" for name, n in places]
    found += [f"bay {name}" for name in plan.names.bay]
    said = f"{'; '.join(found)}. Jobs leave a buffer in the order in which they came."
    return said if found else "No buffer and no bay."


def _ends(plan: Plan) -> list[int]:
    """Return the stations of the main flow, in line order."""
    return [
        int(k)
        for kind, i in zip(plan.flow.kind, plan.flow.index, strict=True)
        if kind == SECTION
        for k in plan.sections.stations[i].tolist()
    ]
