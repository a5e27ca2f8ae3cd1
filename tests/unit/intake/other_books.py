"""Stations, orders, shift records and time studies as plants keep them, each with what must come out."""

from tests.unit.intake.books import SheetText, workbook
from tests.unit.intake.task_books import PlantFile

WHOLE = PlantFile(
    "whole-line.xlsx",
    workbook(
        {
            "Read me": "How to use this workbook\nFill in the yellow cells",
            "Stations": """
List of stations | | takt time: 1:40
Station | Description | Line section | Operators | Drift
F10 | Hang and turn frame | Frame shop | 2 |
F20 | Axles | | 2 |
T10 | Cab on | Trim | 3 | 25%
T20 | Seat and belt | | 1 | 25%
T30 | Empty | | 0 |
""",
            "Work": """
Station | Op | Operation | Time (s) | CV | People | Option | Robot
F10 | 10 | hang frame | 80 | 12% | 2 | |
F20 | 10 | press bush | 50 | 0% | | | R1
F20 | 20 | bolt axle | 60 | 15% | 2 | |
T10 | 10 | lower cab | 75 | 15% | 2 | cab |
T10 | 20 | plug harness | 40 | 20% | 1 | |
T20 | 10 | seat | 55 | 10% | 1 | |
T20 | 20 | front loader joystick | 30 | 20% | 1 | loader |
""",
            "Orders": """
Seq | Order | Model | cab | loader | Due
2 | 4712 | Field | x | x | @2026-03-03
1 | 4711 | Orchard | x | | @2026-03-02
3 | 4713 | Field | | x | @2026-03-03
Total | 3 | | | |
""",
            "Old": SheetText("Station|Task|Time (s)\nX|y|1", is_hidden=True),
        }
    ),
    {
        "tasks.csv": """\
station,task,title,mean_s,cv,people,robot,options
F10,10,hang frame,80,0.12,2,,
F20,10,press bush,50,0,,r-1,
F20,20,bolt axle,60,0.15,2,,
T10,10,lower cab,75,0.15,2,,cab
T10,20,plug harness,40,0.2,,,
T20,10,seat,55,0.1,,,
T20,20,front loader joystick,30,0.2,,,loader
""".replace("r-1", "R1"),
        "orders.csv": "model,options\nOrchard,cab\nField,cab;loader\nField,loader\n",
    },
    changes=(
        'Hidden sheets are left out: "Old"',
        '"Read me": no table that is known',
        "the section is blank and is that of the row above",
        "orders stand in the order of Seq",
        'row 5: "Total" names no model',
    ),
)

OTHER_FILES = (
    WHOLE,
    PlantFile(
        "orders.csv",
        b"""\
Order list week 12;;
Pos;Model;Options
10;Field;cab + front loader
20;Yard;
30;Field;cab, climate
""",
        {"read-orders.csv": "model,options\nField,cab;front-loader\nYard,\nField,cab;climate\n"},
        changes=("Row 1 above the headings", "1 name of models and options made fit"),
    ),
    PlantFile(
        "shift-book.xlsx",
        workbook(
            {
                "March": """
Shift book | trim and final
Date | Shift | Tractors built | Stop trim (min) | Stop final (h) | Rework | Foreman | Remark
@2026-03-02 | early | 117 | 58 | 0.2 | 7 | A | belt
@2026-03-02 | late | 115 | 42.5 | 0.1 | 3 | B |
@2026-03-03 | early | n/a | | | | A | no records
@2026-03-03 | late | 113 | 64 | 0 | 3 | B |
Average | | =AVERAGE(C3:C6) -> 115 | 54.8 | 0.1 | 4.3 | |
"""
            }
        ),
        {
            "actuals.csv": """\
shift,jobs,reworked,stop_min_trim,stop_min_final
2026-03-02 early,117,7,58,12
2026-03-02 late,115,3,42.5,6
2026-03-03 late,113,3,64,0
"""
        },
        changes=("row 5: no figures, left out", 'row 7: "Average" names no shift'),
        how={"columns": {"Tractors built": "jobs"}},
    ),
    PlantFile(
        "time-study.csv",
        b"""\
Task;Cycle;Time (s)
set cab;1;58,2
;2;61,0
;3;57,4
bolt cab;1;22
bolt cab;2;x
bolt cab;3;23
""",
        {
            "times.csv": """\
task,title,cycle,time_s
set-cab,set cab,1,58.2
set-cab,set cab,2,61
set-cab,set cab,3,57.4
bolt-cab,bolt cab,1,22
bolt-cab,bolt cab,3,23
"""
        },
        changes=("rows 3 to 4: the task is blank", 'row 6: "x" is no time'),
    ),
    PlantFile(
        "observations.xlsx",
        workbook(
            {
                "Study 7": """
Station | Element | 1 | 2 | 3 | 4 | mean
K1 | set cab | 58 | 61 | 57 | 60 | =AVERAGE(C2:F2) -> 59
K1 | bolt cab | 22 | 23 | | 21 | =AVERAGE(C3:F3) -> 22
"""
            }
        ),
        {
            "times.csv": """\
station,task,title,cycle,time_s
K1,set-cab,set cab,1,58
K1,set-cab,set cab,2,61
K1,set-cab,set cab,3,57
K1,set-cab,set cab,4,60
K1,bolt-cab,bolt cab,1,22
K1,bolt-cab,bolt cab,2,23
K1,bolt-cab,bolt cab,4,21
"""
        },
        doubts=('"1" names no unit',),
    ),
    PlantFile(
        "weeks.csv",
        b"""\
Date,Shift,Tractors,Line stop trim (min),Foreman
02.03.2026,early,118,"12,5",AB
02.03.2026,late,121,8,CD
Week total,,239,"20,5",
""",
        {
            "actuals.csv": """\
shift,jobs,stop_min_trim
02.03.2026 early,118,12.5
02.03.2026 late,121,8
"""
        },
        changes=('row 4: "Week total" names no shift',),
    ),
)
