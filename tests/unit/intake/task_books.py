"""Task tables as messy as those of plants, each with what must come out."""

from dataclasses import dataclass, field
from typing import Any

from tests.unit.intake.books import SheetText, workbook


@dataclass(frozen=True)
class PlantFile:
    """A file of a plant.

    Attributes:
        name: Its name.
        data: Its bytes.
        files: Texts that it must become, by the names of the files; others may come besides.
        doubts, changes: Parts of what must be said: all of the doubts, the changes that matter.
        how: What `import_file` is told.
    """

    name: str
    data: bytes
    files: dict[str, str]
    doubts: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    how: dict[str, Any] = field(default_factory=dict)


# fmt: off
TASK_FILES = (
    PlantFile("title-rows.xlsx", workbook({"Work times": SheetText("""
Line 4 - trim, compact tractor | | | | Rev. C
Takt: 95 s
|
Stn | Op No | Operation | Std. time (s) | Operators | Tool | Remarks
T10 | 10 | Route harness through floor | 45.5 | 1 | | check clip
| 20 | Bolt cab (4 x M12) | 70 | 2 | torque gun |
T20 | 10 | Fit seat | 33 | 1 | | from May
| 20 | Connect hydraulics | 41 | 1 | |
Total | | | =SUM(D5:D8) -> 189.5
""", merged=["A1:D1", "A5:A6", "A7:A8"])}), {"tasks.csv": """\
station,task,title,mean_s,people,tool
T10,10,Route harness through floor,45.5,,
T10,20,Bolt cab (4 x M12),70,2,torque-gun
T20,10,Fit seat,33,,
T20,20,Connect hydraulics,41,,
"""}, changes=(
        "rows 1 to 2 above the headings", "merged cells of Stn hold",
        'row 9, "Total", is the sum of rows above (189.5 s)',
    )),
    PlantFile("decimal-commas.csv", """\
Station;Tätigkeit;Time [min];Comment
Frame 1;Achse einhängen;1,25;
;"Räder, vorn";0,8;neu
Frame 2;Motor prüfen;2,5;
Sum;;4,55;
""".encode("cp1252"), {"tasks.csv": """\
station,task,title,mean_min
frame-1,achse-einhängen,Achse einhängen,1.25
frame-1,räder-vorn,"Räder, vorn",0.8
frame-2,motor-prüfen,Motor prüfen,2.5
"""}, changes=(
        "code page 1252", "row 3: Station is blank and is that of the row above", "3 names of tasks made",
        "is the sum of rows above (273 s)",
    ), how={"columns": {"Tätigkeit": "title"}}),
    PlantFile("units-in-cells.xlsx", workbook({"Tabelle1": """
Station | Task | Time
K1 | Set cab | 1:10
K1 | Bolt cab | 45 s
K1 | Plug harness | 0,5 min
K2 | Fill oil | 1 min 20 s
K2 | Check level | 1'05"
K2 | Look | ca. 12 sec
"""}), {"tasks.csv": """\
station,task,title,mean_s
K1,set-cab,Set cab,70
K1,bolt-cab,Bolt cab,45
K1,plug-harness,Plug harness,30
K2,fill-oil,Fill oil,80
K2,check-level,Check level,65
K2,Look,,12
"""}, doubts=("1:10 is read as 1 min 10 s (1 cell)",)),
    PlantFile("clock-cells.xlsx", workbook({"times": """
Station|Step|Duration
K1|Set axle|@1:15
K1|Bolt axle|@0:45
K2|Fill|@2:00
"""}), {"tasks.csv": """\
station,task,title,mean_s
K1,set-axle,Set axle,75
K1,bolt-axle,Bolt axle,45
K2,Fill,,120
"""}, doubts=("1:15 is read as 1 min 15 s (3 cells)",)),
    PlantFile("clock-cells-with-seconds.xlsx", workbook({"times": """
Station|Step|Duration
K1|Set axle|@0:01:15
K1|Bolt axle|@0:00:45
K2|Fill|@0:02:00
"""}), {"tasks.csv": """\
station,task,title,mean_s
K1,set-axle,Set axle,75
K1,bolt-axle,Bolt axle,45
K2,Fill,,120
"""}),
    PlantFile("sums-by-station.xlsx", workbook({"Balance": """
Station | Activity | t [s]
D1 | place drive unit | 40
D1 | bolt drive unit | 52
| Sum D1 | =SUM(C2:C3) -> 92
D2 | connect coolant | 38
D2 | connect bus | 30
| Sum D2 | =SUM(C5:C6) -> 68
| Total | =C4+C7 -> 175
|
| Total inspection | 20
"""}), {"tasks.csv": """\
station,task,title,mean_s
D1,place-drive-unit,place drive unit,40
D1,bolt-drive-unit,bolt drive unit,52
D2,connect-coolant,connect coolant,38
D2,connect-bus,connect bus,30
D2,total-inspection,Total inspection,20
"""}, changes=(
        'row 4, "Sum D1", is the sum of rows above (92 s)',
        'row 8, "Total", left out; it says 175 s, and the rows above that are read add up to 160 s',
    )),
    PlantFile("two-rows-of-headings.xlsx", workbook({"Study": SheetText("""
Station | Operation | Time (s) | | | Crew
| | min | usual | max |
F1 | clean faces | 15 | 18 | 30 | frame
F2 | press bush | 20 | 24 | 41 | frame
""", merged=["A1:A2", "B1:B2", "C1:E1", "F1:F2"])}), {"tasks.csv": """\
station,task,title,low_s,mode_s,high_s,shape,crew
F1,clean-faces,clean faces,15,18,30,triangular,frame
F2,press-bush,press bush,20,24,41,triangular,frame
"""}, doubts=("times between high, low and mode are taken as triangular",)),
    PlantFile("stations-as-rows.xlsx", workbook({"Plan": """
Pos | Description | Time (s)
Station 10 - frame
10 | hang axle | 55
20 | bolt axle | 48
Station 20 - cab
10 | lower cab | 62
"""}), {"tasks.csv": """\
station,task,title,mean_s
station-10-frame,10,hang axle,55
station-10-frame,20,bolt axle,48
station-20-cab,10,lower cab,62
"""}, doubts=('no column names the station; rows with one cell do (the first is "Station 10 - frame")',)),
    PlantFile("a-sheet-a-station.xlsx", workbook({
        "K1": "Task|Time (s)\nset cab|58\nbolt cab|22",
        "K2": "Task|Time (s)\nharness|70",
    }), {"tasks.csv": """\
station,task,title,mean_s
K1,set-cab,set cab,58
K1,bolt-cab,bolt cab,22
K2,harness,,70
"""}, doubts=(
        'all tasks are at one, called "K1"', 'all tasks are at one, called "K2"',
        '"K1" and "K2" hold tasks; all are read',
    )),
    PlantFile("hidden.xlsx", workbook({
        "Tasks": SheetText("""
Station | Task | Old time (s) | Time (s)
K1 | set-cab | 60 | 58
K1 | old-step | 12 | 12
K1 | bolt-cab | 24 | 22
""", hidden_rows=[3], hidden_columns=["C"]),
        "Tasks 2019": SheetText("Station|Task|Time (s)\nK9|gone|10", is_hidden=True),
    }), {"tasks.csv": "station,task,mean_s\nK1,set-cab,58\nK1,bolt-cab,22\n"}, changes=(
        'Hidden sheets are left out: "Tasks 2019"', "hidden columns are left out: C",
        "hidden rows are left out: row 3",
    )),
    PlantFile("hidden-too.xlsx", workbook({
        "Tasks": SheetText("Station|Task|Time (s)\nK1|set-cab|58\nK1|more|5", hidden_rows=[3])
    }), {"tasks.csv": "station,task,mean_s\nK1,set-cab,58\nK1,more,5\n"}, how={"hidden": True}),
    PlantFile("formulas.xlsx", workbook({"Tasks": """
Station | Task | Time (s) | Allowance
K1 | set-cab | =D2*50 -> 58 | 1.16
K1 | bolt-cab | =D3*20 | 1.1
K1 | harness | #REF! | 1
"""}), {"tasks.csv": "station,task,mean_s\nK1,set-cab,58\n"}, changes=(
        "1 formula has no value (C3)", '"bolt-cab" has no time that can be read',
        '"harness" has no time that can be read ("#REF!")',
    )),
    PlantFile("printed-pages.csv", b"""\
Work plan,,,
Stn,Operation,Time s,Notes
T1,fit lamp,20,
T1,fit horn,15,
,,,
Stn,Operation,Time s,Notes
T2,fit seat,33,
T2,look,tbd,
,Prepared by J. Example,,
end of list,,,
""", {"tasks.csv": """\
station,task,title,mean_s
T1,fit-lamp,fit lamp,20
T1,fit-horn,fit horn,15
T2,fit-seat,fit seat,33
"""}, changes=(
        "row 6: the headings once more", '"look" has no time and is left out',
        '"Prepared by J. Example" has no time', '"end of list", left out',
    )),
    PlantFile("people-once-a-station.xlsx", workbook({"Tasks": SheetText("""
Station | Operators | Task | Time (s)
K1 | 2 | set cab | 58
| | bolt cab | 22
K2 | 3 | harness | 70
| | clips | 12
""", merged=["A2:A3", "B2:B3"])}), {"tasks.csv": """\
station,task,title,mean_s
K1,set-cab,set cab,58
K1,bolt-cab,bolt cab,22
K2,harness,,70
K2,clips,,12
"""}, doubts=("Operators stands once a station: it is the people of the station",)),
    PlantFile("predecessors.xlsx", workbook({"Tasks": """
Station | No | Activity | sec | Predecessors
K1 | 10 | set cab | 58 |
K1 | 20 | bolt cab | 22 | 10
K1 | 30 | clips, left | 12 | 10; 20
K2 | 40 | harness | 70 | clips, left
K2 | 50 | look | 8 | 40, 99
"""}), {"tasks.csv": """\
station,task,title,mean_s,after
K1,10,set cab,58,
K1,20,bolt cab,22,10
K1,30,"clips, left",12,10;20
K2,40,harness,70,K1.30
K2,50,look,8,40
"""}, changes=('row 6: predecessor "99" names no task',), how={"columns": {"sec": "mean_s"}}),
    PlantFile("slips-of-the-pen.xlsx", workbook({"Tasks": """
Staton|Opertaion|Time (s)|Time (min)|Foo
K1|set cab|60|1|a
K1|bolt cab|30|0.5|b
"""}), {"tasks.csv": """\
station,task,title,mean_s
K1,set-cab,set cab,60
K1,bolt-cab,bolt cab,30
"""}, doubts=('"Time (min)" means what another column means better',)),
    PlantFile("spread.xlsx", workbook({"Tasks": """
Station | Task | Avg time (s) | Std dev (s) | Defect rate | Robot
W1 | weld | 48.0 | 2.4 | 2% | R 1
W1 | turn | 20 | 0 | 0.5% | R 1
"""}), {"tasks.csv": """\
station,task,mean_s,cv,robot,fault_chance
W1,weld,48,0.05,r-1,0.02
W1,turn,20,0,r-1,0.005
"""}),
    PlantFile("harmless-names.csv", """\
Station,Task,Time (s)
<b>K1</b>,=HYPERLINK("x"),30
K1,+cmd|calc,20
K1,@SUM(A1),5
K1,-- bolt,7
K1,bolt,8
K1,bolt,9
\u202eK2,\u202egnihtyna,4
""".encode(), {"tasks.csv": """\
station,task,title,mean_s
b-k1-b,hyperlink-x,"HYPERLINK(""x"")",30
K1,cmd-calc,cmd|calc,20
K1,sum-a1,SUM(A1),5
K1,bolt,,7
K1,bolt-2,bolt,8
K1,bolt-3,bolt,9
K2,gnihtyna,,4
"""}, changes=('"bolt" once more at its station, now bolt-2',)),
    PlantFile("predetermined-times.xlsx", workbook({"MTM": """
Station|Element|TMU
K1|reach and grasp|500
K1|turn|1000
"""}), {"tasks.csv": """\
station,task,title,mean_s
K1,reach-and-grasp,reach and grasp,18
K1,turn,,36
"""}, how={"columns": {"TMU": "mean_tmu"}}),
    PlantFile("thousands.csv", b"""\
Station;Task;Time (s)
K1;press;1.250
K1;turn;900
""", {"tasks.csv": "station,task,mean_s\nK1,press,1250\nK1,turn,900\n"},
        doubts=("1.250 may be a decimal or a thousand: it is read with a decimal comma",)),
    PlantFile("cycle-of-stations.xlsx", workbook({"Line": """
Station|Cycle time|Manning
A1|52|1
A2|61|2
A3|58.5|1
"""}), {"tasks.csv": "station,task,mean_s,people\nA1,work,52,\nA2,work,61,2\nA3,work,58.5,\n"}, doubts=(
        'no column names the tasks; each station has one, called "work"',
        '"Cycle time" names no unit; its figures (52 to 61) are read as seconds',
    )),
    PlantFile("balance-sheet.xlsx", workbook({"Line balance": SheetText("""
LINE BALANCING SHEET
Line: | Cab trim | | Takt time (sec): | 92 | | Date: | @2026-05-04
WS | Seq. | Work element | Element time | | Cum. time | No. ops | Comment
| | | manual (s) | auto (s) | | |
WS-01 | 1 | Pick cab, attach hoist | 14.5 | | 14.5 | 2 | see photo
WS-01 | 2 | Lower cab | 22 | | 36.5 | 2 |
WS-01 | 3 | Robot torque | | 18 | 54.5 | | R2
WS-02 | 1 | Harness | 55 | | 55 | 1 |
| | Sub-total | =SUM(D5:D8) -> 91.5 | | | |
""", merged=["A1:H1", "D3:E3"])}), {"tasks.csv": """\
station,task,title,mean_s,people
WS-01,1,"Pick cab, attach hoist",14.5,2
WS-01,2,Lower cab,22,2
WS-02,1,Harness,55,
"""}, doubts=('"Element time" names no unit; its figures (14.5 to 91.5) are read as seconds',), changes=(
        'row 9, "Sub-total", is the sum of rows above', '"Robot torque" has no time and is left out',
    )),
    PlantFile("export.xlsx", workbook({"Tasks": """
Zone|Work Station|Activity Description|Duration|Unit|Qty Operators|Skill|Tooling Req'd|Must follow
A|10|Fit door LH|1.2|min|1|B|DC gun|
A|10|Fit door RH|1.2|min|1|B|DC gun|Fit door LH
B|20|Glass|95|sec|2|A|Sucker / robot|Fit door RH
"""}), {"tasks.csv": """\
station,task,title,mean_s,people,tool,after
10,fit-door-lh,Fit door LH,72,,dc-gun,
10,fit-door-rh,Fit door RH,72,,dc-gun,fit-door-lh
20,Glass,,95,2,Sucker;robot,10.fit-door-rh
"""}),
    PlantFile("by-unit.xlsx", workbook({"T": SheetText("""
Station|Op|Description|MTM (TMU)|Setup (s)|Ops|Model|Option
10|1|fit LH door|2000|5|1|Field|
10|2|fit RH door|2000|5|1|Field, Yard|CAB
20|1|lift roof|1500|5|2||
""")}), {"tasks.csv": """\
station,task,title,mean_s,people,options,models
10,1,fit LH door,72,,,Field
10,2,fit RH door,72,,CAB,Field;Yard
20,1,lift roof,54,2,,
"""}),
    PlantFile("two-heading-rows.xlsx", workbook({"Line": SheetText("""
Takt 3:20 | | | | | | |
Zone | Station | Seq | Activity | Duration | Qty pers. | Predecessors | Comment
 | | | | h:mm:ss | | |
Frame | F1 | 1 | Hang frame | @0:01:12 | 2 | |
 | | 2 | Fit pedal box | @0:00:38 | 1 | 1 | kit B
 | F2 | 3 | Bleed | =E5*0,5 -> @0:00:35 | 1 | 1, 2 |
 | | | Week total | @0:02:25 | | |
""", merged=["A4:A6", "B4:B5"], hidden_columns=["H"])}), {"tasks.csv": """\
station,task,title,mean_s,people,after
F1,1,Hang frame,72,2,
F1,2,Fit pedal box,38,,1
F2,3,Bleed,35,,F1.1;F1.2
"""}, changes=("the takt is 200 s, as the file says", "hidden columns are left out: H",
        'row 7, "Week total", is the sum of rows above (145 s)')),
    PlantFile("ours.csv", b"""\
station,task,mean_s,cv,crew,people,after,options,fault_chance,fault_found,fault_repair_s
K1,set,58,0.1,cab,2,,,,,
K1,bolt,22,0.2,cab,,set,roof;rack,0.02,at once,20
""", {"tasks.csv": """\
station,task,mean_s,fault_repair_s,cv,crew,people,after,options,fault_chance,fault_found
K1,set,58,,0.1,cab,2,,,,
K1,bolt,22,20,0.2,cab,,set,roof;rack,0.02,at once
"""}),
)
