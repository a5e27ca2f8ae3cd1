"""What the words and marks of a replay mean, as its page says it."""

from __future__ import annotations

#: Pairs of word and meaning, in the order of the page.
DEFINITIONS = (
    (
        "moment",
        "Time jumps from event to event. What is shown is how things are when all that happens at the moment "
        "has happened.",
    ),
    (
        "mark",
        "The moment, once a takt of conveyor running time, when every job of a moving or indexed section "
        "passes into the next station.",
    ),
    (
        "stop",
        "Time in which a section should run by the calendar and stands. A minute is booked to the place and "
        "cause that began it; “no room ahead” and “no job comes” pass on what happened elsewhere.",
    ),
    (
        "tag over the rail",
        "A job. The tip of a tag shows how far it has come; in an indexed section it stands until the move.",
    ),
    (
        "below the rail",
        "The state of the station as a pattern and in words, then the people who are there: filled at work, "
        "dashed on the way, thick-rimmed helping, grey waiting. A line leads to the job that they work on; "
        "it slants where the job is not yet, or no longer, in the middle of their station.",
    ),
    (
        "frame round a station",
        "The section stands because of it. The hatched rail and the word STANDS say the same.",
    ),
    (
        "space-time diagram",
        "The graphical timetable of C. Ibry and E.-J. Marey (19th century), used for assembly lines by Xu, "
        "Mei, Ren and Chen (2017). A job is a thread; places of a buffer and of a bay are drawn closer "
        "together than stations.",
    ),
    (
        "drift",
        "Where in its station work begins and ends, after Yano and Rachamadugu (1991) and Tsai (1995). 0 % "
        "is the border at which a job comes in, 100 % that at which it goes out.",
    ),
)
