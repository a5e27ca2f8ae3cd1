"""The order within an instant, written down once. A second engine must keep it.

**First, what ends, ends**, sorted by (rank, first index, second index):

| rank | what | first index | second index |
| --- | --- | --- | --- |
| SHIFT | accounts are opened or closed | | |
| TASK | a piece of work ends | task | job |
| WALK | people arrive at a piece of work | task | job |
| REPAIR | a repair ends | failure mode | |
| HELP | a floater arrives | operator | |
| BAY | work in a bay ends | bay | job |
| TRAVEL | a job arrives at a buffer's far end | buffer | |
| CARRIER | a carrier is back | carrier | |
| GATE | supply brings or removal takes | 0 supply, 1 removal | |
| ROSTER | a shift of a crew begins, and some are away | crew | |
| CALENDAR | working time begins or ends | calendar | |
| FAILURE | something fails | failure mode | |
| CONVEYOR | a moving or indexed section reaches reach, call, limit or mark | section | |

A failure after the end of the task that it might have met, a limit after the work that just made it.

**Then, what can begin, begins**, again and again until nothing changes:

1. moves, from the downstream end upward: removal first, supply last, a bay just before the section
   whose end it serves;
2. repairs, by failure mode;
3. help, to the call nearest its limit;
4. task starts: the least conveyor running time to the limit of its station, then the station furthest
   down the line, the first in file order, the older job;
5. work in bays, by bay and then by arrival.

**Last, the accounts** are written: what a thing is now, it is until some later instant says otherwise.

**Nothing rests on how a table happens to be filled.** Where several could be first:

| of | the order is |
| --- | --- |
| one person for a task | the first crew named that has one idle: who was last at the job, or by number |
| several people | who was last at the job, then others; in each by crew and number, then helpers |
| people for a repair or a bay | by crew, then number |
| floaters | crews in file order, then number |
| holds of a section | the oldest first; one that gets its cause later keeps its place |
| faults of a job | as they were made; a unit's behind those of the job that it joins |
| open work of a job | as it was sent on |
| visits of a job, and of a station | as they were opened |
| jobs of a buffer, of a bay, finished ones of a free station | first come, first served |
| disturbances of a station | the oldest first |
| inlets of a buffer | bays that rejoin here, the last in the file first, then the line |
"""

from __future__ import annotations

(SHIFT, TASK, WALK, REPAIR, HELP, BAY, TRAVEL, CARRIER, GATE, ROSTER, CALENDAR, FAILURE, CONVEYOR) = range(13)

#: What a conveyor meets at one clock time, in this order.
REACH, CALL, LIMIT = range(3)

#: Time to the limit of work that has none.
NO_LIMIT = 1 << 60
