"""Every kind of problem that a scenario can have: its code and a paragraph about it.

The paragraphs stand in README, and a wrong scenario for each in `tests/problems`; tests hold
the three lists equal.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_FILES = MappingProxyType(
    {
        "cannot-read": "The operating system refuses to read the file, most often for want of permission. "
        "Make it readable for whoever runs the program.",
        "empty-table": "A table has no heading row or no content where some is needed. Fill it, or take "
        "its name "
        "out of the scenario.",
        "extends-circle": "A scenario extends itself, directly or through others, or the row of "
        "scenarios is longer "
        "than 20. Let the shared part stand in a file that extends nothing.",
        "missing-column": "A table lacks a column that it needs. The message names it; check the "
        "headings for a slip.",
        "no-file": "A file that was named does not exist. Names are relative to the file that names "
        "them; the "
        "message lists files of the same folder with a like name.",
        "no-folder": "A scenario that was made in memory names a file, and there is no folder to look "
        "in. Write the "
        "content into the tables instead, or load the scenario from a file.",
        "no-table": "A table is no CSV and no Excel workbook that can be read. Cells of a CSV are "
        "separated by commas, "
        "semicolons or tabs; text with such a sign, or with a quote, stands in quotes.",
        "no-toml": "The scenario is no TOML. A line reads `key = value`, text stands in quotes, a table "
        "begins with its "
        "name in square brackets, and nothing is written twice.",
        "no-unit": "A column of times does not say in which unit they are. End its heading in `_s`, "
        "`_min` or `_h`.",
        "not-a-file": "What was named is a folder or a device. Name the file inside it.",
        "not-utf-8": "A file holds bytes that are not UTF-8 text, usually letters with accents from "
        "another encoding. "
        "Save it as UTF-8.",
        "outside-folder": "A scenario names a file outside its own folder, also by way of a link. So "
        "that nobody's "
        "scenario can read what it should not, files lie in the scenario's folder or below.",
        "ragged-row": "A row has more cells than there are headings, most often because a text with a "
        "comma stands "
        "without quotes.",
        "hidden-sign": "A text holds a sign that nobody sees and that hides or turns round what is beside "
        "it: a control sign, or one that changes the direction of writing. Take it out.",
        "new-name": "A line of `--set`, or a change made in Python, names a thing that the scenario does not "
        "have, most often by a slip. Take the name that the message gives, or say that the thing is new: "
        "`--add` on the command line, `add` in Python.",
        "nothing-new": "A line of `--add` names only things that are there already. To change them, write it "
        "after `--set`.",
        "set-extends": "A line of `--set` or `--add` says `extends`. Only a file can extend another one.",
        "too-deep": "Tables or lists are nested deeper than any scenario needs.",
        "too-large": "A file or table is larger than a scenario can sensibly be: 2 MB of TOML, 30 MB or "
        "200,000 rows of "
        "a table.",
        "unknown-column": "A table has a heading that means nothing here. The message names the nearest "
        "one that does; "
        "remove columns that are only for people.",
    }
)
_VALUES = MappingProxyType(
    {
        "bad-name": "A name has a sign that names cannot have. Letters, digits, `-` and `_` are fine; a "
        "dot would be "
        "taken for the border between a station and its task.",
        "bad-number": "A cell should hold a number and does not. Decimals have a point; there are no "
        "units and no "
        "thousands signs inside the cell.",
        "bad-span": 'A span of the day is written as begin and end, such as `"06:00-14:00"`. One that '
        "ends before it "
        "begins crosses midnight.",
        "bad-time": 'A time cannot be read. It is text with a number and a unit: `"61 s"`, `"2 min"`, '
        '`"1.5 h"` or '
        '`"5 shifts"`.',
        "bare-number": "A time has no unit. Since a bare number could be seconds or minutes, none is "
        "accepted: write "
        '`"61 s"`, not `61`.',
        "missing-field": "Something that has no sensible default is not given. The message says what it "
        "means.",
        "negative-time": "A time is less than 0, which none can be.",
        "one-of": "Two fields that exclude each other are both given, or neither of two of which one is "
        "needed.",
        "out-of-order": "Figures that must rise do not: `low` is above `mode`, `mode` above `high`, or "
        "moments run "
        "backwards.",
        "out-of-range": "A number is larger or smaller than it can be, such as a chance above 1 or a "
        "takt of 0.",
        "unknown-key": "A table has a key that the language does not know, usually a slip of the pen. "
        "Unknown keys are "
        "refused, because a misspelt one would silently do nothing; the message names the nearest known one.",
        "unknown-shape": "A time has a shape that does not exist. The message lists those that do.",
        "unknown-word": "A field takes one of a few words and got another one.",
        "wrong-kind": "A value is of another kind than its field: text where a number should stand, a "
        "list where a "
        "table should.",
    }
)
_NAMES = MappingProxyType(
    {
        "name-twice": "A name is used twice where it can be used once: a station in two sections, a "
        "task twice at one station, a section and a station or buffer with the same name, whose rows could "
        "not be told apart, or a bay called `scrap`, which is a word of its own.",
        "unknown-buffer": "A bay rejoins at a buffer that the scenario does not have.",
        "unknown-calendar": "A section, crew, robot or the run follows a calendar that does not exist.",
        "unknown-crew": "A task or repair asks for a crew that the scenario does not have.",
        "unknown-equipment": "A price in `[cost.equipment]` is that of no robot, tool or buffer of the "
        "scenario.",
        "unknown-model": "A model is named that the scenario does not have.",
        "unknown-option": "An option is named that does not exist. Where a model may be named as well, "
        "it is no model "
        "either.",
        "unknown-place": "A crew covers, or a fault or open work goes to, a place that is neither a "
        "station nor a bay of "
        "the line.",
        "unknown-robot": "A task asks for a robot that the scenario does not have.",
        "unknown-section": "A section is named that does not exist; in a flow, the name is no buffer either.",
        "unknown-station": "A station is named that stands in no section. Every station is listed in "
        "the `stations` of "
        "exactly one section.",
        "unknown-task": "A task is named that its station does not have. A task of another station is "
        "written as "
        "`station.task`.",
        "unknown-tool": "A task asks for a tool that the scenario does not have.",
        "unknown-zone": "A task asks for a zone that the scenario does not have.",
    }
)
_LINE = MappingProxyType(
    {
        "break-outside": "A break lies in no shift, or breaks leave no working time.",
        "cause-taken": "A disturbance has the name of a cause that the program itself uses, so that "
        "their minutes could "
        "not be told apart.",
        "crew-not-here": "A task or repair asks for a crew that is not there: it does not cover the "
        "station, or its "
        "people are floaters, who come only when called.",
        "empty-section": "A section has no station, so no job could be in it.",
        "flow-order": "The flow is no row of sections with single buffers between them.",
        "later-station": "A task comes after another one that is done further down the line, or on "
        "another line, so that "
        "it could never begin.",
        "mix-impossible": "Options that exclude each other are asked for together, or by so many jobs "
        "that some would "
        "have both.",
        "needs-other-key": "A field only means something together with another one that is not given.",
        "never-done": "A task needs an option to be there and not to be there.",
        "no-room": "A job should rejoin at a buffer that has no places.",
        "no-time": "Every section is free, and no task, travel, supply or removal takes any time. Such a "
        "line would make endless jobs in one instant.",
        "nobody-to-do-it": "A task or bay needs people, and no crew covers its place. Floaters do not "
        "count: they help "
        "when they are called.",
        "not-downstream": "A place should come further down the same line and does not, so that no job "
        "would get there.",
        "not-in-flow": "A section or buffer is in no flow, or a bay sends jobs to another line.",
        "nowhere-to-go": "Jobs may pass a station with open work, and there is neither a bay downstream "
        "nor a station "
        "named in `open_to`.",
        "reach-past-end": "A crew may begin before the start of its section or finish past its end, while "
        "the job is in another one. Reach less, or add an empty station at that end.",
        "shifts-overlap": "Two shifts, or two breaks, of a calendar overlap.",
        "spacing-impossible": "A spacing rule allows fewer jobs with an option than the mix asks for.",
        "task-circle": "Tasks of a station wait for one another in a circle, so that none could begin.",
        "too-few-people": "A task, repair or bay needs more people at once than its crews have.",
        "too-much": "A run asks for more people, places, shifts or tasks than can sensibly be simulated, "
        "most often by a slip of the pen. The message names the limit; `limit_factor` in `[run]` raises all "
        "such limits.",
        "wrong-pacing": "A field belongs to another pacing: `transfer` to indexed sections, `early`, "
        "`late` and "
        "`walk_speed` to moving ones, `places` to free ones.",
        "zone-too-small": "A task needs more people at once than its zone has room for.",
    }
)
_WARNINGS = MappingProxyType(
    {
        "carriers-too-few": 'Warning: sections that wait for jobs (`on_gap = "wait"`) have as many places '
        "as a loop has carriers, or more. When every carrier is on them, no job can board and none will "
        "leave: the line stands for good.",
        "clockwork": "Warning: a failure comes at fixed times. Real failures seldom do; an exponential "
        "time between them "
        "is the usual first choice.",
        "few-replications": "Warning: fewer than 10 replications give intervals so wide that they "
        "decide little.",
        "guesses": "Warning: inputs are marked as guesses. The answer may hang on them.",
        "no-question": "Warning: `[study]` states no question. A report begins with the question, and a "
        "model that "
        "answers none is hard to finish.",
        "option-never-taken": "Warning: a task needs an option or model that no job has, so it is never "
        "done.",
        "spacing-broken": "Warning: a listed sequence of orders breaks a spacing rule. The list is "
        "followed all the same.",
        "unused-bay": "Warning: no fault and no open work goes to a bay.",
        "unused-calendar": "Warning: no section, crew or robot follows a calendar, nor does the run.",
        "unused-crew": "Warning: no task, bay, repair or call uses a crew.",
        "unused-model": "Warning: there are several models, and no task, time, fault, take rate or rule of "
        "the sequence is this one's own. Is its name right where it was meant? One plain model among others "
        "is taken for granted, unless its name looks like a slip.",
        "unused-option": "Warning: an option stands in the scenario, and no task, time, fault or rule of the "
        "sequence asks for it. Look whether its name is spelt everywhere as it was meant.",
        "unused-robot": "Warning: a robot stands in the scenario and no task uses it.",
        "unused-tool": "Warning: a tool stands in the scenario and no task uses it.",
        "unused-zone": "Warning: a zone stands in the scenario and no task uses it.",
    }
)

#: Paragraph of each code, without Markdown around it.
CODES: Mapping[str, str] = MappingProxyType({**_FILES, **_VALUES, **_NAMES, **_LINE, **_WARNINGS})
WARNINGS: frozenset[str] = frozenset(_WARNINGS)  #: Codes that do not refuse a scenario.


def codes_markdown() -> str:
    """Return one paragraph a code, in alphabetical order."""
    return "\n".join(f"**`{name}`** {says}\n" for name, says in sorted(CODES.items()))
