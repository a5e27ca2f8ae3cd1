"""Task tables with several times a task, or one that is no usual time, each with what must come out."""

from tests.unit.intake.books import SheetText, workbook
from tests.unit.intake.task_books import PlantFile

# fmt: off
TIME_FILES = (
    PlantFile("by-model.xlsx", workbook({"Times": SheetText("""
Takt 90 s | | Time [s] | | |
Stn | Operation | Field | Yard | Men | Orchard (s)
A | Hang frame | 61,5 | 75 | 1 | 61,5
| Fit PTO | 40 | | 1 |
| Torque nuts | 20 | 0 | 1 | 22
Total | | 121,5 | 75 | | 83,5
""", merged=["C1:D1", "A3:A5"]), "Orders": "Seq|Model\n1|Yard\n2|Field"}), {"tasks.csv": """\
station,task,title,mean_s,mean_s_for_Yard,mean_s_for_Orchard,models
A,hang-frame,Hang frame,61.5,75,,
A,fit-pto,Fit PTO,40,,,Field
A,torque-nuts,Torque nuts,20,,22,Field;Orchard
"""}, doubts=('"Field", "Yard" and "Orchard (s)": read as times of Field, Yard and Orchard alone',),
        changes=("row 4: a task of Field alone", "row 5: a task of Field and Orchard alone")),
    PlantFile("only-longest.csv", b"""\
Station;Task;Max. time (s)
K1;Fit door;60
K1;Hang roof;40
""", {"tasks.csv": """\
station,task,title,mean_s
K1,fit-door,Fit door,60
K1,hang-roof,Hang roof,40
"""}, doubts=('"Max. time (s)" is the only time: it is taken as that of every job',),
        changes=("no column says how much times vary",)),
    PlantFile("unit-row.csv", b"""\
Station;Task;People;A;B;Takt
;;pers;s;s;s
K1;Fit door;1;60;70;90
K1;Hang roof;2;40;;90
""", {"tasks.csv": """\
station,task,title,mean_s,mean_s_for_B,people,models
K1,fit-door,Fit door,60,70,,
K1,hang-roof,Hang roof,40,,2,A
"""}, doubts=('"A" and "B": read as times of A and B alone',)),
    PlantFile("by-option.csv", b"""\
Station;Operation;Time without cab (s);Time with cab (min);Time robot (s);Only if
K1;Mount floor;58;1,5;3;
K1;Plug loader;20;;;loader
""", {"tasks.csv": """\
station,task,title,mean_s,mean_min_for_cab,options
K1,mount-floor,Mount floor,58,1.5,
K1,plug-loader,Plug loader,20,,loader
"""}, doubts=('"Time with cab (min)": read as times of cab alone', '"Time robot (s)" means')),
)
