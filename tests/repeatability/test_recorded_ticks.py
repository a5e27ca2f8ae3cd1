"""Every shape draws the ticks that were recorded, whatever numpy and scipy are installed."""

import hashlib

import numpy as np

from linesim.scenario.shapes import SHAPES, Constant, Empirical
from tests.luck import Luck
from tests.unit.draws.samples import MEASURED, PAIRS, figures
from tests.unit.draws.small import plan

#: The first draws [ticks] of each shape of a task's time, and a digest of the first 1,000 of all.
FIRST_TICKS = {
    "lognormal 60 0.1": [63817, 50818, 46368, 62850],
    "lognormal 45 0.3": [52444, 26827, 20486, 50139],
    "lognormal 360 2": [375827, 20746, 6468, 309495],
    "normal 60 9": [66014, 45464, 37195, 64636],
    "normal 1 0.5": [1343, 279, 47, 1268],
    "normal 0 2": [2291, 133, 14, 2059],
    "triangular 40 50 75": [60151, 44313, 41405, 58711],
    "triangular 40 40 75": [57430, 40943, 40099, 55727],
    "triangular 40 75 75": [70271, 48068, 42629, 69216],
    "pert 40 50 75": [56827, 43250, 41077, 55678],
    "pert 10 12 20": [14129, 10612, 10167, 13803],
    "pert 10 10 20": [12409, 10109, 10011, 12123],
    "uniform 30 90": [74880, 33188, 30338, 71807],
    "exponential 300": [413507, 16381, 1697, 357990],
    "erlang 60 4": [76419, 20922, 10440, 71121],
    "erlang 60 1": [82701, 3276, 339, 71598],
    "gamma 60 0.2": [67519, 41997, 33929, 65550],
    "gamma 60 1.5": [76948, 139, 1, 61167],
    "weibull 338.514 2": [397427, 79101, 25460, 369787],
    "weibull 100 0.7": [158157, 1570, 62, 128719],
    "empirical": [51940, 41000, 41000, 50403],
    "constant 61": [61000, 61000, 61000, 61000],
}
DIGEST = "c690390a8fcb18665a18d125ad195767b40684044cd689c44f49599980bd850b"


def test_recorded_ticks_of_every_shape():
    """Each shape turns the same numbers into the same ticks: with any numpy, with any scipy.

    Recorded from this program, like the numbers in `test_draws`. The digest sees a tick in 22,000 draws.
    """
    shapes = (*(shape for shape, _ in PAIRS), Empirical(values_s=MEASURED), Constant(mean="61 s"))
    draws = Luck(plan(tasks=("K1.fit",), shapes=shapes), 1, 1)
    table = [[draws.task_ticks(0, row, 0, s) for row in range(1000)] for s in range(len(shapes))]
    first = {
        " ".join([shape.kind, *(f"{p:g}" for p in figures(shape))]): row[:4]
        for shape, row in zip(shapes, table, strict=True)
    }
    assert first == FIRST_TICKS
    assert hashlib.sha256(np.array(table, dtype="<i8").tobytes()).hexdigest() == DIGEST
    assert {shape.kind for shape in shapes} == {family.kind for family in SHAPES}
