"""What plants call the columns of their tables, and the units in which they write times."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

Kind = Literal["tasks", "times", "stations", "orders", "shifts"]
KINDS: tuple[Kind, ...] = ("tasks", "times", "stations", "orders", "shifts")
WHAT: Mapping[Kind, str] = MappingProxyType(
    {
        "tasks": "tasks", "times": "a time study", "stations": "stations", "orders": "orders",
        "shifts": "shift records",
    }
)  # fmt: skip
LEFT_OUT = ""  #: Column of a heading that is not read.

_STATION = (
    "station|stn|st|ws|wst|stat|station id|work station|workstation|work place|workplace|pitch|location"
)
_TASK = (
    "task id|task no|task nr|task number|id|seq|sequence|seq no|op|op id|op no|operation id|operation no|"
    "operation nr|operation number|step|step no|pos|item|item no|element id|element no|no|"
    "process id|process no"
)
_TITLE = (
    "title|task|description|task description|operation|operation description|activity|work element|element|"
    "process|process step|work step|job step|step description|task name|name|what|work instruction|"
    "job element"
)
#: What plants call the columns that can be read, small letters and no signs; the words of a house first.
WORDS: Mapping[Kind, Mapping[str, str]] = MappingProxyType(
    {
        "tasks": MappingProxyType(
            {
                "station": _STATION, "task": _TASK, "title": _TITLE,
                "mean": "mean|std|standard|manual|time|task time|cycle time|standard time|std time|"
                "process time|work time|average|average time|avg|"
                "avg time|mean time|operation time|duration|t|normal time|work content|ct",
                "low": "low|min|minimum|minimum time|min time|shortest|best case|fastest",
                "mode": "mode|most likely|usual|usual time|likely",
                "high": "high|max|maximum|maximum time|max time|longest|worst case|slowest",
                "cv": "cv|variation|coefficient variation|coeff variation",
                "sd": "sd|std dev|stdev|standard deviation|sigma|std deviation",
                "shape": "shape|distribution",
                "crew": "crew|team|group|gang",
                "people": "people|operators|operator|workers|worker|persons|person|men|manning|"
                "headcount|staff|"
                "ops|crew size|ftes|fte|manpower|pers",
                "robot": "robot|robots|automation|robot id",
                "tool": "tool|tools|tooling|tool used|shared tool",
                "section": "section|line|area|zone|line section|segment|department|shop",
                "unit": "unit|units|uom|time unit|unit of time",
                "zone": "side|work zone|job zone",
                "after": "after|must follow|not before|predecessor|predecessors|precedence|preceding task|"
                "preceding tasks|depends on|follows|pred|after task",
                "options": "options|option|only with|option code|feature|only if",
                "unless": "unless|not with|without",
                "models": "models|model|variant|variants|only for|product|type",
                "fault_chance": "fault chance|fault rate|defect rate|reject rate|fault|defects",
                "source": "source", "confidence": "confidence",
            }
        ),
        "times": MappingProxyType(
            {
                "station": _STATION, "task": _TASK, "title": _TITLE,
                "unit": "unit|units|uom|time unit|unit of time",
                "cycle": "cycle|cycle no|observation|obs|reading|sample|measurement|run|count|"
                "repetition|rep|n",
                "time": "time|measured time|observed time|measured|duration|task time|cycle time|"
                "value|seconds",
            }
        ),
        "stations": MappingProxyType(
            {
                "station": _STATION + "|name", "title": "title|description|station name|what|content",
                "section": "section|line|area|line section|segment|conveyor|zone|line segment",
                "people": "people|operators|operator|workers|persons|men|manning|headcount|staff|"
                "ops|crew size",
                "crew": "crew|team|group|gang",
                "late": "late|drift|may finish late", "early": "early|may begin early",
            }
        ),
        "orders": MappingProxyType(
            {
                "model": "model|type|product|variant|product type|model code|article|vehicle type|"
                "machine type",
                "options": "options|option|option codes|features|codes|equipment|extras|packages",
                "sequence": "sequence|seq|position|pos|slot|sequence no|line sequence|build sequence",
                "has": "",  # the heading is an option, a mark below says that the job has it
                "number": "number|order|order id|job|serial|serial id|job id|unit|order number|id",
            }
        ),
        "shifts": MappingProxyType(
            {
                "date": "date|day|production date", "shift": "shift|shift name|team|crew",
                "jobs": "jobs|units|output|produced|made|built|units built|jobs made|actual|actual output|"
                "quantity|qty|completed|finished|good units|units produced|tractors|machines|jobs done",
                "stop": "stop|stops|line stop|line stops|stop time|stoppage|stoppages|downtime|down time|"
                "stop minutes|line down|standstill",
                "reworked": "reworked|rework|repaired|repairs|reworks|sent to rework|rework jobs",
            }
        ),
    }
)  # fmt: skip
#: Columns that a table of each kind must have: of every group at least one.
NEEDS: Mapping[Kind, tuple[frozenset[str], ...]] = MappingProxyType(
    {
        "tasks": (frozenset({"task", "title", "station"}), frozenset({"mean", "low", "high"})),
        "times": (frozenset({"task", "title"}), frozenset({"time", "reading"})),
        "stations": (
            frozenset({"station"}),
            frozenset({"section", "people", "crew", "late", "early", "title"}),
        ),
        "orders": (frozenset({"model"}), frozenset({"options", "sequence", "number"})),
        "shifts": (frozenset({"jobs", "stop", "reworked"}), frozenset({"date", "shift"})),
    }
)  # fmt: skip
#: Words of a heading that means something else than one of its other words alone would.
NOT_SO = frozenset(
    {"cum", "cumulative", "cumulated", "running", "old", "previous", "last", "remaining", "idle", "balance",
     "takt", "start", "end", "finish", "date", "until", "target", "available", "capacity", "load", "cost",
     "utilisation", "utilization", "price", "walk", "walking", "waiting", "allowance", "plan"}
)  # fmt: skip
TIMED = frozenset({"mean", "low", "mode", "high", "sd", "time", "reading", "stop", "fault_repair"})
#: Units of time by what people write, and their size [s]; a TMU is 1/100,000 of an hour.
UNITS: Mapping[str, tuple[str, float]] = MappingProxyType(
    {
        **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), ("s", 1.0)),
        **dict.fromkeys(("min", "mins", "minute", "minutes"), ("min", 60.0)),
        **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), ("h", 3600.0)),
        "cmin": ("cmin", 0.6), "tmu": ("tmu", 0.036), "ms": ("ms", 0.001),
    }
)  # fmt: skip
#: Units of time by their names, and their size [s].
SIZES: Mapping[str, float] = MappingProxyType(dict(UNITS.values()))
_BRACKET = re.compile(r"[\[(]\s*(?:in\s+)?([A-Za-z%]+)\.?\s*[\])]")
_LAST = re.compile(r"(?:\bin\s+|[/,_\s])\s*([A-Za-z]+|%)\.?$")


def split_unit(text: str) -> tuple[list[str], str]:
    """Return the words of a heading without its unit, and the unit.

    Examples:
        >>> split_unit("Std. time [min]"), split_unit("Time in s"), split_unit("# Operators")
        ((['std', 'time'], 'min'), (['time'], 's'), (['operators'], ''))
    """
    text = text.strip()
    for found in (*_BRACKET.finditer(text), *_LAST.finditer(text)):
        if found[1] == "%" or found[1].lower() in UNITS:
            unit = "%" if found[1] == "%" else UNITS[found[1].lower()][0]
            text = f"{text[: found.start()]} {text[found.end() :]}"
            break
    else:
        unit = "%" if text.endswith("%") else ""
    words = re.findall(r"[^\W_]+", re.sub(r"[\[(][^\])]*[\])]", " ", text).casefold())
    return words, unit
